"""Sound records with some of their text changed, as a slip of the hand or somebody's malice would change it."""

import re
from collections import defaultdict
from collections.abc import Callable
from functools import cache
from pathlib import Path

import smallshop
from hypothesis import strategies as st

from fuzzing.made_up import ODD
from fuzzing.targets import FILES

ROOT = Path(__file__).parents[2]
SIGNS = (
    ":",
    "- ",
    "{",
    "}",
    "[",
    "]",
    "'",
    '"',
    "#",
    "|\n",
    ">\n",
    "&a ",
    "*a",
    "!x ",
    "\t",
    "\u00a0",
    "\n---\n",
    "? ",
    "%",
    "\ufeff",
    "\x00",
)

_PAIR = re.compile(r"\b([a-z_]+): ([^{}\[\],#\n|>]+)")


def seeds() -> dict[str, str]:
    """The records of the demo, those of every fault in the catalogue of faults, and the small workshop's, by path."""
    found = [*(ROOT / "content_demo").rglob("*.yaml"), *(ROOT / "tests/faults").rglob("*.yaml")]
    texts = {path.relative_to(ROOT).as_posix(): path.read_bytes().decode("utf-8", "ignore") for path in sorted(found)}
    return small() | {name: text for name, text in texts.items() if len(text) < 20_000}


def small() -> dict[str, str]:
    """The records of the small workshop that are put in place of, by path."""
    return {f"small/{name}": smallshop.FILES[name] for name in FILES if name.endswith(".yaml")}


@st.composite
def mutations(draw: Callable[..., object], text: str) -> str:
    """A text with one to three changes."""
    for _ in range(draw(st.integers(1, 3))):  # type: ignore[call-overload]
        text = draw(_change(text))  # type: ignore[assignment]
    return text


def _change(text: str) -> st.SearchStrategy[str]:
    lines = text.split("\n")
    at = st.integers(0, max(0, len(lines) - 1))
    spot = st.integers(0, len(text))
    return st.one_of(
        at.map(lambda i: "\n".join(lines[:i] + lines[i + 1 :])),
        st.tuples(at, at).map(lambda p: "\n".join([*lines[: p[0]], lines[p[1]], *lines[p[0] :]])),
        st.tuples(at, st.integers(-3, 5)).map(lambda p: "\n".join(_indented(lines, *p))),
        st.tuples(at, st.sampled_from(ODD)).map(lambda p: "\n".join(_valued(lines, *p))),
        st.tuples(spot, st.sampled_from(SIGNS)).map(lambda p: text[: p[0]] + p[1] + text[p[0] :]),
        st.tuples(spot, st.integers(1, 40)).map(lambda p: text[: p[0]] + text[p[0] + p[1] :]),
        spot.map(lambda i: text[:i]),
        *[_exchanged(text)] * 4,
    )


def _exchanged(text: str) -> st.SearchStrategy[str]:
    """Another value of the same key, from any of the records."""
    found = [pair for pair in _PAIR.finditer(text) if pair[1] in pool()]
    pairs = st.sampled_from(found) if found else st.nothing()
    return pairs.flatmap(
        lambda pair: st.sampled_from(sorted(pool()[pair[1]])).map(
            lambda value: f"{text[: pair.start(2)]}{value}{text[pair.end(2) :]}"
        )
    )


@cache
def pool() -> dict[str, set[str]]:
    """The values of each key that stand in any of the records, as they are written."""
    found: dict[str, set[str]] = defaultdict(set)
    for text in seeds().values():
        for pair in _PAIR.finditer(text):
            found[pair[1]].add(pair[2])
    return found


def _indented(lines: list[str], i: int, by: int) -> list[str]:
    line = lines[i]
    return [
        *lines[:i],
        " " * by + line if by > 0 else line[min(-by, len(line) - len(line.lstrip())) :],
        *lines[i + 1 :],
    ]


def _valued(lines: list[str], i: int, value: str) -> list[str]:
    name, colon, _ = lines[i].partition(":")
    return [*lines[:i], f"{name}{colon} {value}" if colon else value, *lines[i + 1 :]]
