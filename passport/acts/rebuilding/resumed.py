"""A rebuild in the middle of its work: what is said of it goes into the blank's record, and what follows is worked out.

From what was said to a state of the work: the steps that were done, predicted against read, the next step, advice.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from passport.acts.amending.targets import listed, tree_of
from passport.acts.change import Base, Change
from passport.acts.refused import Misused, Refused
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import BenchWork, Blank
from passport.records.yaml.edit import with_block, without
from passport.workshop.entry.bench_words import done_otherwise, read_after, weighed_before
from passport.workshop.entry.phrases import Unclear, known_as
from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.workorder import Stage
from passport.workshop.resume.readings import BenchCourse
from passport.workshop.resume.resume import WorkInHand, planned

Tree = Any

_PUT_ON: Final = frozenset({"trial", "add", "rest", "fit"})
"""Steps that put something on."""

_READ_NOTHING: Final = frozenset({"clear"})
"""Steps after which the frame is as it was before, so that nothing is read."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What was said of the work: ``read`` after steps, ``did`` otherwise than planned, parts ``weighed`` beforehand, steps
    ``upto`` one that were done as planned."""

    read: tuple[str, ...] = ()
    did: tuple[str, ...] = ()
    weighed: tuple[str, ...] = ()
    upto: int = 0

    def __bool__(self) -> bool:
        """Whether anything was said."""
        return bool(self.read or self.did or self.weighed or self.upto)


def work_in_hand(bench: Workbench, frame: str, blank: str) -> WorkInHand:
    """The state of the rebuild of a frame (``player/frame``) on a blank. Raises Refused where the blank is under work for
    another frame; what is worked out may raise `Missing`."""
    record = bench.content.blanks[blank].record
    work = record.rebuild or BenchWork.model_validate({"frame": _called(bench.content, frame)})
    if not _is_for(bench.content, work, frame):
        raise Refused(
            worded(
                "'{blank}' is being built for {frame}, with {counted} done.\n  Name another blank, or forget "
                "that work: passport rebuild CONTENT {frame} --with {blank} --resume --abandon.",
                blank=blank,
                frame=work.frame,
                counted=counted(len(work.steps)),
            )
        )
    own, other = bench.content.frames[frame].record.model, bench.content.blanks[blank].record.model
    if bench.model(own).sport != bench.model(other).sport:
        raise Refused(
            worded(
                "'{blank}' is for another sport than '{frame}'. Name a blank of the same sport.",
                blank=blank,
                frame=frame,
            )
        )
    return WorkInHand(BenchCourse(bench, frame, blank, work))


def noted(base: Base, *, frame: str, blank: str, heard: Heard, bench_of: Callable[[Content], Workbench]) -> Change:
    """The change of the blank's record by what was said; ``bench_of`` gives the workbench of the records. Raises Refused
    and Misused."""
    hand = work_in_hand(bench := bench_of(base.records), frame, blank)
    told = _understood(heard)
    file = f"blanks/{blank}.yaml"
    tree: dict[str, Tree] = dict(tree_of(base, file).get("rebuild") or {"frame": hand.course.work.frame})
    steps = [dict(step) for step in listed(tree.get("steps"))]
    try:
        ahead, parts = dict(hand.ahead), hand.course.bench.parts
    except Missing as missing:
        raise Refused(f"{missing.what}\n  {missing.do}") from None
    _refuse_numbers(told, steps, ahead)
    for number in range(len(steps) + 1, max([told.upto, *told.read, *told.did], default=0) + 1):
        steps.append(planned(ahead[number], bench.today, parts))
    for number, one in told.did.items():
        steps[number - 1] = {**steps[number - 1], "fitted": [{**one, "part": known_as(one["part"], parts)}]}
    for number, reading in told.read.items():
        steps[number - 1] = {**steps[number - 1], "readings": [*listed(steps[number - 1].get("readings")), reading]}
    scaled = [{**_piece(ahead[number]), "mass": mass} for number, mass in told.weighed.items()]
    tree = {"frame": tree["frame"], **_filled("weighed", [*_others(tree, scaled), *scaled]), **_filled("steps", steps)}
    text = with_block(base.text(file) or "", "rebuild", tree, tuple(Blank.model_fields))
    head = worded("{blank} for {tree}, in {file}:", blank=blank, tree=tree["frame"], file=file)
    said = [
        worded("  step {n}: read {map}", n=n, map=", ".join(map(_said, reading.values())))
        for n, reading in told.read.items()
    ]
    said += [
        worded("  step {n}: {one} @ {one2}", n=n, one=one["part"], one2=one["place"]) for n, one in told.did.items()
    ]
    said += [
        worded("  step {n}: the {one} weighs {one2}", n=n, one=one["part"], one2=one["mass"])
        for n, one in zip(told.weighed, scaled, strict=True)
    ]
    said += [worded("  done up to step {steps}", steps=len(steps))] if len(steps) > len(hand.course.work.steps) else []
    return Change({file: text}, "\n".join([head, *said]), (head,), summary=f"The rebuild of {tree['frame']} on {blank}")


def abandoned(base: Base, *, frame: str, blank: str) -> Change:
    """The change that forgets the work on a blank. Raises Refused where there is none."""
    work = base.records.blanks[blank].record.rebuild
    if work is None or not _is_for(base.records, work, frame):
        raise Refused(worded("Nothing is noted of a rebuild of that frame on '{blank}'.", blank=blank))
    file = f"blanks/{blank}.yaml"
    head = worded(
        "Forgotten: {counted} of the rebuild of {frame} on {blank}, in {file}.",
        counted=counted(len(work.steps)),
        frame=work.frame,
        blank=blank,
        file=file,
    )
    text = without(base.text(file) or "", "rebuild")
    return Change({file: text}, head, (head,), summary=f"The rebuild of {work.frame} on {blank} forgotten")


def under_work(content: Content, blanks: Iterable[str]) -> list[str]:
    """A sentence for each blank that a rebuild is under way on."""
    found = ((name, content.blanks[name].record.rebuild) for name in blanks)
    return [
        worded(
            "'{name}' is being built for {frame} ({counted} done): --resume goes on with it.",
            name=name,
            frame=work.frame,
            counted=counted(len(work.steps)),
        )
        for name, work in found
        if work is not None and work.steps
    ]


def counted(steps: int) -> str:
    """So many steps."""
    return "1 step" if steps == 1 else f"{steps} steps"


@dataclass(frozen=True, slots=True)
class _Entered:
    read: Mapping[int, dict[str, str]]
    did: Mapping[int, dict[str, str]]
    weighed: Mapping[int, str]
    upto: int


def _understood(heard: Heard) -> _Entered:
    """What was said, by the number of the step; all that cannot be read is said in one go. Raises Misused."""
    wrong = list[str]()

    def all_of(option: str, texts: Iterable[str], read: Callable[[str], tuple[int, Tree]]) -> dict[int, Tree]:
        found: dict[int, Tree] = {}
        for text in texts:
            try:
                number, value = read(text)
            except Unclear as unclear:
                wrong.append(f"{option}: {unclear}")
                continue
            if number in found:
                wrong.append(worded("{option}: step {number} is named twice.", option=option, number=number))
            found[number] = value
        return found

    read = all_of("--read", heard.read, read_after)
    did = all_of("--did", heard.did, done_otherwise)
    weighed = all_of("--weighed", heard.weighed, weighed_before)
    if wrong:
        raise Misused("\n  ".join(wrong))
    return _Entered(read, did, weighed, heard.upto)


def _refuse_numbers(told: _Entered, steps: Sequence[Mapping[str, Tree]], ahead: Mapping[int, Stage]) -> None:
    """Raise Misused for numbers of steps that are not there, or that what is said makes no sense for."""
    last, wrong = max(ahead, default=len(steps)), list[str]()
    for option, numbers in (
        ("--read", told.read),
        ("--did", told.did),
        ("--weighed", told.weighed),
        ("--done", [told.upto]),
    ):
        for number in numbers:
            if number > last:
                wrong.append(
                    worded(
                        "{option}: there is no step {number}. The steps are numbered up to {last}.",
                        option=option,
                        number=number,
                        last=last,
                    )
                )
    for number in told.weighed:
        stage = ahead.get(number)
        if number <= last and (stage is None or stage.kind != "fit"):
            fits = ", ".join(f"{n} ({s.piece.name})" for n, s in ahead.items() if s.kind == "fit" and s.piece)
            wrong.append(
                worded(
                    "--weighed: step {number} fits no part that could be weighed. Those that do: {value}.",
                    number=number,
                    value=fits or "none",
                )
            )
    for number in told.did:
        kind = ahead[number].kind if number in ahead else steps[number - 1]["did"] if number <= len(steps) else "add"
        if kind not in _PUT_ON:
            wrong.append(
                worded("--did: step {number} puts nothing on. Those that do say so in the list.", number=number)
            )
    for number in told.read:
        if number in ahead and ahead[number].kind in _READ_NOTHING:
            wrong.append(
                worded(
                    "--read: nothing is read after step {number}, which takes the putty of the trial off again.",
                    number=number,
                )
            )
    if wrong:
        raise Misused("\n  ".join(wrong))


def _said(value: Tree) -> str:
    """A figure as it is written; of a timing all that it is made of."""
    return " ".join(map(str, value.values())) if isinstance(value, dict) else str(value)


def _piece(stage: Stage) -> dict[str, str]:
    assert stage.piece, "a stage that fits something has a piece"
    return {"part": stage.piece.part, "place": stage.piece.place}


def _others(tree: Mapping[str, Tree], parts: list[dict[str, str]]) -> list[Tree]:
    """What was weighed before, less what was weighed again."""
    again = {(one["part"], one["place"]) for one in parts}
    return [one for one in listed(tree.get("weighed")) if (one.get("part"), one.get("place")) not in again]


def _filled(name: str, items: list[Tree]) -> dict[str, Tree]:
    return {name: items} if items else {}


def _called(content: Content, frame: str) -> str:
    return content.frames[frame].record.number or frame


def _is_for(content: Content, work: BenchWork, frame: str) -> bool:
    return work.frame in (frame, content.frames[frame].record.number)
