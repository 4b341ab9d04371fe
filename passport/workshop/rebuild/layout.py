"""Solutions laid out as plans: pieces with their places, the order of work, what to expect after each step."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from passport.physics.body import Body
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.uncertainty import conformity
from passport.records.masses import assumed_mass, fitted_mass
from passport.records.schema.catalogue import Part, PartKind
from passport.records.schema.frame import Fitted
from passport.workshop.measuring.assumed import USUAL, Assumptions
from passport.workshop.measuring.causes import made_up, settled
from passport.workshop.measuring.finish import Finish
from passport.workshop.measuring.placement import lay
from passport.workshop.measuring.states import Predictor, State
from passport.workshop.rebuild.chance import deviation, laid_body
from passport.workshop.rebuild.plan import Action, Addition, Aim, Caution, Effect, Figures, Outlook, WorkStep
from passport.workshop.rebuild.stock import FOR_PASTE, Option, Site

LATE = ("pallet foam", "butt cap", "sleeve", "base grip", "leather strip", "power pad", "head tape", "other")
"""Kinds in the order in which they are fitted after the tuning; the `AFTER_STRINGS` come last of all."""

AFTER_STRINGS = frozenset({"overgrip", "string savers", "damper"})
"""Kinds that sit on the strings, or that stay clean if they go on when the stringing is done."""


def piece_of_option(option: Option, parts: Mapping[str, Part]) -> Addition:
    """So much of a material at a place."""
    part, laid = parts[option.part], option.laid
    length = laid.length if part.kind == "tape" else None
    return Addition(
        option.part, part.name, part.kind, part.material, option.place.text, laid.from_mm, laid.to_mm, laid.hour,
        laid.count, length, option.mass, laid.moments,
    )  # fmt: skip


def piece_of(fitted: Fitted, predictor: Predictor) -> Addition:
    """A part of the setup; with the usual mass of its kind where nobody knows its own, 0 g where there is none."""
    part, known = predictor.parts[fitted.part], fitted_mass(fitted, predictor.parts, predictor.shape.throat)
    usual = assumed_mass(part) if known is None else None
    mass = known or (usual.value if usual else 0.0)
    length = fitted.length or part.covers
    laid = lay(part.kind, fitted.place, mass, length.value if length else None, predictor.shape)
    return Addition(
        fitted.part, part.name, part.kind, part.material, fitted.place.text, laid.from_mm, laid.to_mm, laid.hour,
        laid.count, length.value if length else None, mass, laid.moments, fitted.note, usual is not None, fitted.mass is not None,
    )  # fmt: skip


def body_of_option(option: Option, owner: str, assumed: Assumptions = USUAL) -> Body:
    """So much of a material, weighed before it is fitted and laid to within a few millimetres."""
    name = f"{option.part}, {option.place.text}, new on {owner}"
    return laid_body(option.laid.moments, f"mass of {name}", f"place of {name}", assumed)


@dataclass(frozen=True, slots=True)
class Work:
    """What a plan does to a subject: the ``added`` options, the parts ``gone`` beyond the finish's, those put ``instead``."""

    added: tuple[Option, ...]
    gone: tuple[Fitted, ...] = ()
    instead: tuple[Fitted, ...] = ()


def steps_of(
    work: Work, done: Finish, start: Body, state: State, predictor: Predictor, owner: str
) -> Iterator[WorkStep]:
    """The steps from a subject as it was measured, in ``state``, to the finished frame, each with what then comes out.

    Off first; then the tuning from the tip to the butt; then what covers it; strings; and the overgrip at the end.
    """
    body = start
    for action, piece, change in _changes(work, done, state, predictor, owner):
        body = body + change
        yield WorkStep(action, piece, Figures.of(body))


def _changes(
    work: Work, done: Finish, state: State, predictor: Predictor, owner: str
) -> Iterator[tuple[Action, Addition | None, Body]]:
    parts = predictor.parts
    gone, instead = list(work.gone), list(work.instead)
    # `_took` empties the lists it is given, so `fit` and `off` must be worked out before they are used below.
    fit = [f for f in done.fit if not _took(gone, f)]
    off = [f for f in done.off if f in state.parts and not _took(instead, f)]
    for fitted in (*off, *gone):
        yield "take off", piece_of(fitted, predictor), predictor.fitted(fitted, owner).scaled(-1)
    # Tuning goes on while the handle is still bare: sleeve, grip and butt cap cover it.
    for option in work.added:
        yield "add", piece_of_option(option, parts), body_of_option(option, owner, predictor.assumed)
    late = sorted((*fit, *instead, *_left_off(done, state)), key=lambda f: _late(parts[f.part].kind))
    for fitted in late:
        if parts[fitted.part].kind not in AFTER_STRINGS:
            yield "fit", piece_of(fitted, predictor), predictor.fitted(fitted, owner)
    # Strings before the overgrip: a frame is clamped and handled while it is strung, and the grip stays clean.
    if not state.strung and done.stringing:
        yield "string", None, predictor.strung(done.stringing, owner)
    for fitted in late:
        if parts[fitted.part].kind in AFTER_STRINGS:
            yield "fit", piece_of(fitted, predictor), predictor.fitted(fitted, owner)


def _took(gone: list[Fitted], fitted: Fitted) -> bool:
    """Take a part out of a list where it is in it: what is put on and taken off again is not touched at all."""
    same = next((f for f in gone if (f.part, f.place.spot) == (fitted.part, fitted.place.spot)), None)
    if same is not None:
        gone.remove(same)
    return same is not None


def _left_off(done: Finish, state: State) -> list[Fitted]:
    """Parts that stay but were off when the subject was measured."""
    on = list(state.parts)
    return [f for f in done.stays if not _took(on, f)]


def _late(kind: str) -> int:
    return LATE.index(kind) if kind in LATE else len(LATE)


def outlook(figures: Figures, aims: Iterable[Aim]) -> Iterator[Outlook]:
    """The prediction of each quantity against its target, the target's own uncertainty included."""
    found = deviation(figures, aims)
    for quantity, off, tolerance in zip(found.quantities, found.off, found.tolerances, strict=True):
        miss, allowed = found.estimate(quantity), float(tolerance)
        judged = conformity(float(off), miss.u, -allowed, allowed)
        open_ = settled(miss, -allowed, allowed)
        yield Outlook(
            quantity,
            judged.verdict,
            judged.probability,
            open_.decidable if open_ else True,
            open_.text if open_ else "",
            made_up(miss.shares),
        )


def effects(
    places: Iterable[Site], used: Mapping[str, float], result: Moments, shape: RacquetShape
) -> Iterator[Effect]:
    """What one further gram at each place does to a finished frame; ``used`` is what a plan puts there already, g."""
    for site in places:
        kind: PartKind = "silicone" if site.place.name in FOR_PASTE else "tape"
        whole = site.most if kind == "silicone" and site.most > 0 else 1.0  # a gram of all the silicone that it takes
        laid = lay(kind, site.place, whole, (site.length or None) if kind == "tape" else None, shape)
        # Laid as the whole and divided: a plug's middle moves with its length, so a single gram would sit elsewhere.
        gram = laid.moments.scaled(1 / whole)
        after = result + gram
        yield Effect(
            site.place.text,
            laid.hour,
            laid.from_mm,
            laid.to_mm,
            after.balance - result.balance,
            gram.swingweight(),
            gram.twistweight or 0.0,
            max(0.0, site.most - used.get(site.place.text, 0.0)),
        )


GLUED: Final = frozenset({"tape", "head tape", "base grip"})
"""Kinds of part under which old glue is taken off with a solvent, or the place is wiped with one (common practice)."""


def cautions(pieces: Sequence[Addition], tensioned: bool, cracked: bool, limit: bool) -> tuple[Caution, ...]:
    """Which cautions a sheet must print."""
    found: list[Caution] = []
    if any(re.search(r"\blead\b(?!-free)", piece.material, re.IGNORECASE) for piece in pieces):
        found.append("lead")
    if any(piece.kind == "silicone" for piece in pieces):
        found.append("silicone")
    kinds = {piece.kind for piece in pieces}
    if "sleeve" in kinds:
        found.append("heat")
    if kinds & GLUED:
        found.append("solvent")
    if "butt cap" in kinds:
        found.append("tacks")
    if tensioned:
        found += ["strings", "dismount"]
    if cracked:
        found.append("cracked")
    return (*found, "limits") if limit else tuple(found)
