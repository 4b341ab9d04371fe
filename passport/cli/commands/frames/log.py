"""``passport log``: record a job."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import click

from passport.acts.adding.walkin import adding_strings
from passport.acts.change import Base
from passport.acts.drafts import Draft
from passport.acts.frames.log import adds_to, logged, order_in, past, path_of, refuse_unreadable, units_of
from passport.acts.picking import matching, owners, pick
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER, day_said
from passport.cli.shared.dialogue import at_terminal
from passport.cli.shared.logtalk import Told, talk
from passport.cli.talks.twintext import compare
from passport.cli.talks.unknown import is_walk_in, walk_in
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.workshop.entry.bare import with_units
from passport.workshop.entry.job_from_text import Said

_STRINGS = (
    ("string", "TEXT", "The string of mains and crosses: its name in the catalogue, or as on the packet."),
    ("mains", "TEXT", "The string of the mains alone."),
    ("crosses", "TEXT", "The string of the crosses alone; another one than the mains makes two pieces."),
    ("tension", "TENSION", "'52 lb', '52/50 lb' for mains/crosses, or what it changes by: '2 lb looser'."),
    ("mains-tension", "TENSION", "The tension of the mains alone."),
    ("crosses-tension", "TENSION", "The tension of the crosses alone."),
    ("gauge", "GAUGE", "Where it differs from the catalogue's: '1.25 mm'."),
    ("prestretch", "PERCENT", "Pre-stretch: '10 %'."),
    ("path", "WAY", "How the string runs: 'two pieces, crosses from the head', or a variant of the model."),
    ("pieces", "1|2", "One piece of string or two."),
    ("knots", "NUMBER", "How many knots."),
    ("mains-start", "throat|head", "Where the mains begin."),
    ("crosses-start", "throat|head", "Where the crosses begin."),
    ("short", "left|right", "The short side of a string in one piece."),
    ("skips", "HOLES", "The holes that the mains skip, where they are not the model's."),
    ("tie-offs", "HOLES", "Where the strings are tied off: 'mains 6 throat; crosses 11 throat'."),
    ("zones", "ZONES", "Strings pulled otherwise than their side: 'mains last 2 at 49 lb; crosses first 4 -2 lb'."),
    (
        "method",
        "WORDS",
        "Where it was not pulled as the workshop does: 'machine: drop weight; dwell: 5 s'; '-' for as usual.",
    ),
    ("supply", "reel|set", "Where the string came from."),
    ("batch", "TEXT", "Its batch; 'A / B' for mains / crosses."),
    ("stencil", "TEXT", "The shape inked on the strings."),
    ("ink", "TEXT", "Its colour."),
)
_WORK = (
    ("fit", "PART", "A part fitted: 'tungsten-tape @ 3 and 9 = 2.2 g [55 mm]'. May be given several times."),
    ("remove", "PART", "A part taken off: 'lead-tape @ 3 and 9'. May be given several times."),
    ("repair", "WHAT", "A repair: 'bumper = marlpit-98-bumper: worn through'. May be given several times."),
)
_MEASURED = (
    ("mass", "MASS", "Mass as it goes out: '330.1 g'."),
    ("balance", "BALANCE", "Balance: '319.5 mm' or '4 pt HL'."),
    ("swingweight", "INERTIA", "Swingweight: '319 kgcm2'."),
    ("twistweight", "INERTIA", "Twistweight: '13.3 kgcm2'."),
    ("axis", "LENGTH", "The swing axis from the butt, where it was not 10 cm."),
    ("pendulum", "TIMING", "Swingweight timed: '240 mm 14.3 s 10 swings 8 deg' from the butt to the edge."),
    ("ring", "READING", "The string bed's reading: '578 Hz', or in the reader's own lb, kg, kg/cm or lb/in."),
    ("minutes", "TIME", "How long after stringing that was: '15', or '24 h'."),
    ("reader", "NAME", "Which reader that was, where there are several."),
    ("setting", "TEXT", "What was set at the reader: 'polyester 1.25, 98 sq in, 16x19'."),
    ("temperature", "DEGREES", "The temperature it was read at: '21 °C' or '70 °F'."),
    ("played", "TIME", "How long the strings in it have been played."),
)
FELT = frozenset(("felt", "felt_on_page"))
_WORDS = (
    ("handle", "WORDS", "How it is built up: '112 mm over the overgrip, 2 sleeves, wound right-handed from the butt'."),
    ("note", "TEXT", "Said to the player, on the page."),
    ("felt", "TEXT", "What the player said of the strings that were in; for the bench alone."),
    ("felt-on-page", "TEXT", "The same, where the player lets it stand on the page."),
    ("private-note", "TEXT", "For the bench alone."),
    ("price", "TEXT", "For the bench alone."),
)


def _options(command: Callable[..., None]) -> Callable[..., None]:
    before = [(f"before-{name}", kind, _before(text)) for name, kind, text in _MEASURED]
    groups = [(*_STRINGS, *_WORDS, *_MEASURED, *before), _WORK]
    for multiple, group in enumerate(groups):
        for name, kind, text in reversed(group):
            command = click.option(f"--{name}", metavar=kind, multiple=bool(multiple), help=text)(command)
    return command


def _before(text: str) -> str:
    first = text.partition(":")[0].rstrip(".").replace(" as it goes out", "")
    return worded("{first}, before the work.", first=first)


@click.command(
    name="log",
    epilog='Example: passport log content_demo 1042-9 --again --tension "50/48 lb" --mass "330 g" --ring "571 Hz" --minutes 15',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option(
    "--again", is_flag=True, help="Repeat the last stringing with today's date; other options change parts of it."
)
@click.option("--date", "day", metavar="DATE", help="The day of the job, as in 2026-11-25; today unless said.")
@_options
@click.option("--without", metavar="PARTS", help="What was off the frame when it was measured: 'overgrip'.")
@click.option("--bare", is_flag=True, help="It was measured without strings.")
@click.option("--before-bare", is_flag=True, help="It was measured without strings before the work.")
@click.option("--ordered", is_flag=True, help="It was done as it was ordered; other options change parts of it.")
@click.option("--only", is_flag=True, help="Only what is said here was done, whatever was ordered.")
@click.option("--keep-on-rack", is_flag=True, help="More is to be done: what was ordered is left as it is.")
@click.option("--site", type=FOLDER, help="The site to bring up to date; 'site', where it is one of ours, unless said.")
@click.option("--no-build", is_flag=True, help="Record the job alone: no page, no card.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Ask nothing: write it, warnings or not, but for what is probably a slip.")
@click.option(
    "--sure",
    is_flag=True,
    help="It is no slip: a value far from what is usual (the job notes it), the same job again, a day before the last job.",
)
def command(
    content: Path,
    frame: str,
    again: bool,
    day: str | None,
    ordered: bool,
    only: bool,
    keep_on_rack: bool,
    site: Path | None,
    no_build: bool,
    dry_run: bool,
    yes: bool,
    sure: bool,
    **said: Any,
) -> None:
    """Record a job: strings, parts, repairs, readings. Every other line of the record stays as it is.

    A frame that waits on the rack is done with this: what was ordered ('passport take') is recorded as done in all that
    is not said otherwise, what differs from it is shown, and the order is kept with the job. The site is then brought up
    to date and the card to print is named; where there is no site yet, the card is put into the folder bench/ beside
    CONTENT. NUMBER-OR-NAME is a passport number or PLAYER/FRAME. Whatever is not said of a restringing is as it was the
    last time. Without any option it asks, with the last values offered.
    """
    if ordered + only + keep_on_rack + again > 1 and not (again and (only or keep_on_rack)):
        raise click.UsageError(worded("Choose one of --ordered, --only, --keep-on-rack and --again."))
    words: Said = {name: "yes" if value is True else value for name, value in said.items() if value}
    if words and FELT.issuperset(words):
        keep_on_rack = True  # the player's words do none of what was ordered
    base = base_of(content, owners(content, frame))
    if not matching(base.records, frame) and not words and is_walk_in(base.records, frame):
        walk_in(content, frame, done=True)
        return
    entry = pick(base.records, frame)
    when = day_said("--date", day)
    words = with_units(words, units_of(base.records))
    waits = entry.record.waiting is not None and not keep_on_rack
    if ordered and not waits:
        raise click.ClickException(
            worded(
                "Nothing is ordered for '{frame}'. To take it in: passport take {content} {frame}",
                frame=frame,
                content=content,
            )
        )
    # Beyond what was typed, what was ordered is recorded: that is looked at, where nobody said so.
    more = waits and adds_to(entry.record, again=again) and not (ordered or only or dry_run)
    options = Options(yes, worded("Write this?") if more else "", dry_run, sure)
    after: Content | None
    if not words and not again and not ordered:
        if not at_terminal():
            what = "--ordered, " if waits else ""
            raise click.UsageError(
                worded(
                    "Say what was done: {what}--again, --tension …, --fit …, --mass …; --help shows them all.",
                    what=what,
                )
            )
        after = _talked(content, base, entry, when, _Rack(keep_on_rack, only, waits), options)
    else:
        told = Told(words, again, when, not only)
        after = _written(content, base, entry, told, _Rack(keep_on_rack, only, waits), options)
    if after is not None:
        click.echo(worded("Written to {content}.", content=content / path_of(entry.name)))
        compare(after, entry.name)
        if not no_build:
            from passport.cli.shared.follow_up import follow_up  # the gatherer brings numpy and more

            follow_up(after, entry.name, site)


@dataclass(frozen=True, slots=True)
class _Rack:
    """Whether the frame stays on the rack, whether only what is said was done, whether an order waits."""

    keep: bool
    only: bool
    waits: bool


def _talked(
    content: Path, base: Base, entry: Entry[Frame], when: date, rack: _Rack, options: Options
) -> Content | None:
    """Ask what was done, and write it."""
    from passport.cli.answers.trail import retraced  # only where a person sits

    asking = replace(options, question="" if options.dry_run else worded("Write this?"))

    def talked() -> Content | None:
        text, last = past(base, entry)
        told = talk(base.records, entry, last, when, order_in(text) if rack.waits and not rack.only else {})
        return _written(content, base, entry, told, rack, asking)

    if options.dry_run:
        return talked()
    return retraced(
        talked, Draft(content, f"log-{entry.name}"), f"passport log {content} {entry.record.number or entry.name}"
    )


def _written(
    content: Path, base: Base, entry: Entry[Frame], told: Told, rack: _Rack, options: Options
) -> Content | None:
    refuse_unreadable(told.words)
    make = partial(
        adding_strings,
        act=logged,
        name=entry.name,
        words=told.words,
        day=told.day,
        again=told.again,
        off_rack=not rack.keep,
        as_ordered=not rack.only and told.ordered,
    )
    return carry_out(content, "passport log", make, options, base)
