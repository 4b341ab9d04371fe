"""What is fuzzed: functions of bytes that raise where the product does not keep its word.

Whatever stands in a file, reading it gives a record or faults for a person: a place, what is wrong, what to do, in
bounded time, and never an exception. Content without errors always becomes facts.
"""

import json
import math
import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path

import smallshop
from pydantic import BaseModel, ValidationError
from pydantic_core import PydanticCustomError

from passport.physics.geometry import RacquetShape
from passport.records import checks, trial
from passport.records.faults import Fault, has_errors
from passport.records.load import Content, load
from passport.records.outline import catalogue_names, frame_outline, player_names
from passport.records.schema import quantities
from passport.records.schema.balance import parse_balance
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.places import parse_place
from passport.records.schema.player import Player
from passport.records.schema.workshop import Workshop
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import empties, faults_of
from passport.workshop.facts.wire import packed
from passport.workshop.gathering import checks as bench_checks
from passport.workshop.gathering.gather import public, site_facts

SLOWEST = 3.0
"""Processor seconds that one input may take, with every line watched by the fuzzer."""
KINDS: tuple[type[BaseModel], ...] = (Frame, Player, Workshop, StringType, FrameModel, Part, Blank)
DIMENSIONS = tuple(d for d in vars(quantities).values() if isinstance(d, quantities.Dimension))
SHAPE = RacquetShape(685, 330, 248, 11, 200, 31, "open", 16, 19)
FILES = (
    "players/ada/main.yaml",
    "players/ada/player.yaml",
    "players/bo/only.yaml",
    "workshop.yaml",
    "catalogue/strings.yaml",
    "catalogue/frames.yaml",
    "catalogue/parts.yaml",
    "blanks/larch-a.yaml",
    "pages/care.md",
)
"""The files of the small workshop that are put in place of, by the first byte of an input."""
seen: Counter[str] = Counter()
"""What came of the inputs: how many were read, refused, turned into facts."""


class Broken(AssertionError):
    """The product did not keep its word."""


def text_of(data: bytes) -> str:
    """Bytes as a text file holds them; what is no UTF-8 is refused before any of this."""
    return data.decode("utf-8", "ignore")


def timed(work: Callable[[bytes], None]) -> Callable[[bytes], None]:
    """A target that is also broken where it takes too long."""

    def within(data: bytes) -> None:
        begun = time.process_time()
        work(data)
        taken = time.process_time() - begun
        if taken > SLOWEST:
            raise Broken(f"took {taken:.1f} s for {len(data)} bytes")

    return within


def sound(faults: Iterable[Fault]) -> list[Fault]:
    """The faults, each of which must be printable and say where, what and what to do."""
    found = list(faults)
    for fault in found:
        said = fault.text()
        if not (
            fault.rule and fault.what.strip() and fault.do.strip() and fault.place.line > 0 and fault.place.col > 0
        ):
            raise Broken(f"says too little: {fault}")
        if len(said) > 2000 or not all(c.isprintable() or c == "\n" for c in said):
            raise Broken(f"cannot be printed: {fault}")
    return found


# --- values ----------------------------------------------------------------------------------------------------


def _value(read: Callable[[], object]) -> object:
    """What a parser of values gives; None where it refuses, with its rule and two sentences."""
    try:
        found = read()
    except PydanticCustomError as error:
        told = error.context or {}
        if not (told.get("rule") and told.get("what") and told.get("do")):
            raise Broken(f"refused without saying why: {error!r}") from error
        seen["refused"] += 1
        return None
    seen["read"] += 1
    return found


def quantity(data: bytes) -> None:
    """A quantity and a target with its tolerance, in each dimension: finite, within its range, or refused."""
    text = text_of(data)
    for dimension in DIMENSIONS:
        found = _value(lambda d=dimension: quantities.parse(text, d))
        band = _value(lambda d=dimension: quantities.parse_band(text, d))
        for one in (found, getattr(band, "target", None)):
            if isinstance(one, quantities.Quantity) and not dimension.low < one.value <= dimension.high:
                raise Broken(f"{text!r} was read as {one.value} {dimension.name}")


def balance(data: bytes) -> None:
    """A balance: on a frame of usual length a finite one, or refused."""
    found = _value(lambda: parse_balance(text_of(data)))
    if found is not None and not math.isfinite(found.mm(685)):  # type: ignore[attr-defined]
        raise Broken(f"{text_of(data)!r} was read as {found}")


def place(data: bytes) -> None:
    """A place on a racquet: from and to are finite and in order, or it is refused."""
    found = _value(lambda: parse_place(text_of(data)))
    if found is not None:
        low, high = found.extent(SHAPE)  # type: ignore[attr-defined]
        if not (math.isfinite(low) and math.isfinite(high) and low <= high):
            raise Broken(f"{text_of(data)!r} reaches from {low} to {high}")


# --- texts and records -----------------------------------------------------------------------------------------


def yaml(data: bytes) -> None:
    """A text is plain data or has faults; what is found by from it, without checks, needs neither."""
    text = text_of(data)
    tree, _, faults = yamltext.read(text, "record.yaml")
    sound(faults)
    if tree is None and not faults:
        raise Broken("neither data nor faults")
    seen["refused" if faults else "read"] += 1
    frame_outline(text, "a/b")
    player_names(text)
    catalogue_names(text)


def record(data: bytes) -> None:
    """A text under each record type, chosen by the first byte, is a record or has faults."""
    kind = KINDS[(data[0] if data else 0) % len(KINDS)]
    tree, source, faults = yamltext.read(text_of(data[1:]), "record.yaml")
    found = [*faults]
    if isinstance(tree, dict):
        found += empties(tree, source, ())
        try:
            kind.model_validate(tree)
        except ValidationError as error:
            told = faults_of(error, kind, source, ())
            if not told and not found:
                raise Broken("refused without a fault") from error
            found += told
    seen["refused" if sound(found) else "read"] += 1


# --- whole workshops -------------------------------------------------------------------------------------------


def workshop(data: bytes) -> None:
    """The small workshop with one file's text put in, chosen by the first byte, has faults or becomes facts."""
    name = FILES[(data[0] if data else 0) % len(FILES)]
    if name.startswith("players/"):
        settled(*_tried({name: text_of(data[1:])}))
    else:
        with _folder() as root:
            path = root / name
            path.write_bytes(data[1:])
            settled(*load(root))


def records(texts: Mapping[str, str]) -> bool:
    """The small workshop with some files' texts put in; whether facts came of it."""
    if all(name.startswith("players/") for name in texts):
        return settled(*_tried(texts))
    with _folder() as root:
        for name, text in texts.items():
            (root / name).write_text(text, encoding="utf-8")
        return settled(*load(root))


def settled(content: Content, faults: Iterable[Fault]) -> bool:
    """Whether content became facts; where it did not, its faults say why."""
    found = sound([*faults, *checks.run(content, smallshop.TODAY)])
    if has_errors(found):
        seen["refused"] += 1
        return False
    if content.workshop is None:
        raise Broken("no workshop, and no fault")
    json.loads(packed(site_facts(content)), parse_constant=_no_number)
    sound(bench_checks.run(public(content), smallshop.TODAY))
    seen["facts"] += 1
    return True


def _no_number(name: str) -> None:
    raise Broken(f"a fact is {name}")


@cache
def _whole() -> Content:
    with _folder() as root:
        content, faults = load(root)
        assert not has_errors(faults)
        return content


def _tried(texts: Mapping[str, str]) -> tuple[Content, list[Fault]]:
    return trial.tried(_whole(), texts, [], lambda _: ())


class _folder:
    """A small workshop in memory, where the system has files in memory."""

    def __enter__(self) -> Path:
        shared = Path("/dev/shm")
        self._name = tempfile.mkdtemp(prefix="fuzz-", dir=shared if shared.is_dir() else None)
        return smallshop.write(Path(self._name))

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self._name)


def generated(data: bytes) -> None:
    """Whole records made up by their types, steered by the bytes, have faults or become facts."""
    from fuzzing.whole import whole_records

    whole_records.hypothesis.fuzz_one_input(data)


def broken(data: bytes) -> None:
    """Breaks as soon as the fuzzer has found its way through a branch: shows that the fuzzer sees, and is heard."""
    if parse_place(f"{len(data) % 12 + 1}").hour:
        raise IndexError("broken on purpose")


TARGETS: Mapping[str, Callable[[bytes], None]] = {
    work.__name__: timed(work) for work in (quantity, balance, place, yaml, record, workshop, generated)
}
"""The targets by name."""
SELF_TEST = timed(broken)
