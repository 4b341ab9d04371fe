"""Questions on the terminal, asked only where a person sits there; each answer is tried before it is taken."""

import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial

import click
from rich.console import Console

from passport.cli.answers.trail import BACK, STOP, GoneBack, Stopped, agrees, choices, trail
from passport.records.language.worded import worded

Try = Callable[[str], object]
"""Reads an answer; raises ValueError with a sentence for a person where it will not do."""
NONE = "-"
"""What a person types for nothing where something is offered."""


def at_terminal() -> bool:
    """Whether a person can be asked: both ends are a terminal."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def ask(question: str, offered: str = "", *, read: Try | None = None, needed: bool = False) -> str:
    """An answer to a question: the offered one on Enter, nothing on ``-``; asked again until it can be read."""
    hint, way = f" [{offered}]" if offered else "", trail()
    while True:
        known = way.known(question) if way else None
        given = _given(f"{question}{hint}: ", offered) if known is None else known
        problem = problem_with(given, read) if given else worded("This one is needed.") if needed else ""
        if not problem:
            if way:
                way.take(question, given)
            return given
        if way and known is not None:
            way.refuse()
        click.echo(f"  {problem}")


def _given(prompt: str, offered: str) -> str:
    click.echo(prompt, nl=False)
    line = sys.stdin.readline()
    if not line:
        raise click.Abort
    given = " ".join(line.split())
    if trail() and given in (BACK, STOP):
        raise GoneBack if given == BACK else Stopped
    return offered if not given else "" if given == NONE else given


def problem_with(given: str, read: Try | None) -> str:
    """What is wrong with an answer, in a sentence or two; empty where nothing is."""
    try:
        if read:
            read(given)
    except ValueError as error:
        return str(error)
    return ""


def choose(question: str, among: Sequence[tuple[str, str]], offered: str = "") -> str:
    """One of some names, each shown with a word on it; answered by its number in the list, its name or a part of it."""
    width = len(str(len(among)))
    for n, (name, words) in enumerate(among, start=1):
        click.echo(f"  {n:>{width}}  {name}  {click.style(words, dim=True)}")

    def meant(given: str) -> str:
        names = [name for name, _ in among]
        if given.isdigit() and 1 <= int(given) <= len(names):
            return names[int(given) - 1]
        low = given.lower()
        found = [name for name, words in among if low in name.lower() or low in words.lower()]
        exact = [name for name in names if name == given]
        if len(exact or found) != 1:
            raise ValueError(
                worded("Type its number, or enough of its name.") if not found else worded("More than one fits.")
            )
        return (exact or found)[0]

    name = meant(ask(question, offered, read=meant, needed=True))
    if way := trail():
        way.called(name)
    return name


def confirmed(question: str, *, yes: bool, default: bool = True, trailed: bool = True) -> bool:
    """Whether a person agrees. ``yes`` agrees beforehand; where nobody can be asked the answer is no.

    An agreement that something is written is not ``trailed``: it is asked for anew each time.
    """
    if yes:
        return True
    if not at_terminal():
        return False
    way = trail()
    known = way.known(question) if way and trailed else None
    answer = _given(f"{question} [{choices(default=default)}] ", "") if known is None else known
    agreed = default if not answer else agrees(answer)
    if way and trailed:
        way.take(question, "y" if agreed else "n")
    return agreed


@contextmanager
def patience(words: str, after: float = 1.0) -> Iterator[None]:
    """Says on a terminal what is being done, once it has taken longer than ``after`` seconds.

    A terminal that cannot move its cursor (``TERM=dumb``) gets the words once, as a line of their own.
    """
    console = Console(stderr=True)
    if not console.is_terminal:
        yield
        return
    status = console.status(words)
    # rich draws nothing at all on such a terminal until the work is done, and somebody may be waiting there as well
    speak = partial(console.print, words) if console.is_dumb_terminal else status.start
    timer = threading.Timer(after, speak)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        timer.join()  # a status that starts after it was stopped would go on turning
        status.stop()
