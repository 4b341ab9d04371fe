"""What every page and card is made with beside its facts: the program, its libraries, the templates."""

import os
import re
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from passport import __version__
from passport.publish.digest import digest
from passport.render import assets

LIBRARIES = (
    "babel", "brotli", "cffi", "contourpy", "cssselect2", "cycler", "fonttools", "jinja2", "kiwisolver", "markdown",
    "markupsafe", "matplotlib", "nh3", "numpy", "packaging", "pillow", "pydantic", "pydantic_core", "pydyf",
    "pyparsing", "pyphen", "python_dateutil", "pyyaml", "qrcode", "scipy", "tinycss2", "tinyhtml5", "weasyprint",
    "webencodings", "zopfli",
)  # fmt: skip
"""The distributions, by the names of their folders, whose versions can change a byte of the site."""
_PACKAGE = Path(__file__).resolve().parent.parent
_LAYERS = ("physics", "records", "bench", "render", "publish")
_FOLDER = re.compile(r"([A-Za-z0-9_.]+?)-([^-]+)\.dist-info")
# The names under which WeasyPrint looks for the system's libraries, and what tells their version.
_SYSTEM = (
    ("pango_version", ("libpango-1.0.so.0", "libpango-1.0.0.dylib", "libpango-1.0-0.dll")),
    ("hb_version_string", ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll")),
    ("FcGetVersion", ("libfontconfig.so.1", "libfontconfig.1.dylib", "libfontconfig-1.dll")),
)


@cache
def program() -> str:
    """The fingerprint of this program: its version and every module that has to do with what is written."""
    modules = sorted(path for layer in _LAYERS for path in (_PACKAGE / layer).rglob("*.py"))
    parts = (part for path in modules for part in (path.relative_to(_PACKAGE).as_posix(), path.read_bytes()))
    return digest(__version__, *parts)


@cache
def libraries() -> str:
    """The fingerprint of Python and of the libraries' versions."""
    found: dict[str, str] = {}
    for folder in sys.path:
        names = [entry.name for entry in os.scandir(folder)] if folder and Path(folder).is_dir() else []
        for name in names:
            match = _FOLDER.fullmatch(name)
            if match and match[1].lower().replace("-", "_").replace(".", "_") in LIBRARIES:
                found.setdefault(match[1].lower(), match[2])
    return digest(sys.version, *(f"{name} {version}" for name, version in sorted(found.items())))


@cache
def print_libraries() -> str:
    """The fingerprint of the system's libraries that lay out a PDF, as far as they are there."""
    return digest(*(version for function, names in _SYSTEM for version in _version(function, names)))


def _version(function: str, names: tuple[str, ...]) -> Iterator[str]:
    import ctypes  # late: only cards need it

    for name in names:
        try:
            call = getattr(ctypes.CDLL(name), function)
        except (OSError, AttributeError):
            continue
        call.restype = ctypes.c_char_p if function.endswith("string") else ctypes.c_int
        yield f"{function} {call()}"
        return


def templates() -> Mapping[str, str]:
    """The fingerprint of every file that stands behind a name of the templates folder, by that name.

    The shop's own files stand above the shipped ones (see `passport.render.assets`) and count with them.
    """
    roots = [*assets.folders()]
    names = {path.relative_to(root).as_posix() for root in roots for path in root.rglob("*") if path.is_file()}
    content = assets.own().content
    if content:
        beside = (path for folder in assets.BESIDE for path in (content / folder).rglob("*"))
        names |= {path.relative_to(content).as_posix() for path in beside if path.is_file()}
    return {name: digest(*(path.read_bytes() for path in assets.sources(name))) for name in names}


def stamp() -> str:
    """The day that stands in for the clock where it is set, since a document may carry it."""
    return os.environ.get("SOURCE_DATE_EPOCH", "")
