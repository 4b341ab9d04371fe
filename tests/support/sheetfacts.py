"""Rebuilds for tests of bench sheets: an ordinary one, one that is impossible, one with everything too long or too many."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from cardfacts import LONG, SHOP
from rebuildshop import HEAVY_HEAD, bench

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.workshop.rebuild.match import match
from passport.workshop.rebuild.plan import Addition, Plan, Rebuild, WorkStep
from passport.workshop.rebuild.planset import Match
from passport.workshop.rebuild.rebuild import rebuild

__all__ = ["SHOP", "crowded", "hopeless", "long", "matched", "ordinary", "the_set"]

TWO_FRAMES = {
    name: (
        f"number: {number}\nkey: {26 * letter}\nmodel: larch-98\nlabel: {label}\nbuild:\n  - {{part: cushion, place: along the handle}}\n"
        "jobs:\n  - date: 2026-03-02\n    strings: {mains: {string: reed-125, tension: 24 kg}}\n"
        f"    readings: [{{{figures}}}]\n"
    )
    for name, number, letter, label, figures in (
        ("one", "1002-3", "B", "One", "mass: 322 g, balance: 320 mm, swingweight: 313 kgcm2, twistweight: 13.1 kgcm2"),
        ("two", "1003-1", "C", "Two", "mass: 327 g, balance: 318 mm, swingweight: 316 kgcm2, twistweight: 13.4 kgcm2"),
    )
}


def _bench(**changes):
    return bench(Path(mkdtemp(prefix="sheets-")), **changes)


@cache
def ordinary() -> Rebuild:
    """A rebuild that is matched, with a grip to change and strings to put in."""
    light = "mass: 292 g, balance: 328 mm, swingweight: 286 kgcm2"
    return rebuild(_bench(blanks={"blank": light}, build=("leather", "sleeve")), "ada/main", "blank")


@cache
def hopeless() -> Rebuild:
    """A blank whose head is too heavy."""
    return rebuild(_bench(blanks={"blank": HEAVY_HEAD}), "ada/main", "blank")


@cache
def long() -> Rebuild:
    """A rebuild with names of forty letters, a long note, and all cautions."""
    found = ordinary()
    frame = replace(LONG, status="broken", shape=found.shape, number="10420017-X")
    blank = replace(
        found.blank, name="a-blank-with-a-name-that-somebody-made-up", maker=LONG.maker, model=LONG.model,
        serial="SERIAL-00000000000000000", grip="L3 and a half", location="rack C behind the door, peg 14, upper row",
    )  # fmt: skip
    cautions = ("lead", "silicone", "heat", "strings", "cracked", "limits")
    return replace(
        found,
        frame=frame,
        blank=blank,
        cautions=cautions,
        notes=(*found.notes, "The blank is another model; strings and grips are predicted on its own dimensions."),
    )


@cache
def crowded() -> Rebuild:
    """A plan with a piece at every place there is, so that the order of work is long."""
    found, plan = ordinary(), ordinary().plans[0]
    tape = next(p for p in plan.additions if p.kind == "tape")
    shape = found.shape
    hoop = [
        _strip(tape, name, hour, Moments.hoop_arc(0.4, shape, hour, 30.0))
        for name, hour in (("under the bumper", 0.0), ("10 and 2", 2.0), ("3 and 9", 3.0))
    ]
    strips = [
        replace(tape, place=place, clock=None, count=count, from_mm=low, to_mm=high, length_mm=high - low, mass_g=0.8,
                moments=Moments.filled(0.8, low, high))
        for place, low, high, count in (("throat", 270.0, 330.0, 2), ("top of the handle", 140.0, 180.0, 1))
    ]  # fmt: skip
    pastes = [
        replace(tape, part="silicone", name="Silicone", kind="silicone", place=place, clock=None, count=1, from_mm=low,
                to_mm=high, length_mm=None, mass_g=mass, moments=Moments.filled(mass, low, high))
        for place, low, high, mass in (("inside the handle", 10.0, 60.0, 9.0), ("butt cap", 0.0, 10.0, 4.0))
    ]  # fmt: skip
    pieces = (*hoop, *strips, *pastes)
    return replace(found, plans=(_with(plan, pieces), *found.plans[1:]))


def _strip(tape: Addition, place: str, hour: float, moments: Moments) -> Addition:
    count = 1 if hour in (0.0, 6.0) else 2
    x = moments.balance
    return replace(
        tape, place=place, clock=hour, count=count, length_mm=30.0, mass_g=moments.m0, moments=moments, from_mm=x - 9, to_mm=x + 9
    )  # fmt: skip


def _with(plan: Plan, pieces: tuple[Addition, ...]) -> Plan:
    """A plan that adds other pieces, with figures that add up."""
    from passport.workshop.rebuild.plan import Figures
    from passport.workshop.rebuild.workorder import body_of

    others = [step for step in plan.steps if step.action != "add"]
    body, steps, last = body_of(plan.steps[0].after), [others[0]], body_of(plan.steps[0].after)
    for piece in pieces:
        body = body + piece.moments
        steps.append(WorkStep("add", piece, Figures.of(Body(body))))
    known = {id(step): body_of(step.after) for step in plan.steps}
    before = {id(s): known[id(plan.steps[i - 1])] for i, s in enumerate(plan.steps) if i}
    for step in others[1:]:
        body = body + (known[id(step)] - before[id(step)])
        steps.append(WorkStep(step.action, step.piece, Figures.of(Body(body))))
    assert last.m0 > 0
    return replace(plan, additions=pieces, steps=tuple(steps), predicted=Figures.of(Body(body)))


@cache
def the_set() -> Match:
    """Two frames that meet in the middle."""
    return match(_bench(frames=TWO_FRAMES), ["ada/one", "ada/two"])


@cache
def matched() -> Match:
    """One frame made equal to another."""
    return match(_bench(frames=TWO_FRAMES), ["ada/one"], "ada/two")
