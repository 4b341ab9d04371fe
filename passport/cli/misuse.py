"""What the library of the command line says of wrong usage, in the workshop's language.

Click has its sentences in English. Where an error says by its kind what is wrong, the sentence is made of that; what it
tells by its text alone is known by the text. What is not known stays as Click says it.
"""

import re
from typing import Final

import click

from passport.records.language.worded import unsaid, worded

_KNOWN: Final = (
    (r"Got unexpected extra arguments? \((?P<words>.*)\)", unsaid("This is more than the command takes: {words}")),
    (r"(?P<text>'.*') is not a valid [\w ]+\.", unsaid("{text} is not a number.")),
    (r"(?P<text>.*) is not in the range (?P<bounds>.*)\.", unsaid("{text} is not in the range {bounds}.")),
    (r"(?P<text>'.*') is not one of (?P<choices>.*)\.", unsaid("{text} is none of {choices}.")),
    (r"(?P<text>'.*') is not (?P<choices>'.*')\.", unsaid("{text} is not {choices}.")),
    (r"(?P<text>'.*') does not match the formats? (?P<form>.*)\.", unsaid("{text} is not written as {form}.")),
    (r"\w+ (?P<text>'.*') does not exist\.", unsaid("{text} is not there.")),
    (r"\w+ (?P<text>'.*') is a file\.", unsaid("{text} is a file and no folder.")),
    (r"\w+ (?P<text>'.*') is a directory\.", unsaid("{text} is a folder and no file.")),
    (r"\w+ (?P<text>'.*') is not (?:readable|writable)\.", unsaid("You have no right to use {text}.")),
    (r"Option (?P<option>'.*') requires (?:an|\d+) arguments?\.", unsaid("{option} wants a value behind it.")),
    (r"Option (?P<option>'.*') does not take a value\.", unsaid("{option} takes no value.")),
    (r"Missing command\.", unsaid("No command is named.")),
)
"""Sentences of Click, with the names of what stands in them, and ours."""


def in_words(error: click.ClickException) -> str:
    """What is wrong, in the workshop's language."""
    if isinstance(error, click.NoSuchOption):
        near = ", ".join(error.possibilities or ())
        more = worded(" Did you mean {names}?", names=near) if near else ""
        return worded("There is no option '{option}'.", option=error.option_name) + more
    if isinstance(error, click.MissingParameter):
        return worded("{name} is missing.", name=_hint(error)) if error.param or error.param_hint else str(error)
    if isinstance(error, click.BadParameter):
        hint = _hint(error)
        return f"{hint}: {_sentence(error.message)}" if hint else _sentence(error.message)
    return _sentence(error.format_message())


def _hint(error: click.BadParameter) -> str:
    """The names of the option or argument that an error is about."""
    hint = error.param_hint
    if hint is None and error.param is not None:
        hint = error.param.get_error_hint(error.ctx)
    return hint if isinstance(hint, str) else " / ".join(f"'{one}'" for one in hint or ())


def _sentence(text: str) -> str:
    for pattern, ours in _KNOWN:
        if found := re.fullmatch(pattern, text, re.DOTALL):
            return worded(ours, **found.groupdict())
    return text
