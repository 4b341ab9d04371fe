"""A frame's status changed: lost, found again, out of play for good; with a word on what follows from it."""

from dataclasses import dataclass

from passport.acts.change import Base, Change
from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema import numbers
from passport.records.schema.frame import Frame, Status
from passport.records.yaml.edit import with_value, without


@dataclass(frozen=True, slots=True)
class Turn:
    """A new status: what is asked, what is said afterwards, and whether the line ``replaced_by`` goes."""

    status: Status
    question: str
    then: str
    unlink: bool = False


def lost(entry: Entry[Frame]) -> Turn:
    """A frame is lost. Raises Refused where it is out of play."""
    if entry.record.status == "retired":
        raise Refused(worded("'{entry}' is retired. {wrong}", entry=entry.name, wrong=_wrong(entry)))
    heir = f"passport issue CONTENT {entry.name.partition('/')[0]}/NEW --replaces {entry.record.number or entry.name}"
    then = worded("When it is replaced: {heir}.", heir=heir)
    return Turn("lost", worded("Mark it lost? Its page will then show no figures any more."), then)


def found(entry: Entry[Frame], *, back: bool) -> Turn:
    """A lost frame is back: in play again, or retired where another took over and it is not wanted ``back``."""
    frame = entry.record
    if frame.status != "lost":
        wrong = _wrong(entry) if frame.status != "active" else worded("Nothing to do.")
        raise Refused(
            worded(
                "'{entry}' is not marked lost but {status}. {wrong}", entry=entry.name, status=frame.status, wrong=wrong
            )
        )
    if frame.replaced_by and not back:
        question = worded("It was replaced by {replaced_by}. Retire it?", replaced_by=frame.replaced_by)
        return Turn("retired", question, worded("To have it back in play instead: the same with --back-in-play."))
    look = worded("Look it over for cracks before it is strung.")
    return Turn("active", worded("Mark it found and put it back into play?"), look, unlink=bool(frame.replaced_by))


def _wrong(entry: Entry[Frame]) -> str:
    return worded(
        "If that is wrong: passport correct CONTENT {value} --frame --set status=active.",
        value=entry.record.number or entry.name,
    )


def retired(_: Entry[Frame]) -> Turn:
    """A frame goes out of play for good."""
    question = worded("Retire it? Its page will then show no figures any more.")
    return Turn("retired", question, worded("Its address stays and says that it is retired."))


def refuse_two_keys(base: Base, entry: Entry[Frame], said: str) -> None:
    """Raise Refused where a frame was named by a number that was given to another key as well: it may be either."""
    record, known = entry.record, base.ledger()
    if not record.number or numbers.normalise(said) != record.number:
        return
    others = [key for key, number in known.numbers.items() if number == record.number and key not in known.closed]
    strange = [key for key in others if key != record.key]
    if strange:
        raise Refused(
            worded(
                "Passport {number} was given out for several keys: {key} ({entry}) and {strange}.\n  Name "
                "'{entry}', or the key of the other one.",
                number=record.number,
                key=record.key,
                entry=entry.name,
                strange=", ".join(strange),
            )
        )


def turned(base: Base, *, name: str, wanted: Turn, called: str) -> Change:
    """The change of a frame's record to a new status."""
    path = f"players/{name}.yaml"
    frame = base.records.frames[name].record
    text = base.text(path) or ""
    after = with_value(text, "status", wanted.status, Frame.model_fields)
    if wanted.unlink:
        after = without(after, "replaced_by")
    lines = [f"{called}, {path}:", worded("  status: {status} → {status2}", status=frame.status, status2=wanted.status)]
    lines += (
        [worded("  replaced_by: {replaced_by} → taken out", replaced_by=frame.replaced_by)]
        if wanted.unlink and frame.replaced_by
        else []
    )
    return Change({path: after}, "\n".join(lines), (lines[0],), summary=f"{called} marked {wanted.status}")
