"""A change of the records on the terminal: shown, its warnings printed, agreed to."""

from collections.abc import Callable, Collection, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

import click

from passport.acts import change
from passport.acts.change import Asking, Base, Change
from passport.acts.refused import Faulty, Refused
from passport.cli.shared.common import report
from passport.cli.shared.dialogue import at_terminal, confirmed, patience
from passport.cli.shared.printed import warn
from passport.records.checks import DOUBTS
from passport.records.faults import Fault, has_errors
from passport.records.language.worded import worded
from passport.records.load import Content

_GRAVE = frozenset({"tension-limit", *DOUBTS})
"""Warnings of what can hurt somebody, or is probably a slip: there Enter alone does not agree."""


@dataclass(frozen=True)
class Options:
    """How far a person wants to be asked: ``yes`` agrees to all but what is probably a slip, which takes ``sure``;
    ``question`` is asked in any case, ``dry_run`` stops.

    With ``errors_too`` an error that the change brings is shown and asked about, and is not the end of it.
    """

    yes: bool = False
    question: str = ""
    dry_run: bool = False
    sure: bool = False
    errors_too: bool = False


def carry_out(
    folder: Path, work: str, make: Callable[[Base], Change], options: Options, base: Base | None = None
) -> Content | None:
    """Have a change worked out, shown, agreed to and written; the content with it, or None where nothing was written."""
    return change.carry_out(folder, work, make, _Terminal(options), base, dry_run=options.dry_run)


def asking_of(options: Options) -> Asking:
    """The person at this terminal, or nobody, for an act that asks by itself."""
    return _Terminal(options)


def base_of(folder: Path, players: Collection[str] | None = None) -> Base:
    """The records as they are, with their faults, and a word of patience where that takes long."""
    return change.base_of(folder, players, reading)


def said(words: str) -> None:
    """A word on the way, on standard error."""
    click.echo(words, err=True)


def styled(shown: str, headings: Sequence[str]) -> str:
    """A text with some of its lines in bold."""
    lines = shown.split("\n")
    return "\n".join(click.style(line, bold=True) if line in headings else line for line in lines)


def reading() -> AbstractContextManager[None]:
    """Held while records are read: a word of patience where that takes long."""
    return patience(worded("Reading the records …"))


@dataclass(frozen=True)
class _Terminal:
    """A person at a terminal, or nobody."""

    options: Options

    @property
    def waits(self) -> bool:
        return not self.options.yes and at_terminal()

    @property
    def sure(self) -> bool:
        return self.options.sure

    def reading(self) -> AbstractContextManager[None]:
        return reading()

    def say(self, words: str) -> None:
        said(words)

    def agreed(self, change: Change, faults: Sequence[Fault]) -> bool:
        """Show the change, then whether it may be written. Raises Faulty where it would bring an error."""
        click.echo(styled(change.shown, change.headings), nl=bool(change.shown))
        if has_errors(faults) and not self.options.errors_too:
            raise Faulty(faults, worded("Nothing was written: the record would have an error."))
        report(faults)
        agreed = self._sure([doubt for found in change.doubts.values() for doubt in found]) and self._agreed(faults)
        if not agreed:
            click.echo(worded("Nothing was written."))
        return agreed

    def _sure(self, doubts: Sequence[str]) -> bool:
        """Whether a person agrees to what is likely a slip. Raises Refused where nobody can be asked."""
        for doubt in doubts:
            warn(doubt)
        if not doubts or self.options.sure or self.options.dry_run:
            return True
        if self.options.yes or not at_terminal():
            do = worded("Add --sure where it is meant; --yes does not agree to that.")
            raise Refused(worded("Nothing was written: this is likely a slip. {do}", do=do))
        return confirmed(worded("Is that meant?"), yes=False, default=False, trailed=False)

    def _agreed(self, faults: Sequence[Fault]) -> bool:
        options = self.options
        if options.dry_run:
            return True
        doubts = 0 if options.sure else sum(fault.rule in DOUBTS for fault in faults)
        if doubts and (options.yes or not at_terminal()):
            one = doubts == 1
            what = worded("One value is") if one else worded("{doubts} values are", doubts=doubts)
            do = (
                worded("Look at it above, and add --sure if it is right.")
                if one
                else worded("Look at them above, and add --sure if they are right.")
            )
            raise Refused(worded("Nothing was written: {what} far from all that is usual. {do}", what=what, do=do))
        if options.yes:
            return True
        harmless = not any(fault.rule in _GRAVE or fault.severity == "error" for fault in faults)
        if options.question:
            if not at_terminal():
                raise Refused(worded("Nothing was written: nobody is here to agree. Add --yes to do it all the same."))
            return confirmed(options.question, yes=False, default=harmless, trailed=False)
        return not (faults and at_terminal()) or confirmed(
            worded("Write it all the same?"), yes=False, default=harmless, trailed=False
        )
