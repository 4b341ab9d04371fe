"""``passport take``: a frame is left at the bench."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import click

from passport.acts.adding.walkin import adding_strings
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.log import past, path_of, refuse_unreadable, units_of
from passport.acts.orders.take import refuse_unclear, taken, withdrawn
from passport.acts.refused import Misused, Refused
from passport.cli.counter.meant import frame_meant
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.talks.unknown import is_walk_in, walk_in
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.workshop.entry.bare import with_units
from passport.workshop.entry.job_from_text import Said
from passport.workshop.entry.order_from_text import condition_of, looked_at
from passport.workshop.entry.phrases import Unclear

_EXAMPLE = 'passport take content_demo 1042-9 --tension "2 lb looser" --promised friday --condition "crack none"'


@click.command(
    name="take",
    epilog=f"Example: {_EXAMPLE} --dry-run\n\n"
    'Example of a new grip alone: passport take content_demo 1107-7 --fit "overgrip @ along the handle" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option("--again", is_flag=True, help="The last stringing once more; other options change parts of it.")
@click.option(
    "--string", metavar="TEXT", help="The string of mains and crosses: its name in the catalogue, or as on the packet."
)
@click.option("--mains", metavar="TEXT", help="The string of the mains alone.")
@click.option("--crosses", metavar="TEXT", help="The string of the crosses alone.")
@click.option(
    "--tension", metavar="TENSION", help="'52 lb', '52/50 lb' for mains/crosses, or what it changes by: '2 lb looser'."
)
@click.option("--mains-tension", metavar="TENSION", help="The tension of the mains alone.")
@click.option("--crosses-tension", metavar="TENSION", help="The tension of the crosses alone.")
@click.option("--gauge", metavar="GAUGE", help="Where it differs from the catalogue's: '1.25 mm'.")
@click.option("--prestretch", metavar="PERCENT", help="Pre-stretch: '10 %'.")
@click.option("--path", metavar="WAY", help="How the string is to run, or a variant of the model.")
@click.option("--zones", metavar="ZONES", help="Strings pulled otherwise than their side: 'mains last 2 at 49 lb'.")
@click.option("--supply", metavar="reel|set", help="Where the string is to come from.")
@click.option("--stencil", metavar="TEXT", help="The shape to ink on the strings.")
@click.option("--ink", metavar="TEXT", help="Its colour.")
@click.option(
    "--fit", metavar="PART", multiple=True, help="A part to fit: 'overgrip @ along the handle'. Several times."
)
@click.option("--remove", metavar="PART", multiple=True, help="A part to take off. Several times.")
@click.option("--repair", metavar="WHAT", multiple=True, help="A repair: 'bumper: worn through'. Several times.")
@click.option("--tuning", metavar="TEXT", help="What is wanted of mass and balance: 'to the setup'.")
@click.option("--rebuild", metavar="NUMBER", help="The frame that this one is to play like.")
@click.option("--asked", metavar="TEXT", help="What was said over the counter, in its own words.")
@click.option("--promised", metavar="DAY", help="For when: 'friday', 'in 3 days', '2026-12-04'.")
@click.option("--price", metavar="TEXT", help="What was agreed.")
@click.option("--note", metavar="TEXT", help="A remark for the bench.")
@click.option(
    "--condition",
    metavar="SEEN",
    multiple=True,
    help="What was looked at: 'crack none, grommets worn 9T 10H, bumper sound, hoop clear, ring 515 Hz'. Nothing is claimed of the rest.",
)
@click.option("--photo", metavar="FILE", help="A picture of it in the photos folder; no page shows it.")
@click.option("--advised", metavar="TEXT", help="What the player was told.")
@click.option("--decided", metavar="TEXT", help="What the player wanted then.")
@click.option("--no-strings", is_flag=True, help="It waits already, and is not to be strung any more.")
@click.option("--withdraw", is_flag=True, help="Nothing is wanted any more: the frame goes home as it came.")
@click.option("--label", "labelled", is_flag=True, help="Write its label too.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Ask nothing: write it, warnings or not, but for what is probably a slip.")
@click.option("--sure", is_flag=True, help="It is no slip: a value far from what is usual, which the order notes.")
def command(
    content: Path,
    frame: str,
    again: bool,
    condition: tuple[str, ...],
    photo: str | None,
    advised: str | None,
    decided: str | None,
    no_strings: bool,
    withdraw: bool,
    labelled: bool,
    dry_run: bool,
    yes: bool,
    sure: bool,
    **said: Any,
) -> None:
    """Take a frame in: what is wanted of it, for when, and what was seen of it. It then stands on the rack.

    What is wanted is held against the frame maker's limits now, not at the machine. 'passport day' lists it by its
    promise, 'passport show' has it on top, and 'passport log' records it as done in all that is not said otherwise. A
    frame that waits already keeps what it waits for; what is said anew joins it. All of it is private. NUMBER-OR-NAME is
    a frame, or a player who has one in play. Without any option it asks.
    """
    looks = {"photo": photo, "advised": advised, "decided": decided}
    words: Said = {
        **{name: value for name, value in said.items() if value},
        **_looked(condition),
        **{f"look_{name}": value for name, value in looks.items() if value},
    }
    try:
        base, entry = frame_meant(content, frame)
    except Refused:
        if words or again or withdraw or not is_walk_in(base_of(content).records, frame):
            raise
        walk_in(content, frame, done=False)
        return
    words = with_units(words, units_of(base.records))
    options = Options(yes, "", dry_run, sure)
    gone = ("strings", "stencil") if no_strings else ()

    def written(said: Said, repeated: bool, asking: Options) -> Content | None:
        refuse_unreadable(said)
        refuse_unclear(said, today())
        make = partial(
            adding_strings, act=taken, name=entry.name, words=said, day=today(), again=repeated, left_out=gone
        )
        return carry_out(content, "passport take", make, asking, base)

    def talked() -> Content | None:
        from passport.cli.counter.taketalk import talk  # only where a person sits

        said, repeated = talk(base.records, entry, past(base, entry)[1], today())
        return written(said, repeated, replace(options, question="" if dry_run else worded("Write this?")))

    if withdraw:
        if words or again:
            raise click.UsageError(worded("--withdraw stands alone: nothing is wanted any more."))
        asking = replace(options, question=worded("Take it off the rack?"))
        done = carry_out(content, "passport take", partial(withdrawn, name=entry.name), asking, base)
    elif words or again or no_strings:
        done = written(words, again, options)
    elif not at_terminal():
        do = worded("Say what is wanted: --again, --tension …, --fit …, --promised …; --help shows them all.")
        raise click.UsageError(do)
    elif dry_run:
        done = talked()
    else:
        from passport.cli.answers.trail import retraced

        handle = entry.record.number or entry.name
        done = retraced(talked, Draft(content, f"take-{entry.name}"), f"passport take {content} {handle}")
    if done is not None:
        click.echo(worded("Written to {content}.", content=content / path_of(entry.name)))
        if not withdraw:
            _label(done, entry.name, wanted=labelled)


def _label(records: Content, name: str, *, wanted: bool) -> None:
    """Write the label of what was taken, or say how."""
    entry, content = records.frames[name], records.root
    if not wanted:
        click.echo(
            worded("Its label: passport label {content} {value}", content=content, value=entry.record.number or name)
        )
        return
    from passport.acts.printing import roll_of
    from passport.cli.commands.orders.label import (  # WeasyPrint takes a second to import
        label_file,
        write_labels,
    )

    write_labels(records, [entry], roll_of(records), label_file(content, [entry]))


def _looked(condition: tuple[str, ...]) -> dict[str, str]:
    """What was looked at, by its field. Raises Misused where it cannot be read."""
    try:
        found = looked_at(", ".join(condition))
        condition_of(found)
    except Unclear as unclear:
        raise Misused(worded("--condition: {unclear}", unclear=unclear)) from None
    return found
