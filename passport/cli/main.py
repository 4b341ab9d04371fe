"""The command ``passport``."""

import gc
import os
import sys
from importlib import import_module
from typing import IO, Any

import click

from passport import __version__
from passport.records.language.worded import worded

os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # none has a say in records; looking for them takes time
gc.set_threshold(50_000, 50, 50)  # what is imported stays: looking through it for rubbish is a tenth of a short command

_COMMANDS = {
    "start": ("passport.cli.commands.workshop.start", "Make a new workshop folder."),
    "check": ("passport.cli.commands.workshop.check", "Report every fault in the records."),
    "issue": ("passport.cli.commands.frames.issue", "Give a frame its number and key; make its record."),
    "walk-in": ("passport.cli.commands.frames.walkin", "Somebody comes in, known or new."),
    "log": ("passport.cli.commands.frames.log", "Record a job: strings, parts, repairs, readings."),
    "import": ("passport.cli.commands.workshop.import_", "Take a past table over, with players and frames."),
    "correct": ("passport.cli.commands.frames.correct", "Correct a job, a reading, a setup, a contact."),
    "target": ("passport.cli.commands.bench.target", "Say what a frame must be again."),
    "blank": ("passport.cli.commands.bench.blank", "Put a frame into stock, or measure one there."),
    "check-instrument": (
        "passport.cli.commands.bench.instrument",
        "Note what an instrument showed of something known.",
    ),
    "player": ("passport.cli.commands.bench.player", "Say what a player wishes, and how to reach them."),
    "undo": ("passport.cli.commands.frames.undo", "Take the last change back."),
    "lost": ("passport.cli.commands.frames.lost", "Mark a frame as lost."),
    "found": ("passport.cli.commands.frames.found", "Mark a lost frame as found."),
    "retire": ("passport.cli.commands.frames.retire", "Take a frame out of play for good."),
    "seal": ("passport.cli.commands.frames.seal", "Have only the code on the card open a frame's page."),
    "erase": ("passport.cli.commands.frames.erase", "Erase a player from records and site."),
    "rebuild": (
        "passport.cli.commands.rebuild.rebuild",
        "What to fit to a blank so that it plays like a lost frame.",
    ),
    "match": ("passport.cli.commands.rebuild.match", "Work out what makes frames equal."),
    "adopt": ("passport.cli.commands.exchange.adopt", "Make a frame of your own from another workshop's."),
    "export": ("passport.cli.commands.exchange.export", "Give a player the whole history to take along."),
    "addresses": ("passport.cli.commands.workshop.addresses", "Show the issued addresses; mend their ledger."),
    "build": ("passport.cli.commands.workshop.build", "Write the public site and the cards."),
    "publish": ("passport.cli.commands.online.publish", "Put the site where the web sees it."),
    "verify": ("passport.cli.commands.online.verify", "Ask the web what it really serves."),
    "move-address": ("passport.cli.commands.online.moveaddress", "Have an old address lead to the new one."),
    "hosting": ("passport.cli.commands.online.hosting", "Write the set-up of a web server for the site."),
    "bench": ("passport.cli.commands.workshop.bench", "Work at the bench in a browser of this computer."),
    "preview": ("passport.cli.commands.workshop.preview", "Show the site while you work on the records."),
    "trust": ("passport.cli.commands.workshop.trust", "Let a shop's own templates run outside the sandbox."),
    "fonts": ("passport.cli.commands.workshop.fonts", "Take typefaces for names in other scripts."),
    "find": ("passport.cli.commands.views.find", "Find a frame by what you remember of it."),
    "show": ("passport.cli.commands.views.show", "The whole recipe of a frame, as needed at the machine."),
    "plot": ("passport.cli.commands.views.plot", "Draw the course of a frame, for your own use."),
    "cards": ("passport.cli.commands.views.cards", "Lay cards, tags and stickers on sheets for printing."),
    "calibrate": ("passport.cli.commands.views.calibrate", "Make a page that tells what a printer does to cards."),
    "take": ("passport.cli.commands.orders.take", "Take a frame in: what is wanted of it, for when."),
    "label": ("passport.cli.commands.orders.label", "Print the label of a racquet that waits."),
    "handover": ("passport.cli.commands.orders.handover", "Hand frames back: to whom, what is paid or owed."),
    "owed": ("passport.cli.commands.orders.owed", "List what is owed, with contact."),
    "day": ("passport.cli.commands.views.day", "Print the bench's page of the day: the rack, and who is due."),
    "due": ("passport.cli.commands.views.due", "List who is due for restringing, with contact."),
    "series": ("passport.cli.commands.views.series", "Print a sheet to string a player's frames in one go."),
    "stock": ("passport.cli.commands.views.stock", "What is in stock, how long it lasts, what to order."),
    "batch": ("passport.cli.commands.views.batch", "List every frame that carries a batch of string."),
    "tell": ("passport.cli.commands.bench.tell", "Tell a player that work is done or strings are due."),
    "instruments": ("passport.cli.commands.views.instruments", "How sure the bench is, and what to check next."),
    "what-if": ("passport.cli.commands.views.whatif", "Compare a frame's recipe with another one."),
    "backup": ("passport.cli.commands.workshop.backup", "Save the workshop into one file."),
    "restore": ("passport.cli.commands.workshop.restore", "Bring a workshop back from its backup."),
    "upgrade": ("passport.cli.commands.workshop.upgrade", "Bring records of an earlier version up to this one."),
    "retention": ("passport.cli.commands.workshop.retention", "Look at contacts and photos that nobody needs."),
    "schema": ("passport.cli.commands.workshop.schema", "Write JSON Schemas for editors."),
}
"""Each command's module, and its short help: that it stands here lets ``--help`` answer without importing them."""


class _InWords(click.ClickException):
    """How a command ended, told in another language than English; the library tells it in English alone."""

    def __init__(self, error: click.ClickException) -> None:
        from passport.cli.misuse import in_words

        super().__init__(in_words(error))
        self._ctx: click.Context | None = getattr(error, "ctx", None)

    def show(self, file: IO[Any] | None = None) -> None:
        """Print it on standard error, after how the command is used where it was used wrongly."""
        if self._ctx is not None:
            click.echo(self._ctx.get_usage(), err=True)
            click.echo(worded("'{command} --help' tells more.", command=self._ctx.command_path) + "\n", err=True)
        click.echo(worded("Error: {refused}", refused=self.message), err=True)


class _MisusedInWords(_InWords):
    """The same for wrong usage."""

    exit_code = 2


class _Lazy(click.Group):
    """Imports a command only when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        command: click.Command = import_module(_COMMANDS[cmd_name][0]).command
        return command

    def main(self, *args: Any, **kwargs: Any) -> Any:
        from passport.records.language.worded import speaking
        from passport.render.voice.bench_voice import found_voice, language_here

        with speaking(found_voice(language_here)):  # until a workshop is named
            return super().main(*args, **kwargs)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return self._invoked(ctx)
        except click.ClickException as error:
            from passport.records.language.worded import spoken

            if spoken() == "en":
                raise
            raise (_MisusedInWords if error.exit_code == click.UsageError.exit_code else _InWords)(error) from None

    def _invoked(self, ctx: click.Context) -> Any:
        from passport.acts.refused import Faulty, Misused, Refused
        from passport.records.disk.opening import NotRead

        try:
            return super().invoke(ctx)
        except Faulty as faulty:
            from passport.cli.shared.printed import in_short

            in_short(faulty.faults)
            click.echo(str(faulty), err=True, nl=bool(str(faulty)))
            ctx.exit(1)
        except Misused as misused:
            raise click.UsageError(str(misused)) from None
        except Refused as refused:
            raise click.ClickException(str(refused)) from None
        except NotRead as error:
            raise click.ClickException(
                worded("'{filename}' was not read: {strerror}.", filename=error.filename, strerror=error.strerror)
            ) from None
        except PermissionError as error:  # what no act foresaw that the system might not let it read or write
            if error.filename is None:
                raise  # not about a file, so there is nothing to tell a person to look at
            do = worded(
                "Give yourself the right to use it; 'ls -ld {filename}' shows whose it is.", filename=error.filename
            )
            raise click.ClickException(f"'{error.filename}': {error.strerror}.\n  {do}") from None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            from passport.records.yaml.validation_messages import closest  # brings pydantic, which --help does without

            ctx.fail(
                worded(
                    "There is no command '{args}'. {closest}", args=args[0], closest=closest(args[0], _COMMANDS)
                ).rstrip()
            )
        name, command, rest = super().resolve_command(ctx, args)
        if command is not None:
            from passport.cli.shared.folder import AS_DATA, with_content
            from passport.records.language.worded import speak

            if "--json" in rest:
                ctx.meta[AS_DATA] = True
                speak(None)
            rest = with_content(command, ctx, rest)
        return name, command, rest

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, short) for name, (_, short) in _COMMANDS.items()])


def _keep(ctx: click.Context, _: click.Parameter, value: str | None) -> None:
    """Keep the content folder that was named before the command."""
    ctx.obj = value


@click.group(
    cls=_Lazy,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit codes: 0 all is well, 1 faults in the records or the work could not be done, 2 wrong usage.",
)
@click.version_option(__version__, prog_name="passport")
@click.option(
    "--content", metavar="FOLDER", expose_value=False, callback=_keep, help="The folder that holds workshop.yaml."
)
def main() -> None:
    """Racquet passports from a workshop's records: check them, build the site and the cards.

    CONTENT is the folder that holds workshop.yaml. It need not be named by who stands in it, or in a folder in it;
    --content and the variable PASSPORT_CONTENT name another. Begin with:

    \b
      passport check content_demo
      passport build content_demo --out site
    """


if __name__ == "__main__":
    sys.exit(main())
