"""A rebuild step by step: what is next, what was read, and the rest solved anew from that; by ``rebuild --resume``'s act."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, partial
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.amending.undo import changes
from passport.acts.change import Base, Change, base_of, carry_out, rehearsed
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.log import units_of
from passport.acts.rebuilding.resumed import Heard, abandoned, noted, work_in_hand
from passport.acts.rebuilding.whole import with_own
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen, marked
from passport.browser.bench import Bench, Saved, formats
from passport.browser.filled import once_of
from passport.browser.rebuilding.common import blank_of, everything, figure_text, limits_in, query, workbench
from passport.records.faults import Fault
from passport.records.load import Content
from passport.records.yaml.difference import difference
from passport.render.sheets.on_screen import plan_picture
from passport.render.sheets.sheet import rebuild_pdf
from passport.workshop.entry.bare import SPOKEN, USUAL_UNITS, lent, unit_of
from passport.workshop.entry.bench_words import done_otherwise, read_after, weighed_before
from passport.workshop.entry.phrases import Unclear
from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.plan import Plan, percent
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.workorder import Stage
from passport.workshop.resume.resume import WorkInHand, planned
from passport.workshop.resume.told import contradiction

READ = ("mass", "balance", "swingweight", "twistweight")
PUT_ON = ("trial", "add", "rest", "fit")
_TYPED = (*READ, "pendulum", "did", "weighed", "step")
_KEY = re.compile(r"(\w+):")


@dataclass
class WorkForm:
    """What the screen shows: the state of the work, what was typed of the next step (or of an earlier one, ``step``)."""

    name: str
    blank: str
    base: Base
    """The records of the frame's player, which a change is worked out from."""
    whole: Content
    """All records, which a plan is worked out from."""
    text: str
    values: dict[str, str]
    limits: dict[str, str]
    beside: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    asks: AtTheScreen | None = None
    forgets: bool = False
    """Whether what is asked is to forget the work."""
    changed: list[str] = field(default_factory=list)
    looked: WorkInHand | None = None
    """The work as it would be with what was typed."""

    @cached_property
    def hand(self) -> WorkInHand:
        """The state of the work. Raises Refused."""
        return _worked_out(self.bench_of(self.base.records), self.name, self.blank)

    def bench_of(self, records: Content) -> Workbench:
        """The workbench of all records, those of the frame's player and of the blank as they stand in ``records``."""
        return workbench(self.limits)(with_own(self.whole, records))

    @property
    def basis(self) -> str:
        """What the form was worked out from."""
        return marked(self.text)

    @property
    def next(self) -> tuple[int, Stage] | None:
        """The next step and its number."""
        return self.hand.ahead[0] if self.hand.ahead else None

    @property
    def address(self) -> str:
        """Where the work is shown."""
        return quote(f"/frame/{self.name}/rebuild/on/{self.blank}")

    def beside_field(self, name: str, tone: str, words: str) -> None:
        """Say something at a field."""
        self.beside.setdefault(name, []).append((tone, words))


class _Overwritten(Refused):
    """The blank's record is not as it was when the form was made."""


def show(bench: Bench, request: Request) -> Response:
    """The state of the work, with what was typed into the next step's form before."""
    form = _form(bench, request, limits_in(request.query_params), {})
    number = str(form.next[0]) if form.next else ""
    kept = dict(Draft(bench.root, _draft(form.name, form.blank)).kept())
    if kept.get("step") == number:
        form.values |= kept
    return _page(bench, form, saved=request.query_params.get("saved", ""))


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed of the next step."""
    name, blank, said = bench.name(request), str(request.path_params["blank"]), request.scope["form"]
    Draft(bench.root, _draft(name, blank)).keep([(k, v) for k, v in said.items() if k in _TYPED])
    return Response(status_code=204)


def save(bench: Bench, request: Request) -> Response:
    """Note what was done and read, or look what would follow from it; once only, whatever is sent again."""
    said = dict(request.scope["form"])
    once = once_of(said)
    name, blank = bench.name(request), str(request.path_params["blank"])
    limits = limits_in(said)
    if once not in bench.saved:
        form = _form(bench, request, limits, said)
        if said.get("basis") != form.basis:
            _tell_of_change(bench, form, said.get("basis", ""))
            return _page(bench, form, 409)
        try:
            done = _carried_out(bench, form, said.get("act", ""), once)
        except _Overwritten:
            form = _form(bench, request, limits, said)
            _tell_of_change(bench, form, said.get("basis", ""))
            done = False
        except Faulty as faulty:
            _place(form, faulty.faults)
            done = False
        except Refused as refused:
            form.told.append(_plain(str(refused)))
            done = False
        if not done:
            return _page(bench, form, 200 if said.get("act") == "look" else 409)
    if said.get("act") == "abandon":
        return RedirectResponse(quote(f"/frame/{name}/rebuild") + query(limits), 303)
    return RedirectResponse(quote(f"/frame/{name}/rebuild/on/{blank}") + query(limits, saved=once), 303)


def sheet(bench: Bench, request: Request) -> Response:
    """The bench sheet of what is left, as PDF."""
    form = _form(bench, request, limits_in(request.query_params), {})
    told = {"content-disposition": f'inline; filename="rebuild-{form.name.replace("/", "-")}.pdf"'}
    body = rebuild_pdf([form.hand.found], form.hand.course.bench.gatherer.shop)
    return Response(body, media_type="application/pdf", headers=told)


def did_text(stage: Stage, hand: WorkInHand) -> str:
    """What a stage puts on, as it is typed where something else was put on instead; empty for one that puts nothing on."""
    if stage.kind not in PUT_ON or stage.piece is None:
        return ""
    (one,) = planned(stage, today(), hand.course.bench.parts)["fitted"]
    length = f" [{one['length']}]" if "length" in one else ""
    mass = f" = {one['mass']}{length}" if "mass" in one else ""
    return f"{one['part']} @ {one['place']}{mass}"


def fitted_text(plan: Plan) -> str:
    """What a plan adds, one a line, as it is typed in a job."""
    lines = []
    for piece in plan.additions:
        length = f" [{piece.length_mm:g} mm]" if piece.length_mm and piece.kind == "tape" else ""
        lines.append(f"{piece.part} @ {piece.place} = {piece.mass_g:.4g} g{length}")
    return "\n".join(lines)


def _form(bench: Bench, request: Request, limits: dict[str, str], said: Mapping[str, str]) -> WorkForm:
    name = bench.name(request)
    whole, base = everything(bench), base_of(bench.root, {name.partition("/")[0]})
    bench.frame(name, base.records)
    blank = blank_of(request, base.records)
    text = base.text(f"blanks/{blank}.yaml") or ""
    bench.remember_text(marked(text), text)
    return WorkForm(name, blank, base, whole, text, dict(said), limits)


def _worked_out(bench: Workbench, name: str, blank: str) -> WorkInHand:
    """The state of the work with all that the screen shows of it. Raises Refused."""
    hand = work_in_hand(bench, name, blank)
    try:
        _ = hand.ahead, hand.done, hand.advice, hand.chance
    except Missing as missing:
        raise Refused(f"{missing.what}\n  {missing.do}") from None
    return hand


def _tell_of_change(bench: Bench, form: WorkForm, basis: str) -> None:
    before = bench.texts.get(basis)
    form.changed = [""] if before is None else difference(before, form.text, 30)


def _carried_out(bench: Bench, form: WorkForm, act: str, once: str) -> bool:
    """Note what was said; False where it was only looked at, or something is asked first. Raises Refused."""
    if act == "abandon":
        make = partial(abandoned, frame=form.name, blank=form.blank)
        asking = AtTheScreen(form.values.get("agreed", ""), always=True)
        form.forgets = True
    else:
        heard = _heard(form, act)
        if form.beside:
            return False
        if act == "look":
            _look(form, heard)
            return False
        make = partial(noted, frame=form.name, blank=form.blank, heard=heard, bench_of=form.bench_of)
        asking = AtTheScreen(form.values.get("agreed", ""))
    if carry_out(bench.root, "passport rebuild", partial(_still, form=form, make=make), asking, form.base) is None:
        form.asks = asking
        _place(form, asking.faults)
        return False
    Draft(bench.root, _draft(form.name, form.blank)).drop()
    entry = next(iter(changes(bench.root)), None)
    change = int(entry.name) if entry else 0
    bench.remember(once, Saved(form.name, "", asking.shown, tuple(asking.said), change))
    return True


def _still(base: Base, *, form: WorkForm, make: Callable[[Base], Change]) -> Change:
    """The change, if the blank's record still is what the form was made from: else a step's number may mean another."""
    if (base.text(f"blanks/{form.blank}.yaml") or "") != form.text:
        raise _Overwritten
    return make(base)


def _heard(form: WorkForm, act: str) -> Heard:
    """What was said of a step; what cannot be read is told at its field."""
    values = {name: form.values.get(name, "").strip() for name in _TYPED}
    step = int(values["step"]) if values["step"].isascii() and values["step"].isdigit() else 0
    units = units_of(form.base.records)
    told = [f"{q} {lent(values[q], unit_of(q, units) or USUAL_UNITS[q])}" for q in READ if values[q]]
    told += [f"pendulum {values['pendulum']}"] if values["pendulum"] else []
    for one in told:
        _try(form, one.partition(" ")[0], partial(read_after, f"{step}: {one}"))
    weighed = _weighed(form)
    upto = form.values.get("upto", "")
    last = int(upto) if upto.isascii() and upto.isdigit() else 0
    if last:  # up to a step further on, all as planned; what was read is of the next one
        return Heard(read=(f"{step}: {', '.join(told)}",) if told else (), upto=last)
    did = values["did"]
    otherwise = bool(did) and did != form.values.get("offered", "").strip()
    if otherwise:
        _try(form, "did", partial(done_otherwise, f"{step}: {did}"))
    return Heard(
        read=(f"{step}: {', '.join(told)}",) if told else (),
        did=(f"{step}: {did}",) if otherwise else (),
        weighed=weighed,
        upto=step if act in ("done", "look") else 0,
    )


def _weighed(form: WorkForm) -> tuple[str, ...]:
    """The masses of parts before they are fitted, each with the number of its step."""
    found = list[str]()
    for name, text in form.values.items():
        number = name.removeprefix("weighed-")
        if name != number and number.isascii() and number.isdigit() and text.strip():
            said = f"{number}: {text.strip()}"
            _try(form, name, partial(weighed_before, said))
            found.append(said)
    return tuple(found)


def _try(form: WorkForm, name: str, read: Callable[[], object]) -> None:
    try:
        read()
    except Unclear as unclear:
        form.beside_field(name, "bad", _plain(str(unclear)))


def _plain(text: str) -> str:
    """What an act says, without the names of a command's options."""
    return re.sub(r"(?m)^(\s*)--(read|did|weighed|done): ", r"\1", text)


def _look(form: WorkForm, heard: Heard) -> None:
    """What would follow from what was typed; nothing is written."""
    make = partial(noted, frame=form.name, blank=form.blank, heard=heard, bench_of=form.bench_of)
    _, after, faults = rehearsed(form.base, make)
    _place(form, faults)
    if form.blank not in after.blanks:
        return
    form.looked = hand = _worked_out(form.bench_of(after), form.name, form.blank)
    f = formats(form.base.records)
    number = int(form.values["step"]) if form.values.get("step", "").isdigit() else 0
    for done in hand.done:
        for look in done.read if done.number == number else ():
            expected = done.expected.get(look.quantity)
            if expected is not None and form.values.get(look.quantity, "").strip():
                tone = "doubt" if look in hand.knowledge.aside else "good"
                form.beside_field(look.quantity, tone, f"{tone}|{figure_text(expected, look.quantity, f)}")


def _place(form: WorkForm, faults: "tuple[Fault, ...] | list[Fault]") -> None:
    """Each fault at the field that it is about, as far as its line tells; the others above."""
    for fault in faults:
        keys = _KEY.findall(fault.place.excerpt[: max(0, fault.place.col - 1)])
        if keys and keys[-1] in READ:
            tone = "bad" if fault.severity == "error" else "doubt"
            form.beside_field(keys[-1], tone, f"{fault.what} {fault.do}")
        else:
            form.faults.append(fault)


def _draft(name: str, blank: str) -> str:
    return f"bench-rebuild-{name}-{blank}"


def _page(bench: Bench, form: WorkForm, status: int = 200, saved: str = "") -> Response:
    hand, records = form.hand, form.base.records
    f = formats(records)
    frame = records.frames[form.name].record
    player = records.players[form.name.partition("/")[0]].record
    units = units_of(records)
    shown = {q: unit_of(q, units) or USUAL_UNITS[q] for q in READ}
    plan = hand.found.plans[0]
    title = f.words.gettext("What is still to be fitted, on the racquet")
    key = f"{frame.number or form.name}-{form.blank}"
    body = bench.render(
        "rebuild_work",
        records,
        form=form,
        hand=hand,
        frame=frame,
        owner=player.full_name or player.name,
        picture=plan_picture(hand.found, plan, f, key=key, title=title) if plan.additions else None,
        plan=plan,
        parts=hand.course.bench.parts,
        contradictions=[contradiction(hand, one) for one in hand.knowledge.found],
        looked=[contradiction(form.looked, one) for one in form.looked.knowledge.found] if form.looked else [],
        percent=percent,
        figure=partial(figure_text, f=f),
        did_text=did_text,
        units={q: SPOKEN.get(u, "kg·cm²" if u == "kgcm2" else u) for q, u in shown.items()},
        twists=hand.found.aim("twistweight") is not None,
        once=form.values.get("once") or bench.fresh(),
        again=query(form.limits),
        written=bench.saved.get(saved),
    )
    return Response(body, status, media_type="text/html")
