"""What every page and card is made with beside its facts: the program, its libraries, the templates."""

import os
import re
import sys
import zlib
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from passport import __version__
from passport.publish.folder.digest import digest
from passport.records.disk import opening, walking
from passport.render.theme import assets

LIBRARIES = (
    "babel", "brotli", "cffi", "cryptography", "cssselect2", "fonttools", "jinja2", "markdown", "markupsafe", "nh3",
    "numpy", "pillow", "py_svg_hush", "pydantic", "pydantic_core", "pydyf", "pyphen", "pyyaml", "qrcode", "scipy",
    "tinycss2", "tinyhtml5", "uharfbuzz", "weasyprint", "webencodings", "zopfli",
)  # fmt: skip
"""The distributions, by the names of their folders, whose versions can change a byte of the site."""
_PACKAGE = Path(__file__).resolve().parents[2]
_LAYERS = ("physics", "records", "workshop", "render", "publish")
_FOLDER = re.compile(r"([A-Za-z0-9_.]+?)-([^-]+)\.dist-info")
_SYSTEM = {
    "pango": ("libpango-1.0.so.0", "libpango-1.0.0.dylib", "libpango-1.0-0.dll"),
    "pangoft2": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.0.dylib", "libpangoft2-1.0-0.dll"),
    "gobject": ("libgobject-2.0.so.0", "libgobject-2.0.0.dylib", "libgobject-2.0-0.dll"),
    "harfbuzz": ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll"),
    "fontconfig": ("libfontconfig.so.1", "libfontconfig.1.dylib", "libfontconfig-1.dll"),
}
"""The system's libraries that lay out a PDF, under the names by which WeasyPrint looks for them."""
_VERSIONS = {"pango": "pango_version", "harfbuzz": "hb_version_string", "fontconfig": "FcGetVersion"}


@cache
def program() -> str:
    """The fingerprint of this program: its version and every module that has to do with what is written."""
    # Acts and commands are left out: no page, card or datum of the site is made there.
    modules = [path for path in walking.files(_PACKAGE, *sorted(_LAYERS)) if path.suffix == ".py"]
    parts = (part for path in modules for part in (path.relative_to(_PACKAGE).as_posix(), opening.read(path)))
    return digest(__version__, *parts)


@cache
def libraries() -> str:
    """The fingerprint of Python and of the libraries' versions."""
    found: dict[str, str] = {}
    # The folder's name has the version; importlib.metadata would open a file of every package for it.
    for folder in sys.path:
        names = [path.name for path in walking.listed(folder)] if folder and Path(folder).is_dir() else []
        for name in names:
            match = _FOLDER.fullmatch(name)
            if match and match[1].lower().replace("-", "_").replace(".", "_") in LIBRARIES:
                found.setdefault(match[1].lower(), match[2])
    python = f"{sys.implementation.name} {'.'.join(map(str, sys.version_info))} zlib {zlib.ZLIB_RUNTIME_VERSION}"
    return digest(python, *(f"{name} {version}" for name, version in sorted(found.items())))


@cache
def print_libraries() -> str:
    """The fingerprint of the system's libraries that lay out a PDF; empty where one of them is not found."""
    import ctypes  # late: only cards need it

    found = []
    for library, names in _SYSTEM.items():
        loaded = next((one for name in names if (one := _loaded(ctypes.CDLL, name))), None)
        if loaded is None:
            return ""
        if library in _VERSIONS:
            version = getattr(loaded, _VERSIONS[library])
            version.restype = ctypes.c_char_p if library == "harfbuzz" else ctypes.c_int
            found.append(f"{library} {version()}")
    return digest(*found)


def _loaded(load: Callable[[str], Any], name: str) -> Any:
    try:
        return load(name)
    except OSError:
        return None


def templates() -> Mapping[str, str]:
    """The fingerprint of every file that stands behind a name of the templates folder, by that name.

    The shop's own files stand above the shipped ones (see `passport.render.theme.assets`) and count with them.
    """
    roots = [*assets.folders()]
    names = {
        path.relative_to(root).as_posix()
        for root in roots
        for path in walking.files(root, hidden=True)
        if path.is_file()
    }
    content = assets.own().content
    if content:
        beside = walking.files(content, *assets.BESIDE, hidden=True)
        names |= {path.relative_to(content).as_posix() for path in beside if path.is_file()}
    return {name: digest(*map(assets.data, assets.sources(name))) for name in names}


def stamp() -> str:
    """The day that stands in for the clock where it is set, since a document may carry it."""
    return os.environ.get("SOURCE_DATE_EPOCH", "")
