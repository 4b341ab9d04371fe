"""A frame is taken in, in one screen: what is wanted of it, by when, and what was seen, by the act of ``passport take``."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.adding.walkin import adding_strings
from passport.acts.change import Change, carry_out, rehearsed
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.log import units_of
from passport.acts.orders.take import taken, withdrawn
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench
from passport.browser.filled import FrameFilled, begun, offered_recipe, once_of, tension_unit
from passport.workshop.entry.bare import lent
from passport.workshop.entry.order_from_text import condition_of
from passport.workshop.entry.phrases import NOTHING, Unclear, reader
from passport.workshop.entry.spoken import coming_day
from passport.workshop.orders.wanted import ordered_lines

STRINGS = ("mains", "mains_tension", "crosses", "crosses_tension", "prestretch")
LISTS = ("fit", "remove", "repair")
WORDS = ("promised", "asked", "tuning", "price", "note")
LOOKS: Mapping[str, tuple[str, ...]] = {
    "crack": ("none", "found"),
    "hoop": ("clear", "dull"),
    "grommets": ("sound", "worn", "broken", "missing"),
    "bumper": ("sound", "worn", "broken", "missing"),
    "paint": ("sound", "chipped"),
    "grip": ("sound", "worn", "broken", "missing"),
    "strings": ("whole", "broken", "cut out"),
}
"""What is looked at, each with what may be said of it."""
SEEN = ("crack_at", "grommets_at", "ring", "seen", "advised", "decided")
FIELDS = ("work", *STRINGS, "tension", *LISTS, *WORDS, *LOOKS, *SEEN)
_AT = {"crack": "crack_at", "grommets": "grommets_at"}


@dataclass(kw_only=True)
class IntakeForm(FrameFilled):
    """What the screen shows: the frame, what it waits for already, and the recipe that is offered."""

    order: Mapping[str, Any]
    strung: bool
    """Whether it was strung here, so that nothing said means once more."""

    @property
    def looked(self) -> bool:
        """Whether something is said of what was looked at, or beside it."""
        return any(self.values.get(name) or name in self.beside for name in (*LOOKS, *SEEN))

    @property
    def again(self) -> bool:
        """Whether the last stringing is wanted again, in all that is not said otherwise."""
        return self.values["work"] == "strung" and self.strung and not self.order.get("strings")


def show(bench: Bench, request: Request) -> Response:
    """The form, with what was typed into it before, if anything was."""
    name = bench.name(request)
    return _page(bench, _form(bench, name, dict(Draft(bench.root, _draft(name)).kept())))


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed, for whatever becomes of the page."""
    name, said = bench.name(request), request.scope["form"]
    Draft(bench.root, _draft(name)).keep([(key, said[key]) for key in FIELDS if key in said])
    return Response(status_code=204)


def save(bench: Bench, request: Request) -> Response:
    """Look at what is wanted, save it, or take the frame off the rack again; once only, whatever is sent again."""
    name, said = bench.name(request), dict(request.scope["form"])
    once, looking = once_of(said), said.get("act") == "look"
    if once not in bench.saved:
        form = _form(bench, name, said)
        make = partial(withdrawn, name=name) if said.get("act") == "withdraw" else _making(form)
        if not looking:
            form.compare(bench, said.get("basis", ""))
        try:
            done = not (form.wrong or form.changed) and (_looked_at if looking else _saved)(bench, form, make, once)
        except Faulty as faulty:
            form.place(faulty.faults, FIELDS)
            done = False
        except Refused as refused:
            form.told += [] if looking else [str(refused)]
            done = False
        if not done:
            return _page(bench, form, 200 if looking else 409)
    return RedirectResponse(f"/saved/{once}", 303)


def _looked_at(bench: Bench, form: IntakeForm, make: "partial[Change]", once: str) -> bool:
    """Try what is wanted; nothing is written, so it is not done."""
    change, _, faults = rehearsed(form.base, make)
    form.told += [doubt for found in change.doubts.values() for doubt in found]
    form.place(faults, FIELDS)
    return False


def _saved(bench: Bench, form: IntakeForm, make: "partial[Change]", once: str) -> bool:
    """Write it and note it under the form's mark; False where something is asked first. Raises Refused."""
    asking = AtTheScreen(form.values.get("agreed", ""))
    after = carry_out(bench.root, "passport take", make, asking, form.base)
    if after is None:
        form.asks = asking
        form.place(asking.faults, FIELDS)
        return False
    Draft(bench.root, _draft(form.name)).drop()
    bench.note(once, form.name, after, asking)
    return True


def _draft(name: str) -> str:
    return f"bench-take-{name}"


def _form(bench: Bench, name: str, said: Mapping[str, str]) -> IntakeForm:
    frame = begun(bench, name)
    order, active = frame.order, frame.entry.record.status == "active"
    offered = offered_recipe(order.get("strings") or frame.last.strings)
    offered.pop("batch")
    work = "strung" if (order.get("strings") if order else active) else "none"
    values = {**dict.fromkeys(FIELDS, ""), **offered, "work": work, **said}
    shop = units_of(frame.base.records)
    units = {side: tension_unit(shop, offered[side]) for side in ("mains_tension", "crosses_tension")}
    units |= {"prestretch": "%", "tension": units["mains_tension"]}
    return IntakeForm(
        values=values, units=units, name=name, entry=frame.entry, base=frame.base, text=frame.text, offered=offered,
        order=order, strung=bool(frame.last.strings) and active,
    )  # fmt: skip


def _making(form: IntakeForm) -> "partial[Change]":
    """The change by the act of ``passport take``; what cannot be read is told at its field."""
    words = dict(_words(form))
    _try(form, words)
    gone = ("strings", "stencil") if form.values["work"] == "none" and form.order.get("strings") else ()
    return partial(adding_strings, act=taken, name=form.name, words=words, day=today(), again=form.again, left_out=gone)


def _words(form: IntakeForm) -> Iterator[tuple[str, str | list[str]]]:
    """What was said, under the names that an order has."""
    said = {name: " ".join(form.values.get(name, "").split()) for name in FIELDS if name not in LISTS}
    if said["work"] != "none":
        for name in STRINGS:
            if said[name] != form.offered[name].strip():
                yield name, lent(said[name], form.units.get(name, "")) if said[name] else NOTHING
        if said["tension"]:
            yield "tension", lent(said["tension"], form.units["tension"])
    for name in LISTS:
        lines = [line.strip() for line in form.values.get(name, "").splitlines() if line.strip()]
        if lines:
            yield name, lines
    yield from ((name, said[name]) for name in WORDS if said[name])
    for name in LOOKS:
        if said[name]:
            yield f"look_{name}", f"{said[name]} {said[_AT[name]] if name in _AT else ''}".strip()
    yield from ((f"look_{name}", said[name]) for name in SEEN if said[name] and name not in _AT.values())


def _try(form: IntakeForm, words: Mapping[str, str | list[str]]) -> None:
    for name, value in words.items():
        looked = name.removeprefix("look_") if name.startswith("look_") else ""
        read = reader(name)
        for text in [value] if isinstance(value, str) else value:
            try:
                if looked:
                    condition_of({name: text})
                elif name == "promised":
                    coming_day(text, today())
                elif read:
                    read(text)
            except Unclear as unclear:
                form.unclear(_AT.get(looked, looked) or name, unclear)


def _page(bench: Bench, form: IntakeForm, status: int = 200) -> Response:
    frame, records = form.entry.record, form.base.records
    body = bench.render(
        "order",
        records,
        form=form,
        frame=frame,
        owner=form.owner.full_name or form.owner.name,
        known=" · ".join(filter(None, (form.owner.private_note, frame.private_note))),
        waits=ordered_lines(frame.waiting, records.catalogue) if frame.waiting else [],
        looks=LOOKS,
        strings={name: entry.record for name, entry in sorted(records.strings.items())},
        once=form.values.get("once") or bench.fresh(),
    )
    return Response(body, status, media_type="text/html")
