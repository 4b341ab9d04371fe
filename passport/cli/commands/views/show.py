"""``passport show``: the whole recipe of a frame in the terminal, as needed at the machine."""

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from passport.acts.clock import today
from passport.acts.picking import owners, pick
from passport.cli.counter.ordershow import order_shown
from passport.cli.shared.folder import FOLDER
from passport.cli.shared.printed import report
from passport.cli.talks.twintext import twin_table
from passport.physics.units import kg_from_newtons, lb_from_newtons
from passport.records.checks import references
from passport.records.faults import Fault
from passport.records.language.worded import spoken, unsaid, worded
from passport.records.load import Content, Entry, load
from passport.records.schema.frame import Frame
from passport.render.theme import bed_words
from passport.render.theme.formats import KEEP, THIN, Formats
from passport.render.theme.wording import handle
from passport.workshop.facts.facts import FrameFacts, PartFacts, SpecFacts, StringingFacts, StrungFacts
from passport.workshop.facts.spoken_names import name_said, place_said
from passport.workshop.facts.standing import Standing, Tone, standing
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.rack import as_wanted
from passport.workshop.strings.string_course import string_course

# Cautions stay English until somebody has read their words whose language it is: a doubtful one may hurt somebody.
CAUTIONS = (
    unsaid(
        "A cracked frame is not strung. The maker's limits, local rules and licensed practice stand above this recipe."
    ),
    unsaid("Cutting strings: eye protection, and evenly from the middle outwards."),
    unsaid("Never take the frame off the machine with the mains alone in it."),
)


_STYLES: dict[Tone, str] = {"lively": "", "soon": "yellow", "late": "red", "plain": "", "stop": "red"}


def _state(facts: FrameFacts, state: Standing) -> str:
    """What it is, in words."""
    if state.state == "unstrung":
        return (
            worded("{status}, unstrung", status=name_said(facts.status))
            if facts.is_fact("status")
            else worded("unstrung")
        )
    if state.state in ("due soon", "overdue") and facts.due:
        return worded("{standing}: {day}", standing=name_said(state.state), day=facts.due)
    return name_said(facts.status if state.state == "strung" else state.state)


@click.command(name="show", epilog="Example: passport show content_demo 1042-9")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
def command(content: Path, frame: str) -> None:
    """Show the recipe of a frame: strings, tensions in both units, pattern, tie-offs, tuning, last readings.

    Private notes are shown too: this is for the bench.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    records, faults = load(content, owners(content, frame, reading=True), frames_alone=True)
    entry = pick(records, frame)
    if not _whole(records, entry):
        report(sorted([*(f for f in faults if f.severity == "error"), *_unknown(records, entry)]))
        click.echo(
            worded("The recipe cannot be shown: what it rests on is not in the records, or cannot be read."), err=True
        )
        sys.exit(1)
    report([f for f in faults if f.place.file == entry.source.file])
    facts = Gatherer(records).recipe(entry.name)
    console = Console(highlight=False)
    if not console.is_terminal:
        console = Console(highlight=False, width=140)
    for part in _parts(records, facts, entry.record):
        console.print(part)


def _whole(records: Content, entry: Entry[Frame]) -> bool:
    """Whether everything that a frame's recipe rests on was read."""
    owned = records.workshop is not None and entry.name.partition("/")[0] in records.players
    return owned and not _unknown(replace(records, unread=set()), entry)


def _unknown(records: Content, entry: Entry[Frame]) -> list[Fault]:
    """What a frame names that is not in the catalogue, but for what could not be read, which is a fault there."""
    alone = replace(records, frames={entry.name: entry}, blanks={})
    named = (references.strings, references.models, references.parts)
    return [fault for check in named for fault in check(alone, today())]


def _parts(records: Content, facts: FrameFacts, record: Frame) -> Iterator[Text | Table]:
    owner = records.players[facts.name.partition("/")[0]].record
    number = facts.number or worded("not issued")
    yield Text(f"{number}  {facts.label}, {owner.full_name or owner.name}", style="bold")
    grip = worded(", grip {grip}", grip=facts.grip) if facts.grip else ""
    serial = worded(", serial {serial}", serial=record.serial) if record.serial else ""
    state = standing(facts, today())
    said = "" if state.state == "strung" and not facts.is_fact("status") else f", {_state(facts, state)}"
    yield Text(
        f"{facts.maker} {facts.model}, {name_said(facts.sport)}{grip}{serial}{said}\n", style=_STYLES[state.tone]
    )
    yield from order_shown(records, record)
    if record.order and record.order.strings:
        wanted = Gatherer(as_wanted(records, today())).recipe(facts.name)
        assert wanted.stringing, "what is wanted stands in the place of the last stringing"
        yield Text(worded("Wanted"), style="bold underline")
        yield from _stringing(wanted, wanted.stringing, done=False)
        yield Text(worded("In it now") if facts.stringing else "", style="bold underline")
    if facts.stringing:
        yield from _stringing(facts, facts.stringing)
    else:
        yield Text(worded("No stringing recorded.\n"))
    if facts.parts:
        yield _build(facts.parts)
    if facts.handle:
        yield Text(worded("Handle: {handle}", handle=handle(facts.handle, Formats(spoken()))).replace(KEEP, " "))
    if facts.sideways is not None:
        side = 3 if facts.sideways > 0 else 9
        yield Text(
            worded(
                "What lies on one side only moves the middle of mass {sideways:.1f} mm towards {side} o'clock.",
                sideways=abs(facts.sideways),
                side=side,
            )
        )
    if any(s.value is not None or s.target is not None for s in facts.specs):
        yield _figures(facts)
        for spec in facts.specs:
            if spec.settled:
                yield Text(f"{_capital(spec.quantity)}: {spec.settled}", style="yellow")
    twin = twin_table(facts)
    if twin:
        yield twin
    for title, note in (
        (worded("Setup"), facts.note),
        (worded("Private"), record.private_note),
        (worded("Player"), owner.private_note),
    ):
        if note:
            yield Text(f"{title}: {note}")
    yield from _felt(record)
    yield Text("\n" + "\n".join(_cautions(facts)), style="yellow")


def _felt(record: Frame) -> Iterator[Text]:
    """What the player said of the strings, visit by visit."""
    for job in record.jobs:
        if said := " ".join(filter(None, (job.felt_on_page, job.felt))):
            yield Text(worded("Felt, {date}: {said}", date=job.date, said=said))


def _stringing(facts: FrameFacts, s: StringingFacts, *, done: bool = True) -> Iterator[Text | Table]:
    """A recipe; one that is not ``done`` was strung on no day yet."""
    table = Table(box=None, pad_edge=False, show_header=False)
    for name, part in ((worded("Mains"), s.mains), (worded("Crosses"), s.crosses)):
        table.add_row(Text(name, style="bold"), _both(part), f"{part.maker} {part.name}", _handling(part))
    yield table
    f = Formats(spoken())
    known = [text for text in (bed_words.pattern(facts), *bed_words.work(s, f)) if text]
    lines = [
        *(
            [worded("Pattern {known}", known=", ".join(known)).replace(KEEP, " ")]
            if bed_words.pattern(facts)
            else [", ".join(known)]
            if known
            else []
        ),
        *([bed_words.starts_said(s, f)] if bed_words.starts_said(s, f) else []),
        *([worded("By zone: {zones}", zones="; ".join(bed_words.zones(s, f)))] if s.zones else []),
        *([worded("Pulled: {pulled}", pulled=pulled)] if (pulled := bed_words.pulled(s, f)) else []),
        *([worded("Skips {by_maker}", by_maker=bed_words.by_maker(s, "skips", f))] if s.skips else []),
        *([worded("Tie-offs {by_maker}", by_maker=bed_words.by_maker(s, "tie_offs", f))] if s.tie_offs else []),
        *_cut(facts),
        *([worded("Stencil {stencil}, {ink}", stencil=s.stencil, ink=s.ink)] if s.stencil else []),
        *([worded("Strung {date}", date=s.date)] if done else []),
    ]
    if s.fingerprint and done:
        lines.append(
            worded(
                "Fresh: {value}",
                value="; ".join(t for t in (bed_words.fingerprint(s, f), bed_words.read_with(s, f)) if t),
            )
        )
    rings = [
        f"{r.amount:g} {r.unit}" + (worded(" after {age}", age=_age(r.age)) if r.age is not None else "")
        for r in s.readings
    ]
    yield Text("\n".join([*lines, *([worded("Reader {rings}", rings="; ".join(rings))] if rings else [])]) + "\n")


def _cut(facts: FrameFacts) -> Iterator[str]:
    """What to cut for each piece of a string that can be followed from hole to hole."""
    found = string_course(facts)
    for piece in found.pieces if found else ():
        name = worded("String") if found and len(found.pieces) == 1 else _capital(piece.piece.passes[0].strand.of)
        short = (
            worded(", short side {short_cut:.2f} m", short_cut=piece.short_cut / 1000)
            if found and piece.short and len(found.pieces) == 1
            else ""
        )
        cut, spread, length = (mm / 1000 for mm in (piece.cut.value, 2 * piece.cut.u, piece.length.value))
        yield worded(
            "{name}: cut {cut:.2f} ± {spread:.2f} m{short}; {length:.2f} m as it lies",
            name=name,
            cut=cut,
            spread=spread,
            short=short,
            length=length,
        )


def _age(minutes: float) -> str:
    """An age as a page says it: ``15 min``, ``24 h``, ``48 days``."""
    if minutes < 120:
        return f"{minutes:g} min"
    return f"{minutes / 60:.0f} h" if minutes < 2880 else worded("{minutes:.0f} days", minutes=minutes / 1440)


def _both(part: StrungFacts) -> Text:
    first, other = _in_both(part.tension, part.written)
    return Text.assemble((first, "bold"), f" ({other})")


def _in_both(newtons: float, written: str) -> tuple[str, str]:
    """A tension in both units, the shop's first, or else the one that it was recorded in."""
    both = (f"{lb_from_newtons(newtons):.1f} lb", f"{kg_from_newtons(newtons):.1f} kg")
    return both[::-1] if written.strip().lower().endswith(("kg", "kgf")) else both


def _handling(part: StrungFacts) -> str:
    said = [f"{part.gauge_number} ga" if part.gauge_number else f"{part.gauge:.2f} mm"]
    if part.prestretch:
        said.append(worded("pre-stretch {prestretch:g} %", prestretch=part.prestretch))
    if part.supply or part.batch:
        said.append(f"{part.supply} {part.batch}".strip())
    return ", ".join(said)


def _build(parts: tuple[PartFacts, ...]) -> Table:
    table = Table(box=None, pad_edge=False, title=worded("Build"), title_justify="left", show_header=False)
    for part in sorted(parts, key=lambda p: -p.from_mm):
        length = ""
        if part.is_fact("length"):
            length = f"{part.count} × {part.length:g} mm" if part.count == 2 else f"{part.length:g} mm"
        mass = "" if part.mass is None else f"{part.mass:.1f} g"
        table.add_row(mass, part.name, place_said(part.place), length, part.note)
    return table


def _figures(facts: FrameFacts) -> Table:
    table = Table(box=None, pad_edge=False, title=worded("\nFinished"), title_justify="left")
    for name in ("", worded("measured"), worded("target"), ""):
        table.add_column(name, justify="right" if name else "left")
    for spec in facts.specs:
        if spec.value is not None or spec.target is not None:
            shown = _ours(facts, spec, spec.value) or _number(spec.value)
            value = f"{shown} *" if spec.best else shown
            table.add_row(_unit(spec), value, _target(facts, spec), _verdict(spec, judged=standing(facts).verdicts))
    best = [
        worded("{read:.1f} read on {taken}", read=s.read, taken=s.taken)
        for s in facts.specs
        if s.best and s.taken and s.read_points is None
    ]
    notes = [worded("* best estimate by the instrument's check, from {best}", best="; ".join(best))] if best else []
    for s in facts.specs:
        if s.best and s.read_points is not None and s.uncertainty is not None:
            read = worded("{points} read on {taken}", points=_points(s.read_points), taken=s.taken)
            notes.append(
                worded(
                    "* best estimate within ± {uncertainty:.1f} mm, on a usual length, from {read}",
                    uncertainty=2 * s.uncertainty,
                    read=read,
                )
            )
    table.caption = "\n".join(notes) or None
    table.caption_justify = "left"
    return table


def _capital(name: str) -> str:
    said = name_said(name)
    return said[:1].upper() + said[1:]


def _unit(spec: SpecFacts) -> str:
    return f"{_capital(spec.quantity)}, {({'mass': 'g', 'balance': 'mm'}).get(spec.quantity, 'kg·cm²')}"


def _number(value: float | None) -> str:
    return "–" if value is None else f"{value:.1f}"


def _ours(facts: FrameFacts, spec: SpecFacts, value: float | None) -> str:
    """A balance in the unit that the shop shows first, with the mm behind it; nothing where that is mm."""
    if value is None or not facts.balance_unit or spec.quantity != "balance" or spec.read_points is not None:
        return ""
    return (
        f"{Formats(spoken()).balance(value, facts.balance_unit, facts.shape.length).replace(THIN, ' ')} ({value:.1f})"
    )


def _target(facts: FrameFacts, spec: SpecFacts) -> str:
    if spec.target_points is not None:
        return f"{_points(spec.target_points)} ± {spec.tolerance or 0:.3g}"
    if ours := _ours(facts, spec, spec.target):
        return f"{ours} ± {spec.tolerance or 0:.3g}"
    return "–" if spec.target is None else f"{spec.target:.1f} ± {spec.tolerance or 0:.3g}"


def _points(light: float) -> str:
    return f"{abs(light):.3g} pt {'HL' if light >= 0 else 'HH'}"


def _verdict(spec: SpecFacts, *, judged: bool) -> str:
    """What a figure is against its target; of a frame out of play no more than when it was read."""
    taken = f" ({spec.taken.isoformat()})" if spec.taken else ""
    if spec.verdict == "open" or not judged:
        return taken.strip()
    chance = (
        worded(", {probability:.0f} % likely inside", probability=100 * spec.probability)
        if spec.verdict == "undecided" and spec.probability
        else ""
    )
    return f"{name_said(spec.verdict)}{chance}{taken}"


def _cautions(facts: FrameFacts) -> Iterator[str]:
    if facts.status == "broken":
        yield worded("This frame is marked broken: do not string it.")
    if facts.tension_high:
        most, other = _in_both(facts.tension_high, facts.stringing.mains.written if facts.stringing else "")
        yield worded("The maker allows at most {most} ({other}).", most=most, other=other)
    if facts.stringing and facts.stringing.warranty:
        yield worded(
            "The maker's warranty asks for another way to string it: {warranty}.", warranty=facts.stringing.warranty
        )
    if any("lead" in p.material for p in facts.parts):
        yield worded("Lead is fitted: keep it covered, wash hands, no sanding, no heat; dispose of it by local rules.")
    yield from map(worded, CAUTIONS)
