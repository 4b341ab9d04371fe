"""The string's path: patterns whose holes agree with themselves, and stringings that can be strung, hole by hole."""

from collections.abc import Iterable, Iterator
from datetime import date
from functools import lru_cache

from passport.physics.stringing.holes import Drilling
from passport.physics.stringing.ways import Misfit, StrungWay
from passport.records.faults import Fault
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, Entry
from passport.records.schema.catalogue import FrameModel, Pattern
from passport.records.schema.frame import Frame, Stringing
from passport.records.schema.stringpattern import Variant, read_holes, read_order
from passport.records.strung.strungpath import ToldPath, drilling_of, own_order, threaded, told_path, variant_of
from passport.records.strung.zonedpulls import zones_fault
from passport.records.yaml.validation_messages import closest
from passport.records.yaml.yamltext import Path

_RECOUNT = unsaid(
    "Count the holes from the centre of that end, those that are skipped too, and correct the numbers or the counts."
)
_FIELDS = {"skipped": "skips", "blocked": "blocked", "shared": "shared", "crosses": "crosses"}


def patterns(content: Content, today: date) -> Iterator[Fault]:
    """The holes of a pattern agree with its counts, and each of its variants can be strung."""
    for entry in content.models.values():
        pattern = entry.record.pattern
        if pattern is not None:
            yield from _unread(entry, pattern)
            holes = list(_holes(entry, pattern))
            yield from holes
            for i, variant in enumerate(pattern.variants if not holes else ()):
                yield from _variant(entry, pattern, i, variant)


def _unread(entry: Entry[FrameModel], pattern: Pattern) -> Iterator[Fault]:
    """Holes that are only there to be counted with, in other words than can be read."""
    for name in ("blocked", "shared"):
        if getattr(pattern, name) and read_holes(getattr(pattern, name)) is None:
            what = worded("'{holes}' names no holes.", holes=getattr(pattern, name)[:60])
            do = worded("Write their numbers from the centre with the end, as in '9 at throat and head' or '9T 10H'.")
            yield Fault(entry.at("pattern", name), "string-holes", what, do)
    names = [variant.name.casefold() for variant in pattern.variants]
    for i, name in enumerate(names):
        if name in names[:i]:
            what = worded("The variant '{name}' is named twice.", name=pattern.variants[i].name)
            yield Fault(
                entry.at("pattern", "variants", i, "name"), "string-path", what, worded("Give it a name of its own.")
            )


def _holes(entry: Entry[FrameModel], pattern: Pattern) -> Iterator[Fault]:
    for field, what in dict.fromkeys(_once_a_side(drilling_of(pattern).faults())):
        at = _FIELDS[field]
        place = entry.at("pattern", at) if getattr(pattern, at, "") else entry.at("pattern")
        yield Fault(place, "string-holes", what, worded(_RECOUNT))


def _once_a_side(faults: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """What is wrong on both sides alike is said once."""
    seen = set[str]()
    for field, what in faults:
        plain = what.replace("left", "").replace("right", "")
        if plain not in seen:
            seen.add(plain)
            yield field, what


def _variant(entry: Entry[FrameModel], pattern: Pattern, i: int, variant: Variant) -> Iterator[Fault]:
    told = variant.path
    if told and told.variant:
        what = worded(
            "'{variant}' is no way to string a frame, and a variant cannot name another.", variant=told.variant
        )
        do = worded("Write 'one piece', 'two pieces', 'around the world' or 'box', or spell the 'order' out.")
        yield Fault(entry.at("pattern", "variants", i, "path"), "string-path", what, do)
        return
    way = StrungWay(
        "own" if variant.order else told.way if told else None,
        (told.mains_start if told else None) or pattern.mains_start,
        (told.crosses_start if told else None) or pattern.crosses_start,
        told.short if told else None,
    )
    if variant.order:
        try:
            read_order(variant.order)
        except ValueError as error:
            detail = getattr(error, "context", None) or {}
            place = entry.at("pattern", "variants", i, "order")
            yield Fault(place, "string-path", detail.get("what", str(error)), detail.get("do", ""))
            return
    found = threaded(pattern, way, own_order(variant, way), pattern.skips)
    if found is None:
        return
    broken = found.route()
    if isinstance(broken, Misfit):
        at = "order" if variant.order else "path" if told else "name"
        yield Fault(entry.at("pattern", "variants", i, at), "string-path", broken.what, _do(broken, variant=True))


def paths(content: Content, today: date) -> Iterator[Fault]:
    """What a job or an order says of its string's path can be strung from hole to hole, and the variant that it names is
    there."""
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        pattern = model.record.pattern if model else None
        for path, strings in entry.record.stringings():
            yield from _strung(entry, path, strings, pattern, known=model is not None)


def _strung(
    entry: Entry[Frame], path: Path, strings: Stringing, pattern: Pattern | None, *, known: bool
) -> Iterator[Fault]:
    name = strings.path.variant if strings.path else ""
    if name and known and variant_of(strings, pattern) is None:
        names = [variant.name for variant in (pattern.variants if pattern else ())]
        what = worded("The pattern of '{model}' has no variant '{name}'.", model=entry.record.model, name=name)
        there = worded("It has {names}.", names=", ".join(repr(each) for each in names)) if names else ""
        do = closest(name, names) or there or worded("Write 'one piece', 'two pieces', 'around the world' or 'box'.")
        yield Fault(entry.at(*path, "path"), "string-path", what, do)
        return
    if strings.skips and pattern:
        usual = set(drilling_of(pattern).faults())
        for what in [
            what for field, what in drilling_of(pattern, strings.skips).faults() if (field, what) not in usual
        ][:1]:
            yield Fault(entry.at(*path, "skips"), "string-holes", what, worded(_RECOUNT))
    what = zones_fault(strings, pattern) if pattern and strings.zones else ""
    if what:
        do = worded("Count mains from the centre on one side, crosses from the head, and correct the zone.")
        yield Fault(entry.at(*path, "zones"), "string-zones", what, do)
    told = told_path(strings, pattern)
    if told.threaded is None or not _sound(told.threaded.drilling):
        return
    broken = told.threaded.route()
    if isinstance(broken, Misfit):
        at = _place(strings, broken)
        do = _do(broken, by_maker=_by_maker(strings, told, broken))
        yield Fault(entry.at(*path, *at), "string-path", broken.what, do)


@lru_cache(maxsize=1024)
def _sound(drilling: Drilling) -> bool:
    """Whether the holes agree; where they do not, the pattern is at fault."""
    return not any(drilling.faults())


def _place(strings: Stringing, broken: Misfit) -> tuple[str, ...]:
    """The key of the job that the path breaks at: the broken one, else what the way is told by."""
    names: tuple[str, ...] = (
        broken.field,
        "path",
        "crosses_start",
        "pieces",
        "mains_start",
        "knots",
        "crosses",
        "mains",
    )
    written = strings.model_fields_set
    if strings.path:  # what it spells out was not written by itself
        names = (broken.field, "path") if broken.field in ("tie_offs", "skips") else ("path",)
    return next(((name,) for name in names if name in written and getattr(strings, name, None)), ())


def _by_maker(strings: Stringing, told: ToldPath, broken: Misfit) -> bool:
    """Whether the break hangs on what the maker's pattern says and the job does not."""
    own = (strings.mains_start, strings.crosses_start)
    return broken.field == "crosses_start" and (told.way.mains_start, told.way.crosses_start) != own


def _do(broken: Misfit, *, by_maker: bool = False, variant: bool = False) -> str:
    """What to write instead: the nearest ways that can be strung."""
    if broken.field == "tie_offs":
        return worded("Correct the hole and its end, or leave out the tie-off that is not there.")
    if broken.field in ("order", "shared"):
        return worded("Follow the string hole by hole, and correct the order at this place.")
    ways = [f"'path: {_short_form(way)}'" for way in broken.nearest]
    unsure = worded(", or 'crosses_start: unknown' where nobody knows") if by_maker and not variant else ""
    return worded(
        "These can be strung: {ways}. Write the one that was done{unsure}.", ways=", or ".join(ways), unsure=unsure
    )


def _short_form(way: StrungWay) -> str:
    """A way in the words that a record takes."""
    return worded(
        "{way}, mains from the {mains_start}, crosses from the {crosses_start}",
        way=way.way,
        mains_start=way.mains_start,
        crosses_start=way.crosses_start,
    )
