"""Plans as text for a terminal: tables of what is wanted, what to fit where, and what comes out."""

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table

from passport.physics.uncertainty import Estimate
from passport.workshop.facts.facts import QuantityName
from passport.workshop.rebuild.plan import Addition, Figures, Plan, Rebuild, Status, percent
from passport.workshop.rebuild.planset import Candidate, Match, Unjudged

QUANTITIES: tuple[tuple[QuantityName, str], ...] = (
    ("mass", "g"),
    ("balance", "mm"),
    ("swingweight", "kg·cm²"),
    ("twistweight", "kg·cm²"),
)
STATUS: dict[Status, str] = {
    "matched": "[green]a plan on target[/]: the best estimate is inside every tolerance; below, how likely that is",
    "nearest": "[yellow]no plan on target[/]: whole steps of what is in stock do not meet the target; the nearest follows",
    "impossible": "[red]out of reach[/]: no plan meets the target; the nearest that can be reached follows",
}


def show_rebuild(console: Console, found: Rebuild) -> None:
    """Everything that is worth reading of a rebuild before its sheet is printed."""
    frame, blank = found.frame, found.blank
    console.print(f"\n[bold]{frame.player}, {frame.label} ({frame.number or frame.name})[/] on [bold]{blank.name}[/]")
    console.print(STATUS[found.status])
    for obstacle in found.obstacles:
        console.print(f"  {obstacle.text}")
    _show_chance(console, found)
    if found.plans[0].inside:
        console.print(found.plans[0].chosen_from)
    console.print(_figures(found))
    for text in found.guess.texts if found.guess else ():
        console.print(text)
    for title, pieces in (("Take off", found.off), ("Fit as on the old frame", found.fit)):
        if pieces:
            console.print(f"{title}: " + "; ".join(f"{p.name}, {p.place} ({p.mass_g:.1f} g)" for p in pieces))
    if found.predicted:
        names = ", ".join(name.replace("−", "without ") for name in found.predicted)
        console.print(f"Predicted, not measured: {names}.")
    _show_plans(console, found.plans)
    _show_take_offs(console, found)
    for note in found.notes:
        console.print(f"Note: {note}")
    old = frame.number or frame.name
    console.print(f"When it is built: passport issue CONTENT --replaces {old} --blank {blank.name}, then passport log.")


def show_unjudged(console: Console, unjudged: Sequence[Unjudged]) -> None:
    """What could not be judged, and what to do about it."""
    for one in unjudged:
        who = " for ".join(filter(None, (one.blank, one.frame)))
        console.print(f"\nNot judged: {who}. {one.what}\n  {one.do}")


def _show_chance(console: Console, found: Rebuild) -> None:
    """How surely all is inside, and what would make it surer."""
    best = found.plans[0]
    if best.outlook:
        all_of = " and ".join(o.quantity for o in best.outlook) if found.guess else "all quantities"
        inside = "is inside" if found.guess and len(best.outlook) == 1 else "are inside together"
        console.print(f"Chance that {all_of} {inside}: [bold]{percent(best.chance)}[/]")
    if found.remedy:
        console.print(found.remedy.text)


def show_match(console: Console, found: Match) -> None:
    """What makes frames equal."""
    to = f" to {found.to}" if found.to else ""
    done = f"to be made equal{to}" if found.status == "matched" else f"as near as plans bring them{to}"
    console.print(f"\n[bold]{len(found.members)} frames {done}[/], {found.added_g:.1f} g added in all{_least(found)}")
    table = Table("", "before", "after", "equal within", title="Spread", title_justify="left")
    units = dict(QUANTITIES)
    for s in found.spreads:
        table.add_row(f"{s.quantity}, {units[s.quantity]}", f"{s.before:.1f}", f"{s.after:.1f}", f"{s.tolerance:g}")
    console.print(table)
    for member in found.members:
        frame = member.frame
        console.print(f"\n[bold]{frame.player}, {frame.label} ({frame.number or frame.name})[/]")
        if member.status != "matched":
            console.print(STATUS[member.status])
        for obstacle in member.obstacles:
            console.print(f"  {obstacle.text}")
        _show_chance(console, member)
        console.print(_figures(member))
        _show_plans(console, member.plans)


def _least(found: Match) -> str:
    """Whether a match needs the least mass."""
    if found.to or found.status != "matched":
        return ""
    if found.proven:
        return ", the least that makes them equal"
    return f"; the search ended early, and up to {found.gap:.1f} g less may do"


def show_candidates(console: Console, candidates: Sequence[Candidate]) -> None:
    """How each blank would do for each frame."""
    several = len({c.frame for c in candidates}) > 1
    table = Table(*(["Frame"] if several else []), "Blank", "", "Sure", "Places", "Added", "Taken off", title="Blanks")
    for c in candidates:
        inside = "on target, swingweight estimated" if c.estimated else "on target"
        matched = [inside, percent(c.chance), str(c.places), f"{c.added_g:.1f} g", str(c.removals)]
        how = matched if c.matched else [c.why, "", "", "", ""]
        table.add_row(*([c.frame] if several else []), c.blank, *how)
    console.print(table)


def _figures(found: Rebuild) -> Table:
    table = Table("", "wanted", "untuned", *(_title(i, p) for i, p in enumerate(found.plans)))
    for quantity, unit in QUANTITIES:
        aim, start = found.aim(quantity), found.start.get(quantity)
        if aim is None and start is None:
            continue
        guessed = found.guess is not None and quantity == "swingweight"
        wanted = f"{aim.target:.1f} ± {aim.tolerance:g}" if aim else "free"
        if aim and aim.source == "estimate":
            wanted = f"about {aim.target:.1f} ± {2 * aim.u:.1f}"
        plans = (_after(quantity, plan.predicted, plan) for plan in found.plans)
        table.add_row(f"{quantity}, {unit}{', estimated' if guessed else ''}", wanted, _value(start), *plans)
    return table


def _title(i: int, plan: Plan) -> str:
    return f"plan {i + 1}" if plan.inside else f"nearest {i + 1}"


def _value(figure: Estimate | None) -> str:
    return "–" if figure is None else f"{figure.value:.1f} ± {2 * figure.u:.1f}"


def _after(quantity: QuantityName, figures: Figures, plan: Plan) -> str:
    expected = next((o for o in plan.outlook if o.quantity == quantity), None)
    sure = f" ({percent(expected.probability)})" if expected else ""
    return _value(figures.get(quantity)) + sure


def _show_plans(console: Console, plans: Iterable[Plan]) -> None:
    for i, plan in enumerate(plans):
        name = f"Plan {i + 1}" if plan.inside else f"Nearest {i + 1}"
        if not (plan.additions or plan.removals):
            console.print(f"{name}: nothing to add.")
            continue
        proven = "" if plan.proven else f", search ended early (gap {plan.gap:.2g})"
        table = Table(
            "material",
            "place",
            "from butt",
            "cut",
            "mass",
            title=f"{name}, {plan.added_g:.1f} g, {percent(plan.chance)} sure{proven}",
        )
        for piece in plan.additions:
            table.add_row(*_row(piece))
        for removal in plan.removals:
            cells = _row(removal.piece)
            instead = f", {removal.instead.name} instead" if removal.instead else ""
            table.add_row(f"[red]without[/] {cells[0]}{instead}", *cells[1:4], f"−{cells[4]}")
        console.print(table)


def _row(piece: Addition) -> tuple[str, str, str, str, str]:
    cut = "–" if piece.length_mm is None else f"{piece.count} × {piece.length_mm:g} mm"
    return piece.name, piece.place, f"{piece.from_mm:.0f}–{piece.to_mm:.0f} mm", cut, f"{piece.mass_g:.1f} g"


def _show_take_offs(console: Console, found: Rebuild) -> None:
    if found.status == "matched" or not found.take_offs:
        return
    table = Table(
        "taken off", "instead", "mass", "balance", "swingweight", "target then", title="What taking off would do"
    )
    for t in found.take_offs:
        table.add_row(
            t.piece.name,
            t.instead.name if t.instead else "–",
            f"{t.mass_g:+.1f} g",
            f"{t.balance_mm:+.1f} mm",
            f"{t.swingweight_kgcm2:+.2f} kg·cm²",
            "reached" if t.helps else "not reached",
        )
    console.print(table)
