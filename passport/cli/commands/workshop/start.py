"""``passport start``: a new workshop folder that builds a site at once."""

import locale
import os
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

import click

from passport.acts.refused import Faulty
from passport.acts.start import Answers, make_workshop, problem_of, refuse_full
from passport.acts.typefaces.adding import needs
from passport.cli.shared.common import FOLDER, report
from passport.cli.shared.dialogue import ask, at_terminal
from passport.records.language.worded import worded
from passport.records.schema.workshop import PLACEHOLDER
from passport.render.theme.formats import LANGUAGES


@click.command(name="start", epilog="Example: passport start my-workshop --yes")
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.option("--name", metavar="TEXT", help="The workshop's name.")
@click.option("--address", metavar="URL", help="The web address where the site will stand.")
@click.option("--contact", metavar="TEXT", help="How players reach you: a mail address or a telephone number.")
@click.option("--language", metavar="CODE", help="The language of the pages, as in 'en'.")
@click.option("--yes", is_flag=True, help="Ask nothing; what is not said can be written into workshop.yaml later.")
def command(
    folder: Path, name: str | None, address: str | None, contact: str | None, language: str | None, yes: bool
) -> None:
    """Make a new workshop in DIR: records with remarks that explain them, a small catalogue, a sample frame.

    It asks at most four questions, and none with --yes. DIR must be new or empty.
    """
    refuse_full(folder)
    usual = Answers(language=_language_here())
    given = {"name": name, "address": address, "contact": contact, "language": language}
    said = {key: value.strip() for key, value in given.items() if value is not None}
    for key, value in said.items():
        problem = problem_of(key, value)
        if problem:
            raise click.UsageError(f"--{key}: {problem}")
    answers = Answers(**{**asdict(usual), **said}) if yes or not at_terminal() else _asked(usual, said)
    try:
        make_workshop(folder, answers)
    except Faulty as faulty:
        report(faulty.faults)  # warnings, too: nothing was written that 'passport check' could show them of
        raise click.ClickException(str(faulty)) from None
    _tell(folder, answers)


def _asked(usual: Answers, said: Mapping[str, str]) -> Answers:
    questions = {
        "name": worded("The workshop's name"),
        "address": worded("The web address where its pages will stand (codes on cards lead there)"),
        "contact": worded("How players reach you: mail address or telephone ('-' for later)"),
        "language": worded("Language of the pages ({languages})", languages=", ".join(LANGUAGES)),
    }

    def answer(key: str, question: str) -> str:
        def read(text: str) -> None:
            if problem := problem_of(key, text):
                raise ValueError(problem)

        return ask(question, asdict(usual)[key], read=read, needed=key != "contact")

    return Answers(**{key: said[key] if key in said else answer(key, question) for key, question in questions.items()})


def _language_here() -> str:
    """The language of this computer, where pages exist in it."""
    spoken = (os.environ.get("LC_ALL") or os.environ.get("LANG") or locale.getlocale()[0] or "")[:2].lower()
    return spoken if spoken in LANGUAGES else LANGUAGES[0]


def _tell(folder: Path, answers: Answers) -> None:
    click.echo(
        worded(
            "{answers}: a workshop in {folder}, with a small catalogue and one sample frame.\n\n"
            "{first}Next:\n  passport build {folder} --out site\nLook at it:\n  passport preview {folder}\n"
            "Your own first frame:\n  passport issue {folder} player/first --model sample-tennis-98 "
            '--label First --player-name "Name"\nWhen you have one, take the sample out:\n  passport erase '
            "{folder} sample",
            answers=answers.name,
            folder=folder,
            first=_first(folder),
        )
    )
    if answers.address == PLACEHOLDER:
        click.echo(
            worded(
                "Before the first card is printed, write the real web address into {folder}.",
                folder=folder / "workshop.yaml",
            )
        )


def _first(folder: Path) -> str:
    """What comes before the first build: typefaces that the language's words need and that do not ship."""
    lacking = needs(folder).scripts
    if not lacking:
        return ""
    scripts = " and ".join(need.script for need in lacking)
    return worded(
        "First, since no typeface for {scripts} comes with this program (it says where they are to "
        "be had):\n  passport fonts {folder} --take\n",
        scripts=scripts,
        folder=folder,
    )
