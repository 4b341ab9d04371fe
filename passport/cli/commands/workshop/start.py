"""``passport start``: a new workshop folder that builds a site at once."""

import locale
import os
import re
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import click
from pydantic import TypeAdapter, ValidationError

from passport.cli.shared.common import FOLDER, checked, report, today, writing
from passport.cli.shared.dialogue import ask, at_terminal
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.schema import numbers
from passport.records.schema.base import WebAddress
from passport.records.schema.workshop import PLACEHOLDER
from passport.records.yaml.yamlwrite import scalar
from passport.render.theme import assets
from passport.render.theme.formats import LANGUAGES

_HARMLESS = {".git", ".gitignore", ".gitkeep", ".gitattributes", ".DS_Store"}
_ADDRESS: TypeAdapter[str] = TypeAdapter(WebAddress)
_LATELY, _BEFORE = 6, 82
"""How many days ago the sample's two jobs were."""
_MARK = re.compile(r"@([A-Z_]+)@")


@dataclass(frozen=True, slots=True)
class Answers:
    """What is asked: the workshop's name, its web address, how players reach it, the language of its pages."""

    name: str = "My racquet bench"
    address: str = PLACEHOLDER
    contact: str = ""
    language: str = "en"


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
    _refuse_full(folder)
    usual = Answers(language=_language_here())
    given = {"name": name, "address": address, "contact": contact, "language": language}
    said = {key: value.strip() for key, value in given.items() if value is not None}
    for key, value in said.items():
        problem = _problem(key, value)
        if problem:
            raise click.UsageError(f"--{key}: {problem}")
    answers = Answers(**{**_known(usual), **said}) if yes or not at_terminal() else _asked(usual, said)
    _make(folder, answers)
    _tell(folder, answers)


def _refuse_full(folder: Path) -> None:
    if folder.is_file() or (folder.is_symlink() and not folder.is_dir()):
        raise click.ClickException(f"'{folder}' is not a folder. Name a new one.")
    found = sorted(p.name for p in folder.iterdir() if p.name not in _HARMLESS) if folder.is_dir() else []
    if found:
        do = "Name a new folder, or an empty one."
        raise click.ClickException(
            f"'{folder}' is not empty: it holds {', '.join(found[:3])}. It is left as it is. {do}"
        )


def _known(answers: Answers) -> dict[str, str]:
    return {name: getattr(answers, name) for name in ("name", "address", "contact", "language")}


def _asked(usual: Answers, said: Mapping[str, str]) -> Answers:
    questions = {
        "name": "The workshop's name",
        "address": "The web address where its pages will stand (codes on cards lead there)",
        "contact": "How players reach you: mail address or telephone ('-' for later)",
        "language": f"Language of the pages ({', '.join(LANGUAGES)})",
    }

    def answer(key: str, question: str) -> str:
        def read(text: str) -> None:
            if problem := _problem(key, text):
                raise ValueError(problem)

        return ask(question, _known(usual)[key], read=read, needed=key != "contact")

    return Answers(**{key: said[key] if key in said else answer(key, question) for key, question in questions.items()})


def _problem(key: str, value: str) -> str:
    if key == "address":
        try:
            _ADDRESS.validate_python(value)
        except ValidationError as error:
            said = error.errors()[0].get("ctx", {})
            return f"{said.get('what', '')} {said.get('do', '')}".strip()
    if key == "language" and value not in LANGUAGES:
        return f"Use one of: {', '.join(LANGUAGES)}."
    if key == "name" and not value:
        return "A workshop has a name."
    return ""


def _language_here() -> str:
    """The language of this computer, where pages exist in it."""
    spoken = (os.environ.get("LC_ALL") or os.environ.get("LANG") or locale.getlocale()[0] or "")[:2].lower()
    return spoken if spoken in LANGUAGES else LANGUAGES[0]


def _make(folder: Path, answers: Answers) -> None:
    """Make the folder beside its place and move it there whole. Ends the command where it cannot be written."""
    with writing(f"'{folder}'"):
        folder.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            _fill(fresh, folder, answers)
            _refuse_faults(fresh)
            if folder.is_dir():
                for path in sorted(fresh.iterdir(), key=lambda p: p.name == "workshop.yaml"):
                    path.rename(folder / path.name)
            else:
                fresh.chmod(0o755)
                fresh.rename(folder)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


def _fill(fresh: Path, folder: Path, answers: Answers) -> None:
    shipped, day = assets.templates() / "start", today()
    values = _values(folder, answers, day)
    for path in sorted(p for p in shipped.rglob("*") if p.is_file()):
        target = fresh / path.relative_to(shipped)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(_filled(path.read_text(encoding="utf-8"), values), encoding="utf-8")
    for path in sorted((assets.shipped("content_demo") / "pages").glob("*.md")):
        if path.name != "home.md":
            shutil.copyfile(path, fresh / "pages" / path.name)
    for name in ("blanks", "photos"):
        (fresh / name).mkdir()
    content, _ = load(fresh)
    ledger.append(fresh, ledger.in_content(content), day)


def _values(folder: Path, answers: Answers, day: date) -> dict[str, str]:
    return {
        "NAME": scalar(answers.name),
        "ADDRESS": scalar(answers.address),
        "LANGUAGE": scalar(answers.language),
        "CONTACT": _contact(answers.contact),
        "TODAY": day.isoformat(),
        "FOLDER": folder.name,
        "NUMBER": numbers.with_check(1001),
        "PLAYER_KEY": numbers.new_key(),
        "FRAME_KEY": numbers.new_key(),
        "BEFORE": (day - timedelta(days=_BEFORE)).isoformat(),
        "LATELY": (day - timedelta(days=_LATELY)).isoformat(),
        "DAYS": str(_BEFORE - _LATELY),
    }


def _filled(text: str, values: Mapping[str, str]) -> str:
    return _MARK.sub(lambda mark: values[mark[1]], text)


def _contact(said: str) -> str:
    more = ("phone: 01632 960000", "visit: 3 Tannery Yard", "hours: Tuesday to Friday 10–18")
    if not said:
        return "\n".join(["# contact:", "#   email: bench@shop.example", *(f"#   {line}" for line in more)])
    kind = "email" if "@" in said else "phone"
    rest = [f"  # {line}" for line in more if not line.startswith(kind)]
    return "\n".join(["contact:", f"  {kind}: {scalar(said)}", *rest])


def _refuse_faults(fresh: Path) -> None:
    """What was answered must make sound records; an odd answer is told like any other fault."""
    content, faults = load(fresh)
    faults = [f for f in [*faults, *checked(content)] if f.rule != "placeholder-address"]
    if faults:
        report(faults)
        raise click.ClickException("With these answers the records would have the faults above. Nothing was written.")


def _tell(folder: Path, answers: Answers) -> None:
    click.echo(
        f"{answers.name}: a workshop in {folder}, with a small catalogue and one sample frame.\n\n"
        f"Next:\n  passport build {folder} --out site\n"
        f"Look at it:\n  passport preview {folder}\n"
        f"Your own first frame:\n  passport issue {folder} player/first --model sample-tennis-98 --label First"
        f' --player-name "Name"\n'
        f"When you have one, take the sample out:\n  passport erase {folder} sample"
    )
    if answers.address == PLACEHOLDER:
        click.echo(f"Before the first card is printed, write the real web address into {folder / 'workshop.yaml'}.")
