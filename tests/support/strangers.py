"""The long form of the attacks of strangers: made-up templates, styles, requests, folders and spreadsheets, for so many seconds each.

``python tests/support/strangers.py [SECONDS] [SERIES …]`` prints a table: how many were tried, refused, harmless, and
how many broke through, which is what must be 0.
"""

import argparse
import random
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).resolve().parent), str(Path(__file__).resolve().parents[2])]

Outcome = str
REFUSED, HARMLESS, BROKEN = "refused", "harmless", "broken through"
_MARKS = ("__class__", "__globals__", "__mro__", "popen", "root:x:", "<class ", "<module ", "<function ", "<built-in ")


def templates(chance: random.Random) -> Outcome:
    """A template put together from pieces of ways out and of ways to grow."""
    from jinja2.exceptions import TemplateError

    sandbox = _sandbox()
    names = (
        "x",
        "art",
        "f",
        "facts",
        "''",
        "[]",
        "()",
        "{}",
        "n.x",
        "range(9)",
        "joiner",
        "namespace",
        "_",
        "self",
        "loop",
    )
    attributes = (
        "__class__", "__mro__", "__globals__", "__init__", "__self__", "func", "format", "upper", "locale", "words", "items",
        "keys", "_drawn", "label", "gi_frame", "__subclasses__", "__dict__", "__builtins__", "small_racquet", "Path", "parse",
    )  # fmt: skip
    filters = ("list", "join", "upper", "map('upper')", "attr('__class__')", "replace('a', 'aaaa')", "map(attribute='__class__')",
               "sum(start=[])", "round(99)", "format(9)", "string", "first", "sort", "groupby('x')", "center(99999999)")  # fmt: skip

    def value(depth: int = 0) -> str:
        forms = ("{name}", "{one}.{attribute}", "{one}['{attribute}']", "({one})|{filter}", "{one}({two})", "({one} {sign} {two})",
                 "[{one}, {two}]")  # fmt: skip
        form = chance.choice(forms if depth < 4 else forms[:1])
        parts = {name: value(depth + 1) for name in ("one", "two") if f"{{{name}}}" in form}
        return form.format(
            name=chance.choice(names), attribute=chance.choice(attributes), filter=chance.choice(filters),
            sign=chance.choice("+*~%"), **parts,
        )  # fmt: skip

    text = "{% set n = namespace(x='aa') %}{% set x = 'a' * 99 %}"
    for _ in range(chance.randrange(1, 4)):
        body = chance.choice(
            (
                "{{ %s }}",
                "{%% set n.x = %s %%}",
                "{%% for x in %s %%}{{ x }}{%% endfor %%}",
                "{%% if %s %%}y{%% endif %%}",
            )
        )
        text += chance.choice(("", "{% for i in range(60) %}")) + body % value()
    text += "{% endfor %}" * (text.count("{% for i in range(60) %}"))
    start = time.process_time()
    try:
        made = sandbox.from_string(text).render()
    except (TemplateError, TypeError, ValueError, RecursionError, ArithmeticError, AttributeError, LookupError):
        made = None
    slow = time.process_time() - start > 30
    return BROKEN if slow or any(mark in (made or "") for mark in _MARKS) else HARMLESS if made is not None else REFUSED


def _sandbox() -> object:
    if not _MADE:
        from passport.render.print import card_art
        from passport.render.theme.formats import Formats
        from passport.render.theme.sandbox import Sandbox
        from passport.render.theme.templating import speak
        from passport.render.theme.words import Words

        speak(Words("en"))
        made = Sandbox([])
        made.globals |= {"art": card_art, "f": Formats("en"), "facts": Words("en")}
        _MADE.append(made)
    return _MADE[0]


_MADE: list[object] = []


def styles(chance: random.Random) -> Outcome:
    """Rules of style put together from pieces; what is let through is looked at by a browser's rules of addresses."""
    import tinycss2

    from passport.render.untrusted import own_style

    pieces = ("@import", "url(", "//e.example", "https:", "}", "{", ";", ":", "a", "'", '"', "\\", "/*", "*/", "\\75 ", "rl(", "\n", "\t",
              "image-set(", "var(--x)", "data:", "--x", ",", "src(", ")", "\\2f ", "\\2f", "@media x", "@\\69mport", "\x0c", "\ufeff", "<!--")  # fmt: skip
    css = "".join(chance.choice(pieces) for _ in range(chance.randrange(2, 60)))
    try:
        made = own_style.cleaned(css)
    except own_style.BadStyle:
        return REFUSED
    return BROKEN if any(map(_loads, _tokens(tinycss2.parse_component_value_list(made)))) else HARMLESS


def _tokens(values: list[Any], inside: str = "") -> Iterator[tuple[Any, str]]:
    """Every token with the name of the function that it stands in."""
    for token in values:
        yield token, inside
        within = getattr(token, "lower_name", inside) if token.type == "function" else inside
        yield from _tokens(getattr(token, "arguments", None) or getattr(token, "content", None) or [], within)


def _loads(found: tuple[Any, str]) -> bool:
    """Whether a browser would ask another host for it: the address resolved against the site's own (URL Standard: tabs and
    ends of lines are passed over, a backslash is a slash, more than two slashes begin a host as two do)."""
    token, inside = found
    if token.type == "at-keyword":
        return bool(token.lower_value == "import")
    if token.type != "url" and not (token.type == "string" and inside in ("url", "src", "image", "image-set")):
        return False
    address = re.sub(r"[\t\n\r]", "", token.value).strip("".join(map(chr, range(33)))).replace("\\", "/")
    if address.startswith("//"):
        return True
    scheme = re.match(r"([a-z][a-z0-9+.-]*):", address, re.IGNORECASE)
    return bool(scheme) and not address.lower().startswith(("data:image/", "data:font/"))


def requests(chance: random.Random) -> Outcome:
    """A request of random pieces from another device: it is answered or ended, and never taken for this computer."""
    from previewasked import answered

    pieces = (b"GET ", b"/", b"-frames", b" HTTP/1.1", b"\r\n", b"Host: ", b"localhost", b"127.0.0.1", b"[::1]", b":80", b"\x00", b"\xff",
              b"X-Forwarded-For: 127.0.0.1", b"%2e%2e", b"[", b"@", b" ", b"\t", b"POST ", b"Forwarded: for=127.0.0.1")  # fmt: skip
    raw = b"GET /-frames HTTP/1.1\r\nHost: " if chance.random() < 0.5 else b""
    raw += b"".join(chance.choice(pieces) for _ in range(chance.randrange(1, 30))) + b"\r\n\r\n"
    answer, told = answered(raw, chance.choice(("192.0.2.7", "fe80::1", "::ffff:10.0.0.1")))
    return BROKEN if any(told) or b"Traceback" in answer else HARMLESS if told else REFUSED


def folders(chance: random.Random) -> Outcome:
    """A content folder with pipes, links and odd names among its files: read to the end, and nothing from outside."""
    import os

    import smallshop

    from passport.records.load import load

    with tempfile.TemporaryDirectory() as place:
        root = smallshop.write(Path(place) / "content")
        secret = Path(place) / "secret.yaml"
        secret.write_text("model: larch-98\nlabel: ZQOUTSIDE\n")
        places = [p for p in root.rglob("*") if chance.random() < 0.2]
        for path in places:
            if path.is_symlink() or not path.exists():
                continue
            target = path if path.is_dir() else path.parent
            name = target / f"x{chance.randrange(9)}{chance.choice(('', '.yaml', '.md', '.j2'))}"
            if name.exists() or name.is_symlink():
                continue
            kind = chance.randrange(4)
            if kind == 0:
                os.mkfifo(name)
            else:
                name.symlink_to(chance.choice((".", "..", "/", str(secret), str(name), "/dev/zero")))
        start = time.process_time()
        content, faults = load(root)
        told = repr([e.record for e in content.frames.values()])
        if time.process_time() - start > 20 or "ZQOUTSIDE" in told:
            return BROKEN
        return REFUSED if faults else HARMLESS


@cache
def _workbooks() -> list[dict[str, bytes]]:
    """Spreadsheets of both forms, unpacked."""
    import io
    import zipfile

    import workbooks

    rows = [["Date", "Customer", "String", "kg"], ["5.3.24", "Ada", "Reed", 24.5], ["6.3.24", "Bo", "Reed", "24/23"]]
    found = []
    for data in (workbooks.xlsx(rows, merge=["B2:B3"], formats={"D2": '0.0 "kg"'}), workbooks.ods(rows)):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            found.append({name: archive.read(name) for name in archive.namelist()})
    return found


def spreadsheets(chance: random.Random) -> Outcome:
    """A spreadsheet with strange things in its parts: read or refused with a sentence, soon, and with few cells."""
    import workbooks

    from passport.records.tables.cells import Unusable
    from passport.records.tables.reading import read_spreadsheet

    strange = (b"<", b">", b'"', b"&a;", b"<!DOCTYPE a [", b'<!ENTITY a "b">', b"99999999999", b"-1", b"1e999", b"XFD1048576", b"A1:XFD1048576",
               b'table:number-columns-repeated="1048576"', b'table:number-rows-repeated="99999999"', b"</c>", b"<row/>", b"\x00", b"\xff\xfe", b"s", b"")  # fmt: skip
    parts = dict(chance.choice(_workbooks()))
    for _ in range(chance.randrange(1, 6)):
        name = chance.choice(sorted(parts))
        text = parts[name]
        at = chance.randrange(len(text) + 1)
        parts[name] = text[:at] + chance.choice(strange) + text[at + chance.randrange(30) :]
    start = time.process_time()
    try:
        cells = sum(len(row) for sheet in read_spreadsheet(workbooks.packed(parts)).sheets for row in sheet.rows)
    except Unusable:
        return REFUSED if time.process_time() - start < 20 else BROKEN
    except Exception:
        return BROKEN
    return HARMLESS if time.process_time() - start < 20 and cells < 1_000_000 else BROKEN


SERIES: dict[str, Callable[[random.Random], Outcome]] = {
    "templates": templates,
    "styles": styles,
    "requests": requests,
    "folders": folders,
    "spreadsheets": spreadsheets,
}


def run(name: str, seconds: float, seed: int = 0, most: int = 10**9) -> tuple[Counter[Outcome], list[int]]:
    """How a series ended, and the seeds of what broke through."""
    until, found, broken, n = time.monotonic() + seconds, Counter[Outcome](), list[int](), 0
    while time.monotonic() < until and n < most:
        outcome = SERIES[name](random.Random(seed + n))
        found[outcome] += 1
        if outcome == BROKEN:
            broken.append(seed + n)
        n += 1
    return found, broken


def main() -> int:
    """Run the series and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("seconds", nargs="?", type=float, default=60.0)
    parser.add_argument("series", nargs="*", choices=[[], *SERIES])
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    print("| Series | Seconds | Tried | Refused | Harmless | Broken through |\n|---|---|---|---|---|---|")
    bad = 0
    for name in given.series or SERIES:
        start = time.monotonic()
        found, broken = run(name, given.seconds, given.seed)
        bad += len(broken)
        cells = (
            f"{time.monotonic() - start:.0f}",
            f"{found.total():,}",
            f"{found[REFUSED]:,}",
            f"{found[HARMLESS]:,}",
            str(len(broken)),
        )
        print(f"| {name} | {' | '.join(cells)} |", flush=True)
        if broken:
            print(f"seeds: {broken[:10]}", file=sys.stderr)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
