"""Plans as text for a terminal: tables of what is wanted, what to fit where, and what comes out."""

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table

from passport.physics.uncertainty import Estimate
from passport.records.language.worded import unsaid, worded
from passport.workshop.facts.facts import QuantityName
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.measuring.states import ASSUMED_MASS
from passport.workshop.rebuild.plan import Addition, Figures, Plan, Rebuild, Status, percent
from passport.workshop.rebuild.planset import Candidate, Match, Unjudged

QUANTITIES: tuple[tuple[QuantityName, str], ...] = (
    ("mass", "g"),
    ("balance", "mm"),
    ("swingweight", "kg·cm²"),
    ("twistweight", "kg·cm²"),
)
STATUS: dict[Status, str] = {
    "matched": unsaid(
        "[green]a plan on target[/]: the best estimate is inside every tolerance; below, how likely that is"
    ),
    "nearest": unsaid(
        "[yellow]no plan on target[/]: whole steps of what is in stock do not meet the target; the nearest follows"
    ),
    "impossible": unsaid("[red]out of reach[/]: no plan meets the target; the nearest that can be reached follows"),
}


def show_rebuild(console: Console, found: Rebuild) -> None:
    """Everything that is worth reading of a rebuild before its sheet is printed."""
    frame, blank = found.frame, found.blank
    console.print(
        worded(
            "\n[bold]{player}, {label} ({value})[/] on [bold]{blank}[/]",
            player=frame.player,
            label=frame.label,
            value=frame.number or frame.name,
            blank=blank.name,
        )
    )
    console.print(worded(STATUS[found.status]))
    for obstacle in found.obstacles:
        console.print(f"  {obstacle.text}")
    _show_chance(console, found)
    if found.plans[0].inside:
        console.print(found.plans[0].chosen_from)
    console.print(_figures(found))
    for text in found.guess.texts if found.guess else ():
        console.print(text)
    for title, pieces in ((worded("Take off"), found.off), (worded("Fit as on the old frame"), found.fit)):
        if pieces:
            console.print(
                f"{title}: " + "; ".join(f"{p.name}, {name_said(p.place)} ({p.mass_g:.1f} g)" for p in pieces)
            )
    if found.predicted:
        names = ", ".join(_predicted(name) for name in found.predicted)
        console.print(worded("Predicted, not measured: {names}.", names=names))
    _show_plans(console, found.plans)
    _show_take_offs(console, found)
    for note in found.notes:
        console.print(worded("Note: {note}", note=note))
    old = frame.number or frame.name
    console.print(
        worded(
            "When it is built: passport issue CONTENT --replaces {old} --blank {blank}, then passport log.",
            old=old,
            blank=blank.name,
        )
    )


def show_unjudged(console: Console, unjudged: Sequence[Unjudged]) -> None:
    """What could not be judged, and what to do about it."""
    for one in unjudged:
        both = worded("{blank} for {frame}", blank=one.blank, frame=one.frame) if one.blank and one.frame else ""
        who = both or one.blank or one.frame
        console.print(worded("\nNot judged: {who}. {what}\n  {do}", who=who, what=one.what, do=one.do))


def _show_chance(console: Console, found: Rebuild) -> None:
    """How surely all is inside, and what would make it surer."""
    best = found.plans[0]
    if best.outlook:
        all_of = _quantities(best) if found.guess else worded("all quantities")
        inside = worded("is inside") if found.guess and len(best.outlook) == 1 else worded("are inside together")
        console.print(
            worded(
                "Chance that {all_of} {inside}: [bold]{percent}[/]",
                all_of=all_of,
                inside=inside,
                percent=percent(best.chance),
            )
        )
    if found.remedy:
        console.print(found.remedy.text)


def _quantities(plan: Plan) -> str:
    """The quantities that a plan is judged by."""
    return worded(" and ").join(name_said(o.quantity) for o in plan.outlook)


def _predicted(name: str) -> str:
    """What of a figure was predicted, or was taken off by prediction, by its name."""
    if name.startswith("−"):
        return worded("without {name}", name=_predicted(name.removeprefix("−")))
    if name.endswith(ASSUMED_MASS):
        return worded("{part} (mass assumed)", part=name.removesuffix(ASSUMED_MASS))
    return name_said(name)


def show_match(console: Console, found: Match) -> None:
    """What makes frames equal."""
    to = worded(" to {to}", to=found.to) if found.to else ""
    done = (
        worded("to be made equal{to}", to=to)
        if found.status == "matched"
        else worded("as near as plans bring them{to}", to=to)
    )
    console.print(
        worded(
            "\n[bold]{members} frames {done}[/], {added_g:.1f} g added in all{least}",
            members=len(found.members),
            done=done,
            added_g=found.added_g,
            least=_least(found),
        )
    )
    table = Table(
        "", worded("before"), worded("after"), worded("equal within"), title=worded("Spread"), title_justify="left"
    )
    units = dict(QUANTITIES)
    for s in found.spreads:
        table.add_row(
            f"{name_said(s.quantity)}, {units[s.quantity]}", f"{s.before:.1f}", f"{s.after:.1f}", f"{s.tolerance:g}"
        )
    console.print(table)
    for member in found.members:
        frame = member.frame
        console.print(f"\n[bold]{frame.player}, {frame.label} ({frame.number or frame.name})[/]")
        if member.status != "matched":
            console.print(worded(STATUS[member.status]))
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
        return worded(", the least that makes them equal")
    return worded("; the search ended early, and up to {gap:.1f} g less may do", gap=found.gap)


def show_candidates(console: Console, candidates: Sequence[Candidate]) -> None:
    """How each blank would do for each frame."""
    several = len({c.frame for c in candidates}) > 1
    table = Table(
        *([worded("Frame")] if several else []),
        worded("Blank"),
        "",
        worded("Sure"),
        worded("Places"),
        worded("Added"),
        worded("Taken off"),
        title=worded("Blanks"),
    )
    for c in candidates:
        inside = worded("on target, swingweight estimated") if c.estimated else worded("on target")
        matched = [inside, percent(c.chance), str(c.places), f"{c.added_g:.1f} g", str(c.removals)]
        how = matched if c.matched else [c.why, "", "", "", ""]
        table.add_row(*([c.frame] if several else []), c.blank, *how)
    console.print(table)


def _figures(found: Rebuild) -> Table:
    table = Table("", worded("wanted"), worded("untuned"), *(_title(i, p) for i, p in enumerate(found.plans)))
    for quantity, unit in QUANTITIES:
        aim, start = found.aim(quantity), found.start.get(quantity)
        if aim is None and start is None:
            continue
        guessed = found.guess is not None and quantity == "swingweight"
        wanted = f"{aim.target:.1f} ± {aim.tolerance:g}" if aim else worded("free")
        if aim and aim.source == "estimate":
            wanted = worded("about {target:.1f} ± {u:.1f}", target=aim.target, u=2 * aim.u)
        plans = (_after(quantity, plan.predicted, plan) for plan in found.plans)
        estimated = worded(", estimated") if guessed else ""
        table.add_row(f"{name_said(quantity)}, {unit}{estimated}", wanted, _value(start), *plans)
    return table


def _title(i: int, plan: Plan) -> str:
    return worded("plan {i}", i=i + 1) if plan.inside else worded("nearest {i}", i=i + 1)


def _value(figure: Estimate | None) -> str:
    return "–" if figure is None else f"{figure.value:.1f} ± {2 * figure.u:.1f}"


def _after(quantity: QuantityName, figures: Figures, plan: Plan) -> str:
    expected = next((o for o in plan.outlook if o.quantity == quantity), None)
    sure = f" ({percent(expected.probability)})" if expected else ""
    return _value(figures.get(quantity)) + sure


def _show_plans(console: Console, plans: Iterable[Plan]) -> None:
    for i, plan in enumerate(plans):
        name = worded("Plan {i}", i=i + 1) if plan.inside else worded("Nearest {i}", i=i + 1)
        if not (plan.additions or plan.removals):
            console.print(worded("{name}: nothing to add.", name=name))
            continue
        proven = "" if plan.proven else worded(", search ended early (gap {gap:.2g})", gap=plan.gap)
        table = Table(
            worded("material"),
            worded("place"),
            worded("from butt"),
            worded("cut"),
            worded("mass"),
            title=worded(
                "{name}, {added:.1f} g, {percent} sure{proven}",
                name=name,
                added=plan.added_g,
                percent=percent(plan.chance),
                proven=proven,
            ),
        )
        for piece in plan.additions:
            table.add_row(*_row(piece))
        for removal in plan.removals:
            cells = _row(removal.piece)
            instead = worded(", {instead} instead", instead=removal.instead.name) if removal.instead else ""
            table.add_row(
                worded("[red]without[/] {cells}{instead}", cells=cells[0], instead=instead), *cells[1:4], f"−{cells[4]}"
            )
        console.print(table)


def _row(piece: Addition) -> tuple[str, str, str, str, str]:
    cut = "–" if piece.length_mm is None else f"{piece.count} × {piece.length_mm:g} mm"
    return piece.name, name_said(piece.place), f"{piece.from_mm:.0f}–{piece.to_mm:.0f} mm", cut, f"{piece.mass_g:.1f} g"


def _show_take_offs(console: Console, found: Rebuild) -> None:
    if found.status == "matched" or not found.take_offs:
        return
    table = Table(
        worded("taken off"),
        worded("instead"),
        worded("mass"),
        worded("balance"),
        worded("swingweight"),
        worded("target then"),
        title=worded("What taking off would do"),
    )
    for t in found.take_offs:
        table.add_row(
            t.piece.name,
            t.instead.name if t.instead else "–",
            f"{t.mass_g:+.1f} g",
            f"{t.balance_mm:+.1f} mm",
            f"{t.swingweight_kgcm2:+.2f} kg·cm²",
            worded("reached") if t.helps else worded("not reached"),
        )
    console.print(table)
