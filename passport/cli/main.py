"""The command ``passport``."""

import sys
from importlib import import_module

import click

from passport import __version__

_COMMANDS = {
    "build": "passport.cli.build",
    "check": "passport.cli.check",
    "issue": "passport.cli.issue",
    "schema": "passport.cli.schema",
}


class _Lazy(click.Group):
    """Imports a command only when it is called, so that ``--help`` answers at once."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        module = _COMMANDS.get(cmd_name)
        if module is None:
            return None
        command: click.Command = import_module(module).command
        return command


@click.group(
    cls=_Lazy,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit codes: 0 all is well, 1 faults in the records or the work could not be done, 2 wrong usage.",
)
@click.version_option(__version__, prog_name="passport")
def main() -> None:
    """Racquet passports from a workshop's records: check them, build the site and the cards.

    CONTENT is the folder that holds workshop.yaml. Begin with:

    \b
      passport check content_demo
      passport build content_demo --out site
    """


if __name__ == "__main__":
    sys.exit(main())
