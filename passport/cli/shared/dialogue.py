"""Questions on the terminal, asked only where a person sits there; each answer is tried before it is taken."""

import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

import click
from rich.console import Console

Try = Callable[[str], object]
"""Reads an answer; raises ValueError with a sentence for a person where it will not do."""
NONE = "-"
"""What a person types for nothing where something is offered."""


def at_terminal() -> bool:
    """Whether a person can be asked: both ends are a terminal."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def ask(question: str, offered: str = "", *, read: Try | None = None, needed: bool = False) -> str:
    """An answer to a question: the offered one on Enter, nothing on ``-``; asked again until it can be read."""
    hint = f" [{offered}]" if offered else ""
    while True:
        given = _given(f"{question}{hint}: ", offered)
        if not given:
            if not needed:
                return ""
            click.echo("  This one is needed.")
            continue
        problem = problem_with(given, read)
        if not problem:
            return given
        click.echo(f"  {problem}")


def _given(prompt: str, offered: str) -> str:
    click.echo(prompt, nl=False)
    line = sys.stdin.readline()
    if not line:
        raise click.Abort
    given = " ".join(line.split())
    return offered if not given else "" if given == NONE else given


def problem_with(given: str, read: Try | None) -> str:
    """What is wrong with an answer, in a sentence or two; empty where nothing is."""
    try:
        if read:
            read(given)
    except ValueError as error:
        return str(error)
    return ""


def choose(question: str, choices: Sequence[tuple[str, str]], offered: str = "") -> str:
    """One of some names, each shown with a word on it; answered by its number in the list, its name or a part of it."""
    width = len(str(len(choices)))
    for n, (name, words) in enumerate(choices, start=1):
        click.echo(f"  {n:>{width}}  {name}  {click.style(words, dim=True)}")

    def meant(given: str) -> str:
        names = [name for name, _ in choices]
        if given.isdigit() and 1 <= int(given) <= len(names):
            return names[int(given) - 1]
        low = given.lower()
        found = [name for name, words in choices if low in name.lower() or low in words.lower()]
        exact = [name for name in names if name == given]
        if len(exact or found) != 1:
            raise ValueError("Type its number, or enough of its name." if not found else "More than one fits.")
        return (exact or found)[0]

    return meant(ask(question, offered, read=meant, needed=True))


def confirmed(question: str, *, yes: bool, default: bool = True) -> bool:
    """Whether a person agrees. ``yes`` agrees beforehand; where nobody can be asked the answer is no."""
    if yes:
        return True
    if not at_terminal():
        return False
    signs = "Y/n" if default else "y/N"
    answer = _given(f"{question} [{signs}] ", "").lower()
    return default if not answer else answer.startswith("y")


@contextmanager
def patience(words: str, after: float = 1.0) -> Iterator[None]:
    """Says on a terminal what is being done, once it has taken longer than ``after`` seconds."""
    console = Console(stderr=True)
    if not console.is_terminal:
        yield
        return
    status = console.status(words)
    timer = threading.Timer(after, status.start)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        status.stop()
