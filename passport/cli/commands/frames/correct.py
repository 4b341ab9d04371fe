"""``passport correct``: change or take out what the records say by mistake, without an editor."""

from functools import partial
from pathlib import Path

import click

from passport.acts.amending import correct, targets
from passport.acts.amending.correct import Corrections
from passport.acts.amending.targets import KEPT, LAST, Kept, Target
from passport.acts.change import Base
from passport.acts.drafts import Draft
from passport.acts.picking import concerned, owners, pick
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.shared.folder import build_command
from passport.records.language.worded import worded

_Written = tuple[Target, Corrections]


@click.command(
    name="correct",
    epilog='Example: passport correct content_demo 1042-9 --job 2026-06-24 --set "mains.tension=52 lb" --dry-run\n\n'
    "Example of a reading taken out: passport correct content_demo 1042-9 --job 2026-06-24 --reading 1 --remove --dry-run\n\n"
    'Example of a contact: passport correct content_demo 1042-9 --player --set "contact.phone=01632 960555" --dry-run\n\n'
    'Example of the catalogue: passport correct content_demo deep-petrol-125 --string --set "gauge=1.24 mm" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("name", metavar="[NUMBER-OR-NAME]", default="")
@click.option("--job", metavar="JOB", help="A job: 'last', its day, or its place in the record; '2026-04-15/2' of two.")
@click.option(
    "--reading", metavar="N", help="A reading of the job, of the last one, or of a blank: 'last', or its place."
)
@click.option("--setup", is_flag=True, help="The setup.")
@click.option("--frame", is_flag=True, help="The frame: label, grip, serial, status and the like.")
@click.option("--player", is_flag=True, help="The player: name, contact, language. NUMBER-OR-NAME may name the player.")
@click.option("--blank", is_flag=True, help="The blank of that name.")
@click.option("--string", is_flag=True, help="The string of that name in the catalogue.")
@click.option("--model", is_flag=True, help="The frame model of that name in the catalogue.")
@click.option("--part", is_flag=True, help="The part of that name in the catalogue.")
@click.option("--lot", is_flag=True, help="The lot of that name in the book of the stock.")
@click.option("--workshop", is_flag=True, help="What workshop.yaml says; no name is needed.")
@click.option("--set", "values", multiple=True, metavar="NAME=VALUE", help="What a value should be. Several times.")
@click.option("--unset", multiple=True, metavar="NAME", help="A value to take out. Several times.")
@click.option(
    "--remove", is_flag=True, help="Take the whole job, reading, setup, blank, string, model, part or lot out."
)
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before writing; what is probably a slip is refused.")
@click.option("--sure", is_flag=True, help="It is no slip: a value far from what is usual, which the record notes.")
def command(
    content: Path,
    name: str,
    job: str | None,
    reading: str | None,
    values: tuple[str, ...],
    unset: tuple[str, ...],
    remove: bool,
    dry_run: bool,
    yes: bool,
    sure: bool,
    **kinds: bool,
) -> None:
    """Change or take out a job, a reading, the setup, what is said of frame or player, a blank, an entry of the catalogue.

    No other line is touched. Values are named as in the record, 'strings.mains.tension', or by as much of the end as only
    one value has: 'ring'. A job whose day is changed goes to its place in the list. Without options it lists what there
    is and asks. NUMBER-OR-NAME is a passport number or PLAYER/FRAME, or the name of what an option says.
    """
    chosen = [kind for kind, wanted in kinds.items() if wanted]
    if len(chosen) + bool(job or (reading and chosen != ["blank"])) > 1:
        options = ", ".join(f"--{kind}" for kind in kinds)
        raise click.UsageError(worded("Choose one: --job with --reading, {options}.", options=options))
    kind = chosen[0] if chosen else "job" if job or reading else ""
    wanted = Corrections(_said(values, unset), remove)
    if kind and bool(wanted.values) == remove:
        raise click.UsageError(worded("Say what becomes of it: --set NAME=VALUE, --unset NAME, or --remove."))
    if not name and kind != "workshop":
        raise click.UsageError(worded("Say what is wrong: NUMBER-OR-NAME, or --workshop."))
    base = base_of(content, _concerned(content, kind, name, wanted))
    asking = Options(yes, worded("Write this?"), dry_run, sure)
    if kind:
        done = _written(base, _target(base, kind, name, job or LAST, reading), wanted, asking)
    elif at_terminal() and not wanted.values and not remove:
        from passport.cli.answers.trail import retraced  # only where a person sits
        from passport.cli.shared.correcttalk import talk

        def talked() -> _Written | None:
            return _written(base, *talk(base, name), asking)

        again = f"passport correct {content} {name}"
        done = talked() if dry_run else retraced(talked, Draft(content, f"correct-{name}"), again)
    else:
        kinds_ = ", ".join(f"--{kind}" for kind in kinds)
        raise click.UsageError(worded("Say what is wrong: --job, --reading, {kinds}.", kinds=kinds_))
    if done:
        target, wanted = done
        gone = wanted.remove and not target.path
        said = (
            worded("{content} is taken away", content=content / target.file)
            if gone
            else worded("Written to {content}", content=content / target.file)
        )
        click.echo(worded("{said}. To take it back: passport undo {content}", said=said, content=content))
        click.echo(worded("Next: {build_command}", build_command=build_command(content)))


def _concerned(content: Path, kind: str, name: str, wanted: Corrections) -> set[str] | None:
    """The players of whom something is to be read; all where None."""
    if kind == "frame":
        return concerned(content, name, wanted.values.values())
    return owners(content, name) if kind in ("job", "setup") else None


def _written(base: Base, target: Target, wanted: Corrections, options: Options) -> _Written | None:
    """Write a correction; what it was of, or None where it was not written."""
    make = partial(correct.corrected, target=target, wanted=wanted)
    return (target, wanted) if carry_out(base.records.root, "passport correct", make, options, base) else None


def _said(values: tuple[str, ...], unset: tuple[str, ...]) -> dict[str, str]:
    said = dict.fromkeys(unset, "")
    for text in values:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not sign or not name or not value:
            raise click.UsageError(
                worded("--set '{text}': write NAME=VALUE, as in 'note=Grommets new'; --unset takes one out.", text=text)
            )
        said[name] = value
    return said


def _target(base: Base, kind: str, name: str, job: str, reading: str | None) -> Target:
    kept: Kept | None = next((one for one in KEPT if one == kind), None)
    if kind == "workshop":
        return targets.workshop(base)
    if kind == "player":
        return targets.player(base, name)
    if kept:
        found = targets.kept(base, kept, name)
        return targets.reading(found, reading) if reading else found
    entry = pick(base.records, name)
    if kind == "setup":
        return targets.setup(base, entry)
    if kind == "frame":
        return targets.frame(base, entry)
    found = targets.job(base, entry, job)
    return targets.reading(found, reading) if reading else found
