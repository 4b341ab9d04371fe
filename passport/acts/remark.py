"""What somebody was sure of, kept as a remark in the record: the question stands where it was asked."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path, PurePosixPath

from passport.records.checks import DOUBTS
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.player import Player
from passport.records.yaml import nested, yamltext
from passport.records.yaml.yamlplace import CannotEdit

Texts = Mapping[str, str | None]
Spot = tuple[str, nested.Path]
"""A file, and a path in it."""
KEY = "sure"
_JOBS = "jobs"
_ORDER: nested.Path = ("order",)
MODELS = "catalogue/frames.yaml"


def asked(faults: Iterable[Fault]) -> list[Fault]:
    """The faults that are questions to whoever writes."""
    return [fault for fault in faults if fault.rule in DOUBTS]


def remarked(
    root: Path, texts: Texts, faults: Iterable[Fault], doubts: Mapping[Spot, Sequence[str]]
) -> tuple[Texts, str]:
    """The new texts of a content folder's files with what was asked noted in the job, frame, blank or player that it was
    asked about, and those notes for a person; ``doubts`` are questions that no check asks, by where they are noted.

    A question about a record that the change does not touch is noted in the first that it does touch; a change of the
    catalogue alone has no place for a remark, and `passport check` goes on asking.
    """
    notes: dict[Spot, list[str]] = defaultdict(list)
    written = [path for path, text in texts.items() if text is not None and can_hold(path)]
    for fault in asked(faults):
        file = _below(root, fault.place.file)
        if file in written:
            owner = _owner(texts[file] or "", fault.place.line, model=file == MODELS)
            notes[file, owner].append(fault.what)
        elif written and written[0] != MODELS:
            notes[written[0], ()].append(fault.what)
    for spot, questions in doubts.items():
        notes[spot].extend(questions)
    files, said = dict(texts), []
    for (file, owner), questions in notes.items():
        with suppress(CannotEdit):  # a record in one pair of brackets: it is written, and `check` asks again
            text, remark = files[file] or "", " ".join(dict.fromkeys(questions))
            there = nested.value_at(yamltext.read(text.removeprefix("\ufeff"), file)[0], (*owner, KEY))
            remark = f"{there} {remark}" if there else remark
            files[file] = nested.with_at(text, (*owner, KEY), remark, _order(file))
            said.append(worded("Noted in {file}: {remark}", file=file, remark=remark))
    return files, "\n".join(said)


def stale(text: str, path: nested.Path, touched: Iterable[str]) -> str:
    """A record's text without the remark that somebody was sure, where a value that it may be about was changed:
    ``path`` leads to the job, or nowhere for the record itself; ``touched`` are the keys below that."""
    about = {
        "date",
        "strings",
        "fitted",
        "removed",
        "readings",
        "serial",
        "setup",
        "build",
        "name",
        "full_name",
        "contact",
        "tension",
        "mass",
        "sport",
    }
    data = yamltext.read(text.removeprefix("\ufeff"), "record")[0]
    there = nested.value_at(data, (*path, KEY))
    if there is None or KEY in touched or about.isdisjoint(touched):
        return text
    return nested.without_at(text, (*path, KEY))


def can_hold(path: str) -> bool:
    """Whether a file's records have room for a remark."""
    return path.startswith(("players/", "blanks/")) or path == MODELS


def _below(root: Path, file: str) -> str:
    path = Path(file)
    return path.relative_to(root).as_posix() if path.is_relative_to(root) else file


def _owner(text: str, line: int, *, model: bool) -> nested.Path:
    """The job, the order, or the model of the catalogue, that a line of a record stands in; nowhere, for the record
    itself, where it is in none."""
    data, source, _ = yamltext.read(text.removeprefix("\ufeff"), "record")
    above = [path for path, at in source.keys.items() if len(path) == 1 and at[0] <= line - 1]
    if model:
        return above[-1] if above else ()
    if above and max(above, key=lambda path: source.keys[path][0]) == _ORDER:
        return _ORDER
    count = len(data.get(_JOBS) or ()) if isinstance(data, dict) and isinstance(data.get(_JOBS), list) else 0
    if not count:
        return ()
    end = min(
        (at[0] for path, at in source.keys.items() if len(path) == 1 and at[0] > source.keys[_JOBS,][0]), default=None
    )
    starts = [source.values[_JOBS, place][0] for place in range(count)]
    inside = [place for place, start in enumerate(starts) if start <= line - 1 and (end is None or line - 1 < end)]
    return (_JOBS, inside[-1]) if inside else ()


def _order(file: str) -> Iterable[str]:
    if file.startswith("blanks/"):
        return Blank.model_fields
    return Player.model_fields if PurePosixPath(file).name == "player.yaml" else Frame.model_fields
