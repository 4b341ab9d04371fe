"""What to rebuild on which blank: the frames that wait for it, the blanks, and one that is measured now."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.adding.stock import measured, stocked
from passport.acts.amending import targets
from passport.acts.amending.undo import changes
from passport.acts.change import Base, Change, base_of, carry_out
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.log import units_of
from passport.acts.rebuilding.planned import BlankChoice, blanks_for, without_successor
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench, Saved
from passport.browser.filled import once_of
from passport.browser.rebuilding.common import LIMITS, frame_meant, limits_in, query, workbench
from passport.publish.cache import frame_index
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content, Entry, load
from passport.records.schema.frame import Frame
from passport.workshop.entry.bare import SPOKEN, USUAL_UNITS, lent, unit_of
from passport.workshop.entry.phrases import Unclear, day_of, pendulum_of, reader
from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.plan import Aim
from passport.workshop.rebuild.targets import aims

FIGURES = ("mass", "balance", "swingweight", "twistweight")
_MEASURED = ("state", *FIGURES, "pendulum")
_KNOWN = ("serial", "grip", "received", "location", "price")


@dataclass(frozen=True, slots=True)
class WorkListed:
    """A rebuild under way: the frame, the blank, and how many steps are done."""

    frame: Entry[Frame]
    owner: str
    blank: str
    steps: int


@dataclass
class BlankForm:
    """What is said of a blank that is measured now: ``which`` is one in stock, or empty for a new one."""

    values: dict[str, str]
    beside: dict[str, str] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    asks: AtTheScreen | None = None


def start(bench: Bench, request: Request) -> Response:
    """What is under way, what waits for a successor, and players with several frames."""
    records = load(bench.root, ())[0]
    gone = without_successor(bench.root)
    owners = {name: full or public for name, (public, full, _) in frame_index.players(bench.root).items()}
    several = {folder: found for folder, (_, _, found) in frame_index.players(bench.root).items() if found > 1}
    said = " ".join(request.query_params.get("player", "").split())
    fit = [folder for folder in several if said.casefold() in owners[folder].casefold()]
    body = bench.render(
        "rebuild_start",
        records,
        under_way=_under_way(bench, records, owners),
        gone=[(entry, owners.get(entry.name.partition("/")[0], "")) for entry in gone],
        blanks=len(records.blanks),
        players=[(folder, owners[folder], several[folder]) for folder in fit][:20],
        more=max(0, len(fit) - 20),
        said=said,
    )
    return Response(body, media_type="text/html")


def show(bench: Bench, request: Request) -> Response:
    """The blanks for a frame, and what limits a plan."""
    name = bench.name(request)
    form = BlankForm(dict(Draft(bench.root, _draft(name)).kept()))
    return _page(bench, request, form)


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed of a blank."""
    name, said = bench.name(request), request.scope["form"]
    kept = [(k, v) for k, v in said.items() if k in ("which", "model", *_KNOWN, *_MEASURED)]
    Draft(bench.root, _draft(name)).keep(kept)
    return Response(status_code=204)


def measure(bench: Bench, request: Request) -> Response:
    """A blank comes into stock, or one in stock is measured, by the act of ``passport blank``; once only."""
    name, said = bench.name(request), dict(request.scope["form"])
    once = once_of(said)
    if once not in bench.saved:
        form = BlankForm(said)
        try:
            done = _written(bench, name, form, once)
        except Faulty as faulty:
            form.faults, done = list(faulty.faults), ""
        except Refused as refused:
            form.told, done = [str(refused)], ""
        if not done:
            return _page(bench, request, form, 409)
    blank = bench.saved[once].name
    return RedirectResponse(f"{quote(f'/frame/{name}/rebuild')}{query(limits_in(said), chosen=blank)}", 303)


def _written(bench: Bench, name: str, form: BlankForm, once: str) -> str:
    base = base_of(bench.root, ())
    reading = _reading(form, base)
    if form.beside:
        return ""
    which = form.values.get("which", "")
    make = partial(_of_stock, which=which, reading=reading) if which else _new(base, form, reading)
    asking = AtTheScreen(form.values.get("agreed", ""))
    after = carry_out(bench.root, "passport blank", make, asking, base)
    if after is None:
        form.asks, form.faults = asking, list(asking.faults)
        return ""
    Draft(bench.root, _draft(name)).drop()
    entry = next(iter(changes(bench.root)), None)
    blank = which or next(one for one in after.blanks if one not in base.records.blanks)
    bench.remember(once, Saved(blank, "", asking.shown, tuple(asking.said), int(entry.name) if entry else 0))
    return blank


def _of_stock(base: Base, *, which: str, reading: Mapping[str, object]) -> Change:
    return measured(base, target=targets.kept(base, "blank", which), reading=reading)


def _new(base: Base, form: BlankForm, reading: Mapping[str, object]) -> "partial[Change]":
    model = form.values.get("model", "")
    if model not in base.records.models:
        raise Refused(worded("There is no model '{model}' in the catalogue.", model=model))
    values = {key: form.values.get(key, "").strip() for key in _KNOWN}
    try:
        values["received"] = day_of(values["received"] or today().isoformat(), today()).isoformat()
    except Unclear as unclear:
        form.beside["received"] = str(unclear)
    return partial(_into_stock, keys=FreshKeys(), model=model, values=values, reading=reading)


def _into_stock(
    base: Base, *, keys: FreshKeys, model: str, values: Mapping[str, str], reading: Mapping[str, object]
) -> Change:
    return stocked(Additions(base, keys), model, values, reading)


def _reading(form: BlankForm, base: Base) -> dict[str, object]:
    """What was measured, in which state; what cannot be read is told at its field."""
    state = form.values.get("state", "")
    found: dict[str, object] = {"state": state if state in ("bare", "strung") else "bare"}
    units = units_of(base.records)
    for name in FIGURES:
        if not (text := form.values.get(name, "").strip()):
            continue
        found[name] = text = lent(text, unit_of(name, units) or USUAL_UNITS[name])
        read = reader(name)
        try:
            _ = read(text) if read else None
        except Unclear as unclear:
            form.beside[name] = str(unclear)
    if timed := form.values.get("pendulum", "").strip():
        try:
            found["pendulum"] = pendulum_of(timed)
        except Unclear as unclear:
            form.beside["pendulum"] = str(unclear)
    return found


def _page(bench: Bench, request: Request, form: BlankForm, status: int = 200) -> Response:
    meant = frame_meant(bench, request, form.values if request.method == "POST" else request.query_params)
    name, records = meant.name, meant.records
    found = blanks_for(records, name)
    chosen = [blank for blank in request.query_params.getlist("chosen") if blank in records.blanks]
    wanted: tuple[Aim, ...] = ()
    lacking = ""
    try:
        wanted = aims(workbench({})(records), name)
    except Missing as missing:
        lacking = f"{missing.what} {missing.do}"
    units = units_of(records)
    units_by = {key: unit_of(key, units) or USUAL_UNITS[key] for key in FIGURES}
    body = bench.render(
        "rebuild_choose",
        records,
        **meant.shown,
        blanks=found,
        figures={one.name: _figures(one) for one in found},
        ticked={one.name for one in found if one.name in chosen or (not chosen and _offered(one, meant.frame))},
        models=_models(records, meant.frame),
        aims=wanted,
        lacking=lacking,
        limits=meant.limits,
        limit_names=LIMITS,
        tuning=[key for key, part in records.parts.items() if part.record.kind in ("tape", "silicone")],
        form=form,
        units={key: SPOKEN.get(unit, "kg·cm²" if unit == "kgcm2" else unit) for key, unit in units_by.items()},
        once=form.values.get("once") or bench.fresh(),
    )
    return Response(body, status, media_type="text/html")


def _offered(one: BlankChoice, frame: Frame) -> bool:
    """Whether a blank is chosen unless somebody says otherwise: one of the same model that nobody works on for another."""
    return one.record.model == frame.model and (one.work is None or one.ours)


def _figures(one: BlankChoice) -> list[str]:
    """What was last measured of a blank, as it was written."""
    found = dict[str, str]()
    for reading in one.record.readings:
        for key in FIGURES:
            value = getattr(reading, key)
            if value is not None:
                found[key] = value.text
        if reading.pendulum or reading.bifilar:
            found.setdefault("swingweight", "timed")
    return list(found.values())


def _models(records: Content, frame: Frame) -> list[tuple[str, str]]:
    """The models of the frame's sport, its own first."""
    sport = records.models[frame.model].record.sport
    found = [(k, f"{e.record.maker} {e.record.name}") for k, e in records.models.items() if e.record.sport == sport]
    return sorted(found, key=lambda one: (one[0] != frame.model, one[1]))


def _under_way(bench: Bench, records: Content, owners: Mapping[str, str]) -> list[WorkListed]:
    """The rebuilds under way, by what stands in the records of blanks."""
    works = {blank: e.record.rebuild for blank, e in records.blanks.items() if e.record.rebuild}
    index = {key: one.name for one in frame_index.frames(bench.root) for key in (one.number, one.name) if key}
    named = {blank: index[work.frame] for blank, work in works.items() if work.frame in index}
    frames = load(bench.root, {name.partition("/")[0] for name in named.values()})[0].frames
    return [
        WorkListed(frames[name], owners.get(name.partition("/")[0], ""), blank, len(works[blank].steps))
        for blank, name in named.items()
        if name in frames
    ]


def _draft(name: str) -> str:
    return f"bench-blank-{name}"
