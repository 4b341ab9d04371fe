"""Is a target likely in its sport, and does what was weighed go with the mass that the maker prints?"""

from collections.abc import Iterator, Mapping
from typing import Final

from passport.physics.plausible import plausible
from passport.records.checks.likely_readings import Place, Question, in_sport
from passport.records.language.worded import worded
from passport.records.masses import added_mass
from passport.records.schema.as_printed import PrintedMass
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame, Reading, Setup
from passport.records.schema.quantities import Quantity, bare_unit
from passport.records.schema.usual_values import USUAL_VALUES
from passport.records.timeline import Holding, Step

SPREAD: Final = 0.04
"""How far a frame may be from the mass that its maker prints without a question, as a share of it: frames of one model
spread by two or three in a hundred (common practice, no source)."""
_FACTORY: Final = frozenset({"base grip", "butt cap", "grommets", "bumper"})
"""What a frame has on when it leaves the factory, and what its printed mass counts."""


def model_doubts(model: FrameModel) -> Iterator[Question]:
    """What is asked about in a model of the catalogue: the maker's range and the printed mass, each in its sport."""
    usual = USUAL_VALUES[model.sport]
    for end in ("low", "high") if model.tension else ():
        pull: Quantity | None = getattr(model.tension, end)
        if pull and not usual.pull.holds(pull.value):
            other = "lb" if bare_unit(pull.unit).startswith("kg") else "kg"
            what = worded("{pull} is not what {sport} frames are strung with.", pull=pull.text, sport=model.sport)
            yield Question(
                ("tension", end), what, worded("Did you mean {amount:g} {other}?", amount=pull.amount, other=other)
            )
            break
    if model.mass and not (usual.mass.low <= model.mass.low and model.mass.high <= usual.mass.high):
        what = worded("{mass} is no mass of a {sport} frame.", mass=model.mass.text, sport=model.sport)
        yield Question(("mass",), what, worded("Look for a slipped digit or unit."))


def setup_doubts(setup: Setup, model: FrameModel) -> Iterator[Question]:
    """All that is asked about in the targets of a frame; targets of no one body are an error of their own."""
    usual, length = USUAL_VALUES[model.sport], model.shape().length
    balance = setup.balance.mm(length) if setup.balance else None
    whole = (
        (setup.mass.target.value, balance, setup.swingweight.target.value) if setup.mass and setup.swingweight else ()
    )
    if balance is not None and (
        not 0 < balance < length or (whole and not plausible(whole[0], balance, whole[2], length))
    ):
        return
    for name in ("mass", "swingweight", "twistweight"):
        band = getattr(setup, name)
        if band:
            yield from in_sport(("setup", name), name, band.target, band.target.value, model, usual)
    if balance is not None:
        yield from in_sport(("setup", "balance"), "balance", None, balance, model, usual)


def weighed_doubts(
    step: Step, frame: Frame, model: FrameModel, parts: Mapping[str, Part], strings: Mapping[str, StringType]
) -> Iterator[Question]:
    """The masses of a job that do not go with what the maker prints, less what is on the frame.

    Where nobody wrote down what the frame had on when it first came in, it may have anything on, and so be heavier.
    """
    if model.mass is None:
        return
    whole = "build" in frame.model_fields_set
    for k, reading in enumerate(step.job.readings):
        held = step.before if reading.when == "before" else step.after
        path: Place = ("jobs", step.index, "readings", k, "mass")
        yield from _against_print(path, reading, held, model, model.mass, parts, strings, most=whole)


def blank_weighed_doubts(
    blank: Blank, model: FrameModel, parts: Mapping[str, Part], strings: Mapping[str, StringType]
) -> Iterator[Question]:
    """The bare masses of a blank that do not go with what the maker prints."""
    for k, reading in enumerate(blank.readings):
        if model.mass and reading.state == "bare":
            held = Holding(parts=blank.build)
            yield from _against_print(
                ("readings", k, "mass"), reading, held, model, model.mass, parts, strings, most=True
            )


def _against_print(
    path: Place,
    reading: Reading,
    held: Holding,
    model: FrameModel,
    printed: PrintedMass,
    parts: Mapping[str, Part],
    strings: Mapping[str, StringType],
    *,
    most: bool,
) -> Iterator[Question]:
    on = tuple(fitted for fitted in held.parts if fitted.part not in parts or parts[fitted.part].kind not in _FACTORY)
    added = added_mass(Holding(on, held.stringing), reading, parts, strings, model.shape())
    if reading.mass is None or added is None:
        return
    bare = reading.mass.value - added
    if bare < printed.low * (1 - SPREAD) or (most and bare > printed.high * (1 + SPREAD)):
        less = worded(", {added:.0f} g of it on the frame,", added=added) if added else ""
        span = (
            f"{printed.low:g} g"
            if printed.low == printed.high
            else worded("{low:g} to {high:g} g", low=printed.low, high=printed.high)
        )
        called = f"{printed.text} ({span})" if printed.text != span else span
        what = worded(
            "A mass of {mass}{less} does not go with the {called} that the maker prints for a bare frame.",
            mass=reading.mass.text,
            less=less,
            called=called,
        )
        yield Question(
            path, what, worded("Look for a slipped digit, another model, or a part that is not in the record.")
        )
