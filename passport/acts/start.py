"""A new workshop: a folder with records that explain themselves, a small catalogue and one sample frame."""

import re
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from passport.acts.clock import today
from passport.acts.reading import checked
from passport.acts.refused import Faulty, Refused, writing
from passport.records.disk import opening, rights, walking
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.schema import numbers
from passport.records.schema.base import WebAddress
from passport.records.schema.workshop import PLACEHOLDER
from passport.records.transaction import ledger_file
from passport.records.yaml.yamlwrite import scalar
from passport.render.theme import assets
from passport.render.theme.formats import LANGUAGES, Formats
from passport.render.theme.wording import first_tagline
from passport.render.theme.words import SOURCE, read_languages

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


def refuse_full(folder: Path) -> None:
    """Raise Refused where a folder holds something already; what version control keeps there does not count."""
    if folder.is_file() or (folder.is_symlink() and not folder.is_dir()):
        raise Refused(worded("'{folder}' is not a folder. Name a new one.", folder=folder))
    found = sorted(p.name for p in walking.listed(folder) if p.name not in _HARMLESS) if folder.is_dir() else []
    if found:
        do = worded("Name a new folder, or an empty one.")
        raise Refused(
            worded(
                "'{folder}' is not empty: it holds {found}. It is left as it is. {do}",
                folder=folder,
                found=", ".join(found[:3]),
                do=do,
            )
        )


def problem_of(key: str, value: str) -> str:
    """What is wrong with an answer (``key`` is a field of Answers), and what to do; empty where nothing is."""
    if key == "address":
        try:
            _ADDRESS.validate_python(value)
        except ValidationError as error:
            context = error.errors()[0].get("ctx", {})
            return f"{context.get('what', '')} {context.get('do', '')}".strip()
    if key == "language" and value not in LANGUAGES:
        return f"Use one of: {', '.join(LANGUAGES)}."
    if key == "name" and not value:
        return "A workshop has a name."
    return ""


def make_workshop(folder: Path, answers: Answers) -> None:
    """Make the folder beside its place and move it there whole.

    Raises Refused where it cannot be written, and Faulty where the answers make faulty records; then nothing is there.
    """
    with writing(f"'{folder}'"):
        folder.parent.mkdir(parents=True, exist_ok=True)
        # Beside its place, so that the move at the end is one step within one disk.
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            _fill(fresh, folder, answers)
            _refuse_faults(fresh)
            if folder.is_dir():
                # workshop.yaml last: with it the folder counts as a workshop, so a stop before leaves none that is half
                for path in sorted(walking.listed(fresh), key=lambda p: p.name == "workshop.yaml"):
                    path.rename(folder / path.name)
            else:
                fresh.chmod(rights.of_new_folder())
                fresh.rename(folder)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


def _fill(fresh: Path, folder: Path, answers: Answers) -> None:
    shipped, day = assets.templates() / "start", today()
    values = _values(folder, answers, day)
    for path in walking.files(shipped, hidden=True):
        if path.parent.name == "pages" and not _wanted(path, answers.language):
            continue
        target = fresh / path.relative_to(shipped)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(_filled(opening.read_text(path), values), encoding="utf-8")
    for name in ("blanks", "photos"):
        (fresh / name).mkdir()
    content, _ = load(fresh)
    ledger_file.append(fresh, ledger.in_content(content), day)


def _wanted(path: Path, language: str) -> bool:
    """Whether a new workshop has a text, ``care-of-strings.de.md``: the home page in its own language, care notes in that
    one and in those that a native reader has read, for its players."""
    name, _, tongue = path.stem.partition(".")
    if name == "home":
        return tongue == (language if path.with_name(f"home.{language}.md").is_file() else SOURCE)
    return tongue in (language, *read_languages())


def _values(folder: Path, answers: Answers, day: date) -> dict[str, str]:
    return {
        "NAME": scalar(answers.name),
        "TAGLINE": scalar(first_tagline(Formats(answers.language))),
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


def _contact(contact: str) -> str:
    more = ("phone: 01632 960000", "visit: 3 Tannery Yard", "hours: Tuesday to Friday 10–18")
    if not contact:
        return "\n".join(["# contact:", "#   email: bench@shop.example", *(f"#   {line}" for line in more)])
    kind = "email" if "@" in contact else "phone"
    rest = [f"  # {line}" for line in more if not line.startswith(kind)]
    return "\n".join(["contact:", f"  {kind}: {scalar(contact)}", *rest])


def _refuse_faults(fresh: Path) -> None:
    """What was answered must make sound records; an odd answer is told like any other fault."""
    content, faults = load(fresh)
    # A language may need typefaces that the shop adds: it is told so, and how, once there is a folder to add them to.
    faults = [f for f in [*faults, *checked(content)] if f.rule not in ("placeholder-address", "no-glyph")]
    if faults:
        raise Faulty(faults, worded("With these answers the records would have the faults above. Nothing was written."))
