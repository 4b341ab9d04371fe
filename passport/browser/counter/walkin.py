"""A walk-in in one screen: what is not there yet is added in place, by the act of ``passport walk-in``."""

from functools import partial
from typing import get_args

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.adding.everybody import Everybody
from passport.acts.adding.walkin import WalkIn, walked_in
from passport.acts.change import Base, Change, carry_out, rehearsed
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.issue import unproven
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench
from passport.browser.counter.newcomer import FIELDS, WalkInForm, form_of, walk_in_said
from passport.browser.filled import once_of
from passport.records.schema.catalogue import Material, Sport
from passport.render.theme.formats import LANGUAGES, Formats

_DRAFT = "bench-walk-in"
_ADDRESS = "/walk-in"
_PASSING = frozenset({"assumed-dimensions"})
"""Of a model that nobody measured yet that is no question: it is told of what was saved."""


def show(bench: Bench, request: Request) -> Response:
    """The form, with what was typed into it before; a name that the search did not find begins it."""
    kept = dict(Draft(bench.root, _DRAFT).kept())
    named = " ".join(request.query_params.get("player", "").split())[:200]
    return _page(bench, form_of(Everybody(bench.root), {**kept, **({"player": named} if named else {})}))


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed, for whatever becomes of the page."""
    said = request.scope["form"]
    Draft(bench.root, _DRAFT).keep([(name, said[name]) for name in FIELDS if said.get(name)])
    return Response(status_code=204)


def save(bench: Bench, request: Request) -> Response:
    """Look at what was typed, save it, or begin anew; it is saved once only, whatever is sent again."""
    said = dict(request.scope["form"])
    if said.get("act") == "clear":
        Draft(bench.root, _DRAFT).drop()
        return RedirectResponse(_ADDRESS, 303)
    once, looking = once_of(said), said.get("act") != "save"
    if once not in bench.saved:
        form = form_of(Everybody(bench.root), said)
        walk_in = walk_in_said(form, looking=looking)
        try:
            done = not form.wrong and (_looked_at if looking else _saved)(bench, form, walk_in, once)
        except Faulty as faulty:
            form.place(faulty.faults, FIELDS)
            done = False
        except Refused as refused:  # while it is half filled that says no more than the form itself
            form.told += [] if looking else [str(refused)]
            done = False
        if not done:
            return _page(bench, form, 200 if looking else 409)
    return RedirectResponse(f"/saved/{once}", 303)


def _looked_at(bench: Bench, form: WalkInForm, said: WalkIn, once: str) -> bool:
    """Try what was said; nothing is written, so it is not done."""
    if not (said.player and (said.frame or said.model)):
        return False
    change, _, faults = rehearsed(form.base, _making(bench, said, [], done=form.done))
    form.told += [doubt for found in change.doubts.values() for doubt in found]
    form.place((fault for fault in faults if fault.rule not in _PASSING), FIELDS)
    return False


def _saved(bench: Bench, form: WalkInForm, said: WalkIn, once: str) -> bool:
    """Write it and note it under the form's mark; False where something is asked first. Raises Refused."""
    asking, names = AtTheScreen(form.values.get("agreed", ""), passing=_PASSING), list[str]()
    after = carry_out(bench.root, "passport walk-in", _making(bench, said, names, done=form.done), asking, form.base)
    if after is None:
        form.asks = asking
        form.place(asking.faults, FIELDS)
        return False
    Draft(bench.root, _DRAFT).drop()
    bench.note(once, names[-1], after, asking)
    return True


def _making(bench: Bench, said: WalkIn, names: list[str], *, done: bool) -> "partial[Change]":
    return partial(_made, bench=bench, said=said, keys=FreshKeys(), names=names, done=done)


def _made(base: Base, *, bench: Bench, said: WalkIn, keys: FreshKeys, names: list[str], done: bool) -> Change:
    """The change; the frame that it is about is put into ``names``."""
    name, change = walked_in(Additions(base, keys, bench.site), said, today(), done=done)
    names.append(name)
    return change


def _page(bench: Bench, form: WalkInForm, status: int = 200) -> Response:
    records = form.base.records
    body = bench.render(
        "walkin",
        records,
        form=form,
        unproven=unproven(form.base, bench.site),
        people=Everybody(bench.root).called,
        strings={name: entry.record for name, entry in sorted(records.strings.items())},
        models={name: entry.record for name, entry in sorted(records.models.items())},
        sports=get_args(Sport),
        materials=get_args(Material),
        languages=LANGUAGES,
        tongue=_tongue,
        once=form.values.get("once") or bench.fresh(),
    )
    return Response(body, status, media_type="text/html")


def _tongue(language: str) -> str:
    """What a language is called in itself."""
    return str(Formats(language).locale.get_language_name(language) or language)
