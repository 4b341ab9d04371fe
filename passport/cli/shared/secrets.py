"""Passphrases, typed unseen or taken from the environment, and never from the command line, which others can read."""

import os

import click

from passport.cli.shared.dialogue import at_terminal
from passport.records.language.worded import worded

VARIABLE = "PASSPORT_PASSPHRASE"
LEAST = 10
"""Characters of a new passphrase."""


def passphrase() -> str:
    """The passphrase of something that is encrypted. Ends the command where nobody can type one."""
    given = os.environ.get(VARIABLE, "")
    if given:
        return given
    if not at_terminal():
        raise click.UsageError(worded("This is encrypted: put its passphrase into {variable}.", variable=VARIABLE))
    return str(click.prompt(worded("Passphrase"), hide_input=True))


def new_passphrase() -> str:
    """A passphrase to encrypt with, typed twice. Ends the command where it is too short."""
    given = os.environ.get(VARIABLE, "")
    if not given:
        if not at_terminal():
            raise click.UsageError(
                worded("Put a passphrase into {variable}, or run this at a terminal.", variable=VARIABLE)
            )
        given = str(click.prompt(worded("A new passphrase"), hide_input=True, confirmation_prompt=True))
    if len(given) < LEAST:
        raise click.UsageError(
            worded("A passphrase needs {least} characters or more: four words that nobody would guess.", least=LEAST)
        )
    return given
