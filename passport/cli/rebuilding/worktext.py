"""A rebuild in the middle of its work as text for a terminal."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table

from passport.records.language.worded import unsaid, worded
from passport.workshop.facts.spoken_names import name_said, place_said
from passport.workshop.rebuild.plan import percent
from passport.workshop.rebuild.workorder import Stage
from passport.workshop.resume.resume import StepDone, WorkInHand
from passport.workshop.resume.told import contradiction, expected_text

_DOING = {
    "check": unsaid("read the blank as it came"),
    "take off": unsaid("take off"),
    "trial": unsaid("putty on"),
    "clear": unsaid("take the putty off again"),
    "add": unsaid("put on"),
    "fit": unsaid("fit"),
    "string": unsaid("string it"),
    "rest": unsaid("now that it is strung, put on"),
}


def show_work(console: Console, hand: WorkInHand) -> None:
    """What was done and read, what does not fit, what is next, and whether to stop."""
    frame, blank = hand.found.frame, hand.course.blank
    console.print(
        worded(
            "\n[bold]{player}, {label} ({value})[/] on [bold]{blank}[/]",
            player=frame.player,
            label=frame.label,
            value=frame.number or frame.name,
            blank=blank,
        )
    )
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
            worded(
                "Now that it is built: passport issue CONTENT --replaces {known} --blank {blank}",
                known=known,
                blank=blank,
            ),
            soft_wrap=True,
        )


def _standing(hand: WorkInHand) -> str:
    """Whether it is done, or what is in reach."""
    if hand.stop:
        if hand.chance >= 0.5:
            return worded(
                "[green]Stop:[/] inside every tolerance with [bold]{percent}[/].", percent=percent(hand.chance)
            )
        return worded(
            "[red]Stop:[/] inside with only {percent}, and nothing in stock brings it nearer.",
            percent=percent(hand.chance),
        )
    if hand.way is None:
        why = " ".join(obstacle.text for obstacle in hand.found.obstacles)
        return worded("[red]No way leads inside any more[/]; the nearest follows. {why}", why=why).rstrip()
    gone = [piece.piece for piece in hand.found.plans[0].removals]
    off = "; ".join(f"{piece.name}, {name_said(piece.place)}" for piece in gone if piece)
    again = worded("[yellow]Something must come off again:[/] {off}. ", off=off) if off else ""
    return worded(
        "{again}By what is known, the rest brings all inside with [bold]{percent}[/].",
        again=again,
        percent=percent(hand.way[1]),
    )


def _done(hand: WorkInHand) -> Table:
    table = Table("", worded("done"), worded("predicted"), worded("read"), title=worded("Done"), title_justify="left")
    for step in hand.done:
        table.add_row(str(step.number), _did(hand, step), "\n".join(_predicted(step)), "\n".join(_read(hand, step)))
    return table


def _did(hand: WorkInHand, done: StepDone) -> str:
    names = [(hand.course.bench.parts[f.part].name, f) for f in done.step.fitted]
    put = [f"{name}, {place_said(f.place)}" + (f", {f.mass.text}" if f.mass else "") for name, f in names]
    off = [f"{hand.course.bench.parts[r.part].name}, {place_said(r.place)}" for r in done.step.removed]
    return " ".join(filter(None, (worded(_DOING[done.step.did]), "; ".join(put or off))))


def _predicted(done: StepDone) -> Iterator[str]:
    for look in done.read:
        figure = done.expected.get(look.quantity)
        yield expected_text(figure, look.quantity) if figure else "–"


def _read(hand: WorkInHand, done: StepDone) -> Iterator[str]:
    for look in done.read:
        yield look.showed + (worded(" [yellow]does not fit[/]") if look in hand.knowledge.aside else "")


def _ahead(hand: WorkInHand) -> Table:
    table = Table(
        "",
        worded("next"),
        worded("mass"),
        worded("cut"),
        worded("should read"),
        title=worded("To do"),
        title_justify="left",
    )
    for number, stage in hand.ahead:
        table.add_row(str(number), *_stage(stage))
    return table


def _stage(stage: Stage) -> tuple[str, str, str, str]:
    piece, after = stage.piece, stage.after
    cut = f"{piece.count} × {piece.length_mm:g} mm" if piece and piece.length_mm and stage.kind != "take off" else ""
    read = f"{after.mass:.1f} g, {after.balance:.1f} mm, {after.swingweight():.1f} kg·cm²" if after else ""
    what = " ".join(
        filter(None, (worded(_DOING[stage.kind]), f"{piece.name}, {name_said(piece.place)}" if piece else ""))
    )
    return what, f"{stage.mass_g:.1f} g" if piece else "", cut, read
