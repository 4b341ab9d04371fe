"""A job in one screen: what was ordered or strung last filled in, readings judged, saved by the act of ``passport log``."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.adding.walkin import adding_strings
from passport.acts.change import Base, Change, carry_out, rehearsed
from passport.acts.clock import now, today
from passport.acts.drafts import Draft
from passport.acts.frames.knots import forget, knots
from passport.acts.frames.log import logged, ring_unit, units_of
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench, formats
from passport.browser.filled import FrameFilled, Tone, begun, offered_recipe, once_of, tension_unit
from passport.browser.gate import POLICY
from passport.browser.machine import USUAL_AGE
from passport.records.load import Content, load
from passport.records.schema.frame import Frame
from passport.workshop.entry.bare import SPOKEN, USUAL_UNITS, lent, unit_of
from passport.workshop.entry.phrases import NOTHING, Unclear, day_of, reader
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.rack import as_wanted
from passport.workshop.orders.wanted import differences, ordered_lines
from passport.workshop.strings.expecting import fresh_bed

STRINGS = ("mains", "mains_tension", "crosses", "crosses_tension", "prestretch", "batch")
READINGS = ("before_ring", "mass", "balance", "swingweight", "ring", "minutes")
LISTS = ("fit", "remove", "repair")
WORDS = ("note", "private_note", "price")
_JUDGED = ("mass", "balance", "swingweight")
_SHOWS_CARD = {"content-security-policy": f"{POLICY}; frame-src 'self'"}
"""What lets this page show the card, from which the print dialogue opens."""
_FIELDS = (*STRINGS, *READINGS, *WORDS)


@dataclass(kw_only=True)
class JobForm(FrameFilled):
    """What the screen shows: the frame, and what was offered in the fields."""


def show(bench: Bench, request: Request) -> Response:
    """The form, with what was typed into it before, if anything was, or what the plan that leads here puts on."""
    name = bench.name(request)
    told = {key: request.query_params[key] for key in ("fit", "work") if key in request.query_params}
    form = _form(bench, name, {**told, **dict(Draft(bench.root, _draft(name)).kept())})
    _bed(form, as_wanted(form.base.records, today()))
    return _page(bench, form)


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed, for whatever becomes of the page."""
    name = bench.name(request)
    said = request.scope["form"]
    known = {*STRINGS, *READINGS, *LISTS, *WORDS, "work", "keep"}  # but for the day, which would be over tomorrow
    known -= set() if said.get("ring") else {"minutes"}
    Draft(bench.root, _draft(name)).keep([(k, v) for k, v in said.items() if k in known])
    return Response(status_code=204)


def save(bench: Bench, request: Request) -> Response:
    """Look at what was typed, or save it; once only, whatever is sent again."""
    name, said = bench.name(request), dict(request.scope["form"])
    once = once_of(said)
    if once not in bench.saved:  # the very same form; one that was gone back to and changed is another
        form = _form(bench, name, said)
        words = _words(form)
        form.compare(bench, said.get("basis", ""))
        try:
            done = not (form.beside or form.changed) and _carried_out(bench, form, words, once)
        except Faulty as faulty:
            form.place(faulty.faults, _FIELDS)
            done = False
        except Refused as refused:
            form.told.append(str(refused))
            done = False
        if not done:
            return _page(bench, form, 200 if said.get("act") == "look" else 409)
    return RedirectResponse(f"/saved/{once}{'?print=1' if said.get('act') == 'print' else ''}", 303)


def _carried_out(bench: Bench, form: JobForm, words: Mapping[str, str | list[str]], once: str) -> bool:
    """Write the job and note it under the form's mark; False where it was only looked at, or something is asked first.

    Raises Refused.
    """
    make = partial(_made, form=form, words=words)
    if form.values.get("act") not in ("save", "print"):
        _look(form, make)
        return False
    asking = AtTheScreen(form.values.get("agreed", ""))
    after = carry_out(bench.root, "passport log", make, asking, form.base)
    if after is None:
        form.asks = asking
        form.place(asking.faults, _FIELDS)
        there = rehearsed(form.base, make)[1]
        _bed(form, there)
        _verdicts(form, there)
        return False
    Draft(bench.root, _draft(form.name)).drop()
    forget(bench.root, form.name)
    bench.note(once, form.name, after, asking)
    return True


def saved(bench: Bench, request: Request) -> Response:
    """What was written, with the way back, and the card."""
    found = bench.saved.get(request.path_params["once"])
    if found is None:
        return RedirectResponse("/history", 303)
    records = load(bench.root, (), frames_alone=True)[0]
    prints = bool(found.number and request.query_params.get("print"))
    body = bench.render("saved", records, saved=found, prints=prints)
    return Response(body, media_type="text/html", headers=_SHOWS_CARD if prints else {})


def _draft(name: str) -> str:
    return f"bench-log-{name}"


def _form(bench: Bench, name: str, said: Mapping[str, str]) -> JobForm:
    frame = begun(bench, name)
    record, ordered = frame.entry.record, frame.order.get("strings")
    offered = offered_recipe(ordered or frame.last.strings)
    work = "ordered" if ordered else "again" if frame.last.strings and record.status == "active" else "none"
    blank = dict.fromkeys((*STRINGS, *READINGS, *LISTS, *WORDS), "")
    values = {**blank, **offered, "work": work, "date": today().isoformat(), **said}
    tied = knots(bench.root).get(name)
    if "minutes" not in said:
        values["minutes"] = str(int((now() - tied).total_seconds() // 60)) if tied else str(USUAL_AGE)
    units = dict(_units(frame.base.records, record, offered))
    return JobForm(
        values=values, units=units, name=name, entry=frame.entry, base=frame.base, text=frame.text, offered=offered
    )


def _units(records: Content, frame: Frame, offered: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The unit that a bare figure is read in, by field."""
    shop, ring = units_of(records), ring_unit(records, frame)
    for name in ("mass", "balance", "swingweight"):
        yield name, unit_of(name, shop) or USUAL_UNITS[name]
    for name in ("ring", "before_ring"):
        yield name, ring
    for name in ("mains_tension", "crosses_tension"):
        yield name, tension_unit(shop, offered[name])
    yield "prestretch", "%"


def _words(form: JobForm) -> dict[str, str | list[str]]:
    """What was said, under the names that a job has; what cannot be read is told at its field."""
    words: dict[str, str | list[str]] = {}
    for name in (*STRINGS, *READINGS, *WORDS):
        text = form.values.get(name, "").strip()
        if name in STRINGS:
            if form.values["work"] == "none" or text == form.offered[name].strip():
                continue
            text = text or NOTHING
        if text:
            words[name] = lent(text, form.units.get(name, ""))
    for name in LISTS:
        lines = [line.strip() for line in form.values.get(name, "").splitlines() if line.strip()]
        words |= {name: lines} if lines else {}
    if "ring" not in words:
        words.pop("minutes", None)
    for name, value in words.items():
        read = reader(name)
        for text in [value] if isinstance(value, str) else value:
            try:
                _ = read(text) if read else None
            except Unclear as unclear:
                form.unclear(name, unclear)
    try:
        day_of(form.values["date"], today())
    except Unclear as unclear:
        form.unclear("date", unclear)
    return words


def _made(base: Base, *, form: JobForm, words: Mapping[str, str | list[str]]) -> Change:
    """The change, by the act of ``passport log``."""
    work = form.values["work"]
    return adding_strings(
        base,
        act=logged,
        name=form.name,
        words=words,
        day=day_of(form.values["date"], today()),
        again=work == "again",
        off_rack=not form.values.get("keep"),
        as_ordered=work == "ordered",
    )


def _look(form: JobForm, make: partial[Change]) -> None:
    """What would be written, judged; nothing is."""
    change, after, faults = rehearsed(form.base, make)
    form.told += [doubt for found in change.doubts.values() for doubt in found]
    form.place(faults, _FIELDS)
    _bed(form, after)
    _verdicts(form, after)
    order = form.entry.record.waiting
    if order and after.frames.get(form.name):
        form.told += differences(order, after.frames[form.name].record.jobs[-1], form.base.records.catalogue)


def _bed(form: JobForm, content: Content) -> None:
    """What the bed is expected to ring at, what it holds by its reading, and whether its batch was read at another age."""
    bed = fresh_bed(content, form.name) if form.name in content.frames else None
    if bed is None or form.values["work"] == "none":
        return
    f = formats(content)
    _ = f.words.gettext
    if bed.expected:
        hz = {"hz": f.number(bed.expected.value, 0), "share": f.percent(2 * bed.expected.u / bed.expected.value)}
        words = _("Right after stringing about %(hz)s Hz, give or take %(share)s, by the pulls.") % hz
        form.say("ring", "told", words, english=False)
    if bed.held and form.values["ring"].strip():
        share = f.percent(2 * bed.held.u / bed.held.value)
        pulls = f.pair(bed.held.value, bed.held.value * bed.ratio, form.values["mains_tension"], whole=True)
        told = {"held": f"{pulls[0]} ({pulls[1]})", "share": share}
        words = _("The bed holds %(held)s, give or take %(share)s, by this reading.") % told
        form.say("ring", "told", words, english=False)
    elsewhere = [(name, age) for name, age in bed.others if bed.age and abs(age - bed.age) > max(1.0, bed.age / 10)]
    if elsewhere and form.values["ring"].strip():
        ages = ", ".join(f"{name}: {f.short(age)} min" for name, age in elsewhere)
        told = {"frames": ages}
        words = _("Others of this batch were read at another age (%(frames)s): they are compared less surely.") % told
        form.say("minutes", "doubt", words, english=False)


def _verdicts(form: JobForm, after: Content) -> None:
    """Whether what was read meets its target, said at its field."""
    read = [name for name in _JUDGED if form.values.get(name, "").strip()]
    if not read or form.name not in after.frames:
        return
    _ = formats(after).words.gettext
    tones: dict[str, tuple[Tone, str]] = {
        "inside": ("good", _("Inside the target")),
        "outside": ("bad", _("Outside the target")),
        "undecided": ("doubt", _("Cannot be decided")),
    }
    for spec in Gatherer(after).specs(form.name):
        if spec.quantity in read and spec.verdict in tones and spec.target is not None:
            tone, words = tones[spec.verdict]
            form.say(spec.quantity, tone, f"{words}: {spec.target:g} ± {spec.tolerance:g}", english=False)
            if spec.settled:
                form.say(spec.quantity, tone, str(spec.settled))


def _last(frame: Frame, name: str) -> str:
    """What a quantity read the last time, as it was written."""
    when = "before" if name.startswith("before_") else "after"
    field_of = name.removeprefix("before_")
    for job in reversed(frame.jobs):
        for reading in job.readings:
            value = getattr(reading, field_of, None) if reading.when == when else None
            if value is not None:
                return f"{value.text}, {reading.age.text}" if field_of == "ring" and reading.age else str(value.text)
    return ""


def _others(form: JobForm) -> list[str]:
    """Other frames of the player whose beds were read today, each with the age at which it was."""
    owner, found = form.name.partition("/")[0], []
    for name, entry in form.base.records.frames.items():
        for job in entry.record.jobs:
            ages = [r.age.text for r in job.readings if r.age and r.ring and r.when == "after"]
            if name != form.name and name.startswith(f"{owner}/") and job.date == today() and ages:
                found.append(f"{entry.record.number or entry.record.label}: {ages[-1]}")
    return found


def _spoken(unit: str) -> str:
    """A unit as it is shown beside a field."""
    return {**SPOKEN, "kgcm2": "kg·cm²"}.get(unit, unit)


def _page(bench: Bench, form: JobForm, status: int = 200) -> Response:
    frame, records = form.entry.record, form.base.records
    order = frame.waiting
    known = (form.owner.private_note, frame.private_note)
    body = bench.render(
        "job",
        records,
        form=form,
        frame=frame,
        owner=form.owner.full_name or form.owner.name,
        ordered=ordered_lines(order, records.catalogue) if order else [],
        order=order,
        strung=bool(form.offered["mains"]),
        known=" · ".join(filter(None, known)),
        last={name: _last(frame, name) for name in READINGS if name != "minutes"},
        spoken=_spoken,
        strings=sorted(records.strings),
        others=_others(form),
        once=form.values.get("once") or bench.fresh(),
        tied=knots(bench.root).get(form.name),
    )
    return Response(body, status, media_type="text/html")
