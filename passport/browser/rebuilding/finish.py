"""The end of a rebuild: the blank becomes a frame with its passport, and stands beside the one that it is to play like."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.amending.undo import changes
from passport.acts.change import base_of, carry_out
from passport.acts.drafts import Draft
from passport.acts.frames.issue import SITE, New, unproven
from passport.acts.picking import namesakes
from passport.acts.reading import readable
from passport.acts.rebuilding.finished import built, fresh_keys, successor_name
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench, Saved
from passport.browser.filled import once_of
from passport.browser.rebuilding.common import blank_of
from passport.records.faults import Fault
from passport.records.ledger import ledger
from passport.records.load import load_players
from passport.workshop.facts.facts import FrameFacts, SpecFacts
from passport.workshop.gathering.gather import Gatherer

_TYPED = ("label", "serial", "grip")


@dataclass
class NewFrameForm:
    """What is said of the frame that a blank becomes; what is not is the blank's, or the old frame's."""

    values: dict[str, str]
    told: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    asks: AtTheScreen | None = None


def show(bench: Bench, request: Request) -> Response:
    """The form of the new passport, filled in with what is known."""
    name = bench.name(request)
    kept = dict(Draft(bench.root, _draft(name, str(request.path_params["blank"]))).kept())
    return _page(bench, request, NewFrameForm(kept))


def keep(bench: Bench, request: Request) -> Response:
    """Keep what was typed."""
    name, said = bench.name(request), request.scope["form"]
    draft = Draft(bench.root, _draft(name, str(request.path_params["blank"])))
    draft.keep([(key, said[key]) for key in _TYPED if key in said])
    return Response(status_code=204)


def save(bench: Bench, request: Request) -> Response:
    """Make the frame by the act of ``passport issue``; once only, whatever is sent again."""
    said = dict(request.scope["form"])
    once = once_of(said)
    if once not in bench.saved:
        form = NewFrameForm(said)
        try:
            done = _written(bench, request, form, once)
        except Faulty as faulty:
            form.faults, done = list(faulty.faults), False
        except Refused as refused:
            form.told, done = [str(refused)], False
        if not done:
            return _page(bench, request, form, 409)
    return RedirectResponse(f"{quote(f'/frame/{bench.saved[once].name}/twin')}?saved={once}", 303)


def twin(bench: Bench, request: Request) -> Response:
    """A frame beside the one that it was built to play like."""
    name = bench.name(request)
    found = readable(bench.root, {name.partition("/")[0]})
    entry = bench.frame(name, found.records)
    facts = Gatherer(found.records, found.priors).recipe(name)
    player = found.records.players[name.partition("/")[0]].record
    body = bench.render(
        "rebuild_twin",
        found.records,
        name=name,
        frame=entry.record,
        owner=player.full_name or player.name,
        old=facts.twin,
        rows=_pairs(facts),
        written=bench.saved.get(request.query_params.get("saved", "")),
    )
    return Response(body, media_type="text/html")


def _pairs(facts: FrameFacts) -> list[tuple[SpecFacts, SpecFacts]]:
    """What is known of both frames: of the old one, of the new one."""
    old = facts.twin
    pairs = [(old.spec(spec.quantity), spec) for spec in facts.specs] if old else []
    return [(was, new) for was, new in pairs if was.value is not None and new.value is not None]


def _written(bench: Bench, request: Request, form: NewFrameForm, once: str) -> bool:
    old, said = bench.name(request), {key: form.values.get(key, "").strip() for key in _TYPED}
    base = base_of(bench.root, _needed(bench, old, said))
    entry, blank = bench.frame(old, base.records), blank_of(request, base.records)
    own = base.records.blanks[blank].record
    new = New(
        label=said["label"],
        serial="" if said["serial"] == own.serial else said["serial"],
        grip="" if said["grip"] == own.grip else said["grip"],
    )
    name = successor_name(bench.root, entry, said["label"])
    make = partial(built, name=name, old=old, blank=blank, new=new, keys=fresh_keys(name))
    asking = AtTheScreen(form.values.get("agreed", ""))
    after = carry_out(bench.root, "passport issue", make, asking, base)
    if after is None:
        form.asks, form.faults = asking, list(asking.faults)
        return False
    Draft(bench.root, _draft(old, blank)).drop()
    Draft(bench.root, f"bench-rebuild-{old}-{blank}").drop()
    done = next(iter(changes(bench.root)), None)
    number = after.frames[name].record.number
    bench.remember(once, Saved(name, number, asking.shown, tuple(asking.said), int(done.name) if done else 0))
    return True


def _needed(bench: Bench, old: str, said: Mapping[str, str]) -> set[str] | None:
    """The players whose records are enough: of others those alone who have a frame that is called alike, so that somebody
    is asked; None where there is a ledger to begin."""
    player = old.partition("/")[0]
    if not (bench.root / ledger.FILE).is_file():
        return None
    named = load_players(bench.root, {player}).get(player)
    called = named.record.name if named else ""
    return {player, *namesakes(bench.root, serial=said["serial"], player=called, label=said["label"])}


def _page(bench: Bench, request: Request, form: NewFrameForm, status: int = 200) -> Response:
    name = bench.name(request)
    base = base_of(bench.root, {name.partition("/")[0]})
    entry, blank = bench.frame(name, base.records), blank_of(request, base.records)
    record = base.records.blanks[blank].record
    player = base.records.players[name.partition("/")[0]].record
    offered = {
        "label": entry.record.label,
        "serial": record.serial,
        "grip": record.grip or entry.record.grip,
    }
    work = record.rebuild
    body = bench.render(
        "rebuild_finish",
        base.records,
        name=name,
        blank=blank,
        frame=entry.record,
        owner=player.full_name or player.name,
        form=form,
        values={**offered, **{key: form.values[key] for key in _TYPED if key in form.values}},
        steps=len(work.steps) if work else 0,
        doubt=unproven(base, SITE),
        once=form.values.get("once") or bench.fresh(),
    )
    return Response(body, status, media_type="text/html")


def _draft(name: str, blank: str) -> str:
    return f"bench-issue-{name}-{blank}"
