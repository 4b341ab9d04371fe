"""Where tape and silicone usually go, for a model of which nobody wrote down any place.

Common practice, no source, for every place and amount: what is often fitted, well below what a sound hoop or handle bears.
The maker's word stands above it.
"""

from functools import cache
from typing import Final

from passport.records.language.worded import worded
from passport.records.schema.catalogue import FrameModel, PlaceLimit, Sport
from passport.workshop.facts.spoken_names import name_said, place_said

_USUAL: Final[dict[Sport, tuple[tuple[str, str], ...]]] = {
    "tennis": (
        ("12", "4 g"), ("10 and 2", "6 g"), ("3 and 9", "8 g"), ("throat", "4 g"), ("top of the handle", "8 g"),
        ("inside the handle", "12 g"),
    ),
    "squash": (
        ("12", "2 g"), ("10 and 2", "3 g"), ("3 and 9", "4 g"), ("throat", "3 g"), ("top of the handle", "5 g"),
        ("inside the handle", "6 g"),
    ),
    "badminton": (
        ("12", "0.8 g"), ("10 and 2", "1 g"), ("3 and 9", "1.2 g"), ("top of the handle", "2 g"),
        ("inside the handle", "3 g"),
    ),
    "racketball": (
        ("12", "3 g"), ("10 and 2", "4 g"), ("3 and 9", "5 g"), ("throat", "3 g"), ("top of the handle", "5 g"),
        ("inside the handle", "8 g"),
    ),
}  # fmt: skip


def usual(model: FrameModel) -> bool:
    """Whether the usual places of the sport stand in for those of a model: nobody wrote any, not even that there is none."""
    return not model.places and "places" not in model.model_fields_set


def places_of(model: FrameModel) -> tuple[PlaceLimit, ...]:
    """The places of a model, or the usual ones of its sport."""
    return _of_sport(model.sport) if usual(model) else model.places


@cache
def _of_sport(sport: Sport) -> tuple[PlaceLimit, ...]:
    return tuple(PlaceLimit.model_validate({"place": place, "most": most}) for place, most in _USUAL[sport])


def assumed_note(model: FrameModel) -> str:
    """That places were taken as usual; empty where they are the model's own."""
    if not usual(model):
        return ""
    told = ", ".join(f"{place_said(limit.place)} {limit.most.text}" for limit in _of_sport(model.sport))
    return worded(
        "The catalogue names no places of the {model}: those usual in {sport} are assumed ({places}). Hold them against "
        "the maker's word before anything is stuck on.",
        model=model.name,
        sport=name_said(model.sport),
        places=told,
    )
