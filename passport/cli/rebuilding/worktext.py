"""A rebuild in the middle of its work as text for a terminal."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table

from passport.physics.uncertainty import Estimate
from passport.workshop.facts.facts import QuantityName
from passport.workshop.rebuild.plan import percent
from passport.workshop.rebuild.workorder import Stage
from passport.workshop.resume.knowledge import Contradiction
from passport.workshop.resume.readings import BenchLook
from passport.workshop.resume.resume import StepDone, WorkInHand

_UNITS: dict[QuantityName, str] = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}
_DOING = {
    "check": "read the blank as it came",
    "take off": "take off",
    "trial": "putty on",
    "clear": "take the putty off again",
    "add": "put on",
    "fit": "fit",
    "string": "string it",
    "rest": "now that it is strung, put on",
}


def show_work(console: Console, hand: WorkInHand) -> None:
    """What was done and read, what does not fit, what is next, and whether to stop."""
    frame, blank = hand.found.frame, hand.course.blank
    console.print(f"\n[bold]{frame.player}, {frame.label} ({frame.number or frame.name})[/] on [bold]{blank}[/]")
    if hand.done:
        console.print(_done(hand))
    for one in hand.knowledge.found:
        console.print(f"[yellow]{contradiction(hand, one)}[/]")
    console.print(_standing(hand))
    if hand.ahead:
        console.print(_ahead(hand))
    if hand.advice:
        console.print(hand.advice.text)
    if hand.stop and not hand.ahead:
        known = frame.number or frame.name
        console.print(
            f"Now that it is built: passport issue CONTENT --replaces {known} --blank {blank}", soft_wrap=True
        )


def _standing(hand: WorkInHand) -> str:
    """Whether it is done, or what is in reach."""
    if hand.stop:
        if hand.chance >= 0.5:
            return f"[green]Stop:[/] inside every tolerance with [bold]{percent(hand.chance)}[/]."
        return f"[red]Stop:[/] inside with only {percent(hand.chance)}, and nothing in stock brings it nearer."
    if hand.way is None:
        why = " ".join(obstacle.text for obstacle in hand.found.obstacles)
        return f"[red]No way leads inside any more[/]; the nearest follows. {why}".rstrip()
    gone = [piece.piece for piece in hand.found.plans[0].removals]
    off = "; ".join(f"{piece.name}, {piece.place}" for piece in gone if piece)
    again = f"[yellow]Something must come off again:[/] {off}. " if off else ""
    return f"{again}By what is known, the rest brings all inside with [bold]{percent(hand.way[1])}[/]."


def _done(hand: WorkInHand) -> Table:
    table = Table("", "done", "predicted", "read", title="Done", title_justify="left")
    for step in hand.done:
        table.add_row(str(step.number), _did(hand, step), "\n".join(_predicted(step)), "\n".join(_read(hand, step)))
    return table


def _did(hand: WorkInHand, done: StepDone) -> str:
    names = [(hand.course.bench.parts[f.part].name, f) for f in done.step.fitted]
    put = [f"{name}, {f.place.text}" + (f", {f.mass.text}" if f.mass else "") for name, f in names]
    off = [f"{hand.course.bench.parts[r.part].name}, {r.place.text}" for r in done.step.removed]
    return " ".join(filter(None, (_DOING[done.step.did], "; ".join(put or off))))


def _predicted(done: StepDone) -> Iterator[str]:
    for look in done.read:
        figure = done.expected.get(look.quantity)
        yield _value(figure, look.quantity) if figure else "–"


def _read(hand: WorkInHand, done: StepDone) -> Iterator[str]:
    for look in done.read:
        yield look.showed + (" [yellow]does not fit[/]" if look in hand.knowledge.aside else "")


def _ahead(hand: WorkInHand) -> Table:
    table = Table("", "next", "mass", "cut", "should read", title="To do", title_justify="left")
    for number, stage in hand.ahead:
        table.add_row(str(number), *_stage(stage))
    return table


def _stage(stage: Stage) -> tuple[str, str, str, str]:
    piece, after = stage.piece, stage.after
    cut = f"{piece.count} × {piece.length_mm:g} mm" if piece and piece.length_mm and stage.kind != "take off" else ""
    read = f"{after.mass:.1f} g, {after.balance:.1f} mm, {after.swingweight():.1f} kg·cm²" if after else ""
    what = " ".join(filter(None, (_DOING[stage.kind], f"{piece.name}, {piece.place}" if piece else "")))
    return what, f"{stage.mass_g:.1f} g" if piece else "", cut, read


def contradiction(hand: WorkInHand, one: Contradiction) -> str:
    """What does not go with the rest, and what to do about it."""
    chance = "under 1 in 1,000" if one.probability < 0.001 else f"{one.probability:.1%}".replace("%", " %")
    far = f"{one.stray:.1f} standard uncertainties off; all figures together right: {chance}"
    if one.look is not None:
        return f"{_of_look(hand, one.look)} ({far})."
    name = one.name.rpartition(", ")[0] or one.name
    if one.kind == "record":
        return (
            f"The {one.name.partition(',')[0]} on the blank's record does not go with what is read now ({far}); the readings "
            f"are believed. If they are right, correct it: passport correct CONTENT {hand.course.blank} --blank."
        )
    if one.kind == "string":
        thing = one.name.removeprefix("string ")
        return f"The string {thing} weighs otherwise than the catalogue says ({far}): weigh ten metres of it."
    thing = name.removeprefix("mass of ")
    return (
        f"What went on as '{thing}' weighs otherwise than is stated ({far}); the readings are believed. Look whether it is "
        "the right one, and weigh another of its kind."
    )


def _of_look(hand: WorkInHand, look: BenchLook) -> str:
    expected = hand.knowledge.expected(look)
    what = f"Step {look.step}: the {look.quantity} read, {look.showed}, does not go with the rest, which says"
    what = f"{what} {_value(expected, look.quantity)}"
    if look.step == len(hand.course.work.steps):
        return f"{what}. Read it again and note it: --read '{look.step}: …'; until then it is left out"
    return f"{what}. It is left out; what it stood for is past, so read the {look.quantity} as the frame is now"


def _value(figure: Estimate, quantity: QuantityName) -> str:
    return f"{figure.value:.1f} ± {2 * figure.u:.1f} {_UNITS[quantity]}"
