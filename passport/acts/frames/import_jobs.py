"""Adding the jobs of a past spreadsheet to the records."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from passport.acts.change import Base, Change
from passport.acts.count import counted
from passport.acts.frames.log import names_of, path_of
from passport.acts.picking import matching
from passport.acts.reading import checked
from passport.acts.refused import Faulty, Misused, Refused
from passport.records.disk import opening
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Job
from passport.records.trial import tried
from passport.records.yaml import yamltext
from passport.records.yaml.edit import job_text, with_jobs
from passport.records.yaml.validation_messages import faults_of
from passport.records.yaml.yamlplace import CannotEdit
from passport.workshop.entry.csv_jobs import LARGEST, JobRow, TableMap
from passport.workshop.entry.job_from_text import Past, job_of
from passport.workshop.entry.merge import already, clashes
from passport.workshop.entry.phrases import Unclear, reader

_SHOWN = 20


@dataclass
class Outcome:
    """What becomes of each row: the jobs to add by frame and row number, and the rows that are not added, with why."""

    jobs: dict[str, dict[int, dict[str, Any]]] = field(default_factory=lambda: defaultdict(dict))
    there: list[int] = field(default_factory=list)
    misfits: dict[int, str] = field(default_factory=dict)


def table_bytes(path: Path, most: int = 10 * LARGEST) -> bytes:
    """The bytes of a table or mapping. Raises Misused where it cannot be read."""
    try:
        return opening.read(path, most=most)
    except OSError as error:
        raise Misused(worded("'{path}' cannot be read: {strerror}.", path=path, strerror=error.strerror)) from None


def mapping(path: Path) -> TableMap:
    """The mapping of a file. Raises Refused, or Faulty with its faults."""
    data, source, faults = yamltext.read(table_bytes(path).decode("utf-8-sig", errors="replace"), str(path))
    try:
        found = TableMap.model_validate(data if isinstance(data, dict) else {})
    except ValidationError as error:
        faults = [*faults, *faults_of(error, TableMap, source, ())]
    if faults:
        do = worded("'passport import --example-map' prints one to begin with.")
        raise Faulty(faults, worded("The mapping cannot be used. {do}", do=do))
    if not found.frame and not (found.player and found.label):
        raise Refused(
            worded("{path}: name the column of the frame ('frame'), or those of 'player' and 'label'.", path=path)
        )
    return found


def imported(base: Base, *, rows: Sequence[JobRow], everything: bool, last: list[Outcome]) -> Change:
    """The change that adds the jobs of a table's rows to the records; what becomes of each row is put into ``last``."""
    outcome = last[0] = _sorted(base, rows)
    files = _without_faults(base, outcome)
    headings = tuple(f"{path_of(name)}:" for name in outcome.jobs)
    jobs = sum(map(len, outcome.jobs.values()))
    summary = worded(
        "{counted} of {counted2} from a table", counted=counted(jobs, "job"), counted2=counted(len(files), "frame")
    )
    return Change(files, _shown(base, outcome, everything=everything), headings, summary=summary)


def _sorted(base: Base, rows: Sequence[JobRow]) -> Outcome:
    """Each row as a job to add, as there already, or as one that does not fit."""
    outcome, names = Outcome(), names_of(base.records)
    taken: dict[str, list[Job]] = defaultdict(list)
    found = {name: [e.name for e in matching(base.records, name)] for name in {row.frame for row in rows}}
    for row in rows:
        problem = row.problem or _no_frame(base.records, row.frame, found[row.frame])
        job, tree = None, {}
        if not problem:
            try:
                tree = _tree(row, names)
                job = Job.model_validate(tree)
            except Unclear as unclear:
                problem = str(unclear)
            except ValidationError as error:
                problem = problem_of(error)
        if job is None:
            outcome.misfits[row.number] = problem
            continue
        name = found[row.frame][0]
        others = [*base.records.frames[name].record.jobs, *taken[name]]
        if already(others, job):
            outcome.there.append(row.number)
        elif clashes(others, job):
            outcome.misfits[row.number] = worded(
                "'{name}' was strung otherwise on {date}, as its record or a row above says.", name=name, date=job.date
            )
        else:
            taken[name].append(job)
            outcome.jobs[name][row.number] = tree
    return outcome


def _tree(row: JobRow, names: Any) -> dict[str, Any]:
    assert row.day and row.phrases is not None, "a row without a problem says both"
    for name, value in row.phrases.items():
        for text in [value] if isinstance(value, str) else value:
            _readable(name, text)
    if not row.phrases:
        raise Unclear(worded("It says nothing that could be recorded."))
    return job_of(row.phrases, row.day, Past(), names)


def _readable(name: str, text: str) -> None:
    """Try a cell. Raises `Unclear`; where its unit is lacking, with how the mapping lends one to the whole column."""
    read = reader(name)
    try:
        if read:
            read(text)
    except Unclear as unclear:
        told = getattr(unclear.__context__, "context", None) or {}
        if told.get("rule") != "missing-unit":
            raise
        field = "tension" if name.endswith("_tension") else name
        do = worded(
            "Or say once for the whole column what is meant: 'units: {{{field}: …}}' in the mapping.", field=field
        )
        raise Unclear(f"{unclear} {do}") from None


def _no_frame(records: Content, called: str, found: Sequence[str]) -> str:
    if len(found) > 1:
        return worded("'{called}' fits several frames: {found}.", called=called, found=", ".join(found[:4]))
    if not found:
        return worded("There is no frame '{called}' in the records.", called=called)
    return ""


def problem_of(error: ValidationError) -> str:
    """The first thing that is wrong with a record's data, as a sentence."""
    detail: Any = error.errors(include_url=False)[0]
    context = detail.get("ctx") or {}
    path = ".".join(str(step) for step in detail["loc"] if isinstance(step, str))
    what = context.get("what") or worded("'{detail}' will not do", detail=str(detail["input"])[:40])
    return f"{path}: {what} {context.get('do', '')}".strip() if context.get("what") else f"{path}: {what}."


def _without_faults(base: Base, outcome: Outcome) -> dict[str, str]:
    """The new text of each record; rows that would bring an error are taken out until none does."""
    while True:
        files = _texts(base, outcome)
        _, new = tried(base.records, files, base.faults, checked)
        wrong = {
            row: fault for fault in new if fault.severity == "error" for row in _row_of(base, outcome, files, fault)
        }
        if not wrong:
            return files
        for (name, number), fault in wrong.items():
            outcome.misfits[number] = f"{fault.what} {fault.do}"
            outcome.jobs[name].pop(number, None)


def _texts(base: Base, outcome: Outcome) -> dict[str, str]:
    files = {}
    for name, jobs in sorted(outcome.jobs.items()):
        if jobs:
            placed = [(_place(base, name, tree), tree) for tree in _by_date(jobs).values()]
            try:
                files[path_of(name)] = with_jobs(base.text(path_of(name)) or "", placed)
            except CannotEdit as error:
                outcome.misfits |= dict.fromkeys(jobs, f"'{name}': {error}")
                outcome.jobs[name] = {}
    return files


def _by_date(jobs: Mapping[int, dict[str, Any]]) -> dict[int, dict[str, Any]]:
    return dict(sorted(jobs.items(), key=lambda item: (item[1]["date"], item[0])))


def _place(base: Base, name: str, tree: Mapping[str, Any]) -> int:
    return sum(job.date.isoformat() <= tree["date"] for job in base.records.frames[name].record.jobs)


def _row_of(base: Base, outcome: Outcome, files: Mapping[str, str], fault: Fault) -> Iterable[tuple[str, int]]:
    """The row that a fault in a record comes from, by the job that it stands in; none where it is another's."""
    for name, jobs in outcome.jobs.items():
        if str(base.records.root / path_of(name)) != fault.place.file or not jobs:
            continue
        _, source, _ = yamltext.read(files[path_of(name)].removeprefix("\ufeff"), name)
        order: list[int | None] = [None] * len(base.records.frames[name].record.jobs)
        for number, tree in reversed(_by_date(jobs).items()):
            order.insert(_place(base, name, tree), number)
        starts = [(source.values["jobs", i][0] + 1, number) for i, number in enumerate(order)]
        row = next((number for line, number in reversed(starts) if line <= fault.place.line), None)
        if row is not None:
            yield name, row


def _shown(base: Base, outcome: Outcome, *, everything: bool) -> str:
    total = sum(map(len, outcome.jobs.values()))
    left = total if everything else _SHOWN
    lines: list[str] = []
    for name, jobs in sorted(outcome.jobs.items()):
        shown = list(_by_date(jobs).items())[:left]
        left -= len(shown)
        lines += [f"{path_of(name)}:"] if shown else []
        lines += [f"  # row {number}\n{job_text(base.text(path_of(name)) or '', tree)}" for number, tree in shown]
    hidden = total - sum(line.startswith("  # row") for line in lines)
    return "\n".join([*lines, *([worded("… and {hidden} more; --all shows them.", hidden=hidden)] if hidden else [])])
