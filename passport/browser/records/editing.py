"""The screens of records: what there is, a form of each, what would change in its lines, and the save."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.adding.entries import ADDED, entered
from passport.acts.amending.correct import Corrections, corrected, dotted
from passport.acts.amending.filled import Clashing, amended, appended, tree_from
from passport.acts.amending.undo import changes
from passport.acts.change import Base, Change, base_of, carry_out, rehearsed
from passport.acts.drafts import Draft
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench, Saved, formats
from passport.browser.filled import once_of
from passport.browser.rack import model_of
from passport.browser.records.choices import choice
from passport.browser.records.forms import NEW, PREFIX, SHAPES, FormOf, among, field_of, form_of, wanted_of, was_of
from passport.browser.records.labels import heading, label
from passport.publish.cache import frame_index
from passport.records.faults import Fault
from passport.records.load import Content, load
from passport.records.yaml import yamltext
from passport.workshop.facts.spoken_names import name_said

_LISTED = 60
_OF_ALL = ("string", "model", "part", "lot")
"""Kinds that records of all players name: what a change of one would break is known with all of them read."""


@dataclass
class RecordForm:
    """What a screen shows of a form: its description, what was typed, and what is said of it."""

    of: FormOf
    base: Base
    values: dict[str, str]
    beside: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    shown: str = ""
    """The lines that would change."""
    asks: AtTheScreen | None = None
    removes: bool = False

    def value(self, at: str, there: str) -> str:
        """What stands in an input: what was typed, or what the record says."""
        return self.values.get(PREFIX + at, there)


def index(bench: Bench, request: Request) -> Response:
    """All kinds of records, and those of one kind by name."""
    kind = request.query_params.get("kind", "")
    said = " ".join(request.query_params.get("said", "").split())
    records = load(bench.root, ())[0]
    if kind not in SHAPES:
        kind = ""
    found = [one for one in _all(bench, records, kind) if said.casefold() in " ".join(one).casefold()] if kind else []
    counts = {name: len(_all(bench, records, name)) for name in SHAPES if name not in ("workshop", "frame")}
    body = bench.render(
        "records",
        records,
        chosen=kind,
        said=said,
        found=found[:_LISTED],
        more=max(0, len(found) - _LISTED),
        counts=counts,
        added=ADDED,
        instruments=[(one.name, name_said(one.kind)) for one in records.workshop.record.instruments]
        if records.workshop
        else [],
    )
    return Response(body, media_type="text/html")


def show(bench: Bench, request: Request) -> Response:
    """A record's form, with what was typed into it before."""
    kind, name, at = _asked(request.query_params)
    base = _base(bench, kind, name)
    form = RecordForm(form_of(base, kind, name, at), base, {})
    kept = dict(Draft(bench.root, _draft(form.of)).kept())
    if kept.pop("was", None) == was_of(form.of):  # else the record is another one by now
        form.values = kept
    return _page(bench, form, saved=request.query_params.get("saved", ""))


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed, with what it was typed upon."""
    said = request.scope["form"]
    kind, name, at = _asked(said)
    if kind in SHAPES:
        draft = Draft(bench.root, f"bench-record-{kind}-{name}-{at}")
        draft.keep([(k, v) for k, v in said.items() if k.startswith(PREFIX) or k == "was"])
    return Response(status_code=204)


def save(bench: Bench, request: Request) -> Response:
    """Look at what would change, or save it; once only, whatever is sent again."""
    said = dict(request.scope["form"])
    once = once_of(said)
    kind, name, at = _asked(said)
    if once not in bench.saved:
        base = _base(bench, kind, name)
        form = RecordForm(form_of(base, kind, name, at), base, said)
        try:
            done = _written(bench, form, said, once)
        except Clashing as clashing:
            _tell_of(form, clashing)
            done = False
        except Faulty as faulty:
            form.faults += faulty.faults
            done = False
        except Refused as refused:
            form.told.append(str(refused))
            done = False
        if not done:
            return _page(bench, form, 200 if said.get("act") == "look" else 409)
    return RedirectResponse(bench.saved[once].name, 303)


def _written(bench: Bench, form: RecordForm, said: Mapping[str, str], once: str) -> bool:
    """Write what a form says; False where it was only looked at, has errors, or something is asked first."""
    act = said.get("act", "")
    form.removes = act == "remove"
    make = _made(form.of, said, remove=form.removes)
    change, _, faults = rehearsed(form.base, make)
    _place(form, change, faults)
    form.shown = change.shown
    if act == "look" or any(fault.severity == "error" for fault in faults):
        return False
    asking = AtTheScreen(said.get("agreed", ""), always=form.removes)
    after = carry_out(bench.root, "passport correct", make, asking, form.base)
    if after is None:
        form.asks = asking
        return False
    Draft(bench.root, _draft(form.of)).drop()
    entry = next(iter(changes(bench.root)), None)
    told = Saved(_next(form, after, once), "", asking.shown, tuple(asking.said), int(entry.name) if entry else 0)
    bench.remember(once, told)
    return True


def _made(of: FormOf, said: Mapping[str, str], *, remove: bool) -> Callable[[Base], Change]:
    """The change that a form asks for, by one of the acts."""
    if remove:
        return partial(corrected, target=of.target, wanted=Corrections({}, remove=True))
    wanted = wanted_of(of, said)
    if not of.adds:
        return partial(amended, target=of.target, wanted=wanted)
    tree = tree_from({path[len(of.path) :]: v for path, v in wanted.values.items()}, _below(wanted.lists, of.path))
    if of.name:
        return partial(appended, target=of.target, tree=tree)
    return partial(entered, kind=of.kind, tree=tree)


def _below(paths: frozenset[tuple[str | int, ...]], above: tuple[str | int, ...]) -> list[tuple[str | int, ...]]:
    return [path[len(above) :] for path in paths]


def _next(form: RecordForm, after: Content, once: str) -> str:
    """Where a save leads: to the form again, to what holds a new or a removed entry, to the record that was begun."""
    of = form.of
    name, at = of.name, of.at
    if not name:
        name = next((one for one in _table(after, of.kind) if one not in _table(form.base.records, of.kind)), "")
    elif of.adds or form.removes:
        at = ".".join(at.split(".")[:-2])
        if not of.at:  # the record itself
            return f"/records?{urlencode({'kind': of.kind})}"
    return f"/record?{urlencode({'kind': of.kind, 'name': name, 'at': at, 'saved': once})}"


def _tell_of(form: RecordForm, clashing: Clashing) -> None:
    """Both values of each clash, the other one beside its field; what was typed stays."""
    for one in clashing.clashes:
        at = field_of(form.of, one.path)
        if at:
            form.beside.setdefault(at, []).append(("doubt", f"other|{one.was}|{one.now}"))
        else:
            form.told.append(str(clashing))


def _place(form: RecordForm, change: Change, faults: list[Fault]) -> None:
    """Each fault at the field that it is about, by its place in the text that would be written; the others above."""
    texts = {str(form.base.records.root / path): text for path, text in change.files.items() if text}
    for fault in faults:
        text = texts.get(fault.place.file)
        at = field_of(form.of, _path_in(text, fault)) if text else ""
        if at:
            tone = "bad" if fault.severity == "error" else "doubt"
            form.beside.setdefault(at, []).append((tone, f"{fault.what} {fault.do}"))
        else:
            form.faults.append(fault)


def _path_in(text: str, fault: Fault) -> tuple[str | int, ...]:
    """What a fault's line and column stand for in a text."""
    _, source, _ = yamltext.read(text.removeprefix("\ufeff"), fault.place.file)
    spot = (fault.place.line - 1, fault.place.col - 1)
    for table in (source.values, source.keys):
        found = [path for path, (line, col, _) in table.items() if (line, col) == spot]
        if found:
            return max(found, key=len)
    return ()


def _asked(said: Mapping[str, str]) -> tuple[str, str, str]:
    return said.get("kind", ""), said.get("name", ""), said.get("at", "")[:200]


def _base(bench: Bench, kind: str, name: str) -> Base:
    """The records that a change of one of a kind is tried on."""
    if kind in _OF_ALL:
        return base_of(bench.root)
    return base_of(bench.root, {name.partition("/")[0]} if kind in ("player", "frame") else ())


def _draft(of: FormOf) -> str:
    return f"bench-record-{of.kind}-{of.name}-{of.at}"


def _table(records: Content, kind: str) -> list[str]:
    tables: dict[str, Mapping[str, object]] = {
        "string": records.strings,
        "model": records.models,
        "part": records.parts,
        "lot": records.lots,
        "blank": records.blanks,
    }
    return list(tables.get(kind, {}))


def _all(bench: Bench, records: Content, kind: str) -> list[tuple[str, str]]:
    """The records of a kind: each name with how it is called."""
    if kind == "player":
        players = frame_index.players(bench.root)
        return sorted(
            ((folder, full or public) for folder, (public, full, _) in players.items()), key=lambda one: one[1]
        )
    if kind == "frame":
        return [(one.name, f"{one.number} {one.label}, {one.player}") for one in frame_index.frames(bench.root)]
    named = {
        "string": {k: f"{e.record.maker} {e.record.name}" for k, e in records.strings.items()},
        "model": {k: f"{e.record.maker} {e.record.name}" for k, e in records.models.items()},
        "part": {k: e.record.name for k, e in records.parts.items()},
        "lot": {k: f"{e.record.of} {e.record.batch}".strip() for k, e in records.lots.items()},
        "blank": {k: f"{e.record.model} {e.record.serial}".strip() for k, e in records.blanks.items()},
    }
    return list(named.get(kind, {}).items())


def _page(bench: Bench, form: RecordForm, status: int = 200, saved: str = "") -> Response:
    of, records = form.of, form.base.records
    trail = [one for one in of.at.split(".") if one]
    own = [one for one in frame_index.frames(bench.root) if one.name.startswith(f"{of.name}/")]
    body = bench.render(
        "record",
        records,
        form=form,
        of=of,
        heading=heading(of.kind, _title(records, of), of.at, formats(records)),
        trail=[(dotted(tuple(trail[: n + 1])), trail[n]) for n in range(len(trail))],
        was=was_of(of),
        among=among(form.base, of),
        once=form.values.get("once") or bench.fresh(),
        label=label,
        choice=choice,
        model=model_of,
        prefix=PREFIX,
        new=NEW,
        frames=own if of.kind == "player" and not of.at else [],
        removable=of.target.removable
        and not of.adds
        and (bool(of.at) or of.kind not in ("player", "frame", "workshop")),
        live=of.kind not in _OF_ALL,
        suggestions=_suggestions(records),
        written=bench.saved.get(saved),
    )
    return Response(body, status, media_type="text/html")


def _title(records: Content, of: FormOf) -> str:
    """What a record is called, without its kind."""
    if of.kind == "player" and of.name in records.players:
        return records.players[of.name].record.name
    if of.kind == "frame" and of.name in records.frames:
        frame = records.frames[of.name].record
        return f"{frame.number} {frame.label}".strip()
    return "" if of.kind == "workshop" else of.name


def _suggestions(records: Content) -> dict[str, list[str]]:
    """Names of the catalogue by the fields that name one."""
    return {
        "string": sorted(records.strings),
        "part": sorted(records.parts),
        "model": sorted(records.models),
        "of": sorted(records.catalogue),
    }
