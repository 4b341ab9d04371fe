"""The setup as data, for the player to keep: everything that is needed to build the same racquet again."""

import json
from collections.abc import Mapping
from typing import Any

from passport.physics import units
from passport.workshop.facts.facts import FrameFacts, PartFacts, SpecFacts, StringingFacts, StrungFacts

FORMAT = 1
"""Raised when a key of the file changes its meaning."""


def setup_json(frame: FrameFacts) -> bytes:
    """The setup of one frame as JSON: quantities carry their unit in the key's name."""
    document = {
        "format": FORMAT,
        "number": frame.number,
        "label": frame.label,
        "sport": frame.sport,
        "frame": _without_empty(
            {"maker": frame.maker, "model": frame.model, "serial": frame.serial, "grip": frame.grip}
        ),
        "length_mm": _short(frame.shape.length),
        "pattern": {"mains": frame.shape.mains, "crosses": frame.shape.crosses},
        "strings": _stringing(frame.stringing) if frame.stringing else None,
        "finished": {s.quantity: _spec(s) for s in frame.specs if s.value is not None or s.target is not None},
        "build": [_part(p) for p in frame.parts],
        "updated": frame.updated.isoformat() if frame.updated else None,
    }
    return (json.dumps(document, ensure_ascii=False, indent=2) + "\n").encode()


def _stringing(s: StringingFacts) -> dict[str, Any]:
    return _without_empty(
        {
            "date": s.date.isoformat(),
            "mains": _strung(s.mains),
            "crosses": _strung(s.crosses),
            "pieces": s.pieces,
            "knots": s.knots,
            "mains_start": s.mains_start,
            "crosses_start": s.crosses_start,
            "skips": s.skips,
            "tie_offs": s.tie_offs,
            "stencil": s.stencil,
            "ink": s.ink,
        }
    )


def _strung(s: StrungFacts) -> dict[str, Any]:
    return {
        "string": s.name,
        "maker": s.maker,
        "material": s.material,
        "gauge_mm": _short(s.gauge, 3),
        "pull_tension_lb": _short(units.lb_from_newtons(s.tension)),
        "pull_tension_kg": _short(units.kg_from_newtons(s.tension)),
        "prestretch_percent": _short(s.prestretch),
    }


def _spec(s: SpecFacts) -> dict[str, Any]:
    unit = {"mass": "g", "balance": "mm"}.get(s.quantity, "kgcm2")
    return {
        f"measured_{unit}": _short(s.value),
        "taken": s.taken.isoformat() if s.taken else None,
        f"target_{unit}": _short(s.target),
        f"tolerance_{unit}": _short(s.tolerance),
    }


def _part(p: PartFacts) -> dict[str, Any]:
    return _without_empty(
        {
            "part": p.name,
            "kind": p.kind,
            "place": p.place,
            "from_mm": _short(p.from_mm),
            "to_mm": _short(p.to_mm),
            "clock": _short(p.hour or 12.0) if p.hour is not None else None,
            "pieces": p.count,
            "length_mm": _short(p.length) or None,
            "mass_g": _short(p.mass, 2),
        }
    )


def _short(value: float | None, places: int = 2) -> float | int | None:
    if value is None:
        return None
    rounded = round(value, places)
    return int(rounded) if rounded == int(rounded) else rounded


def _without_empty(values: Mapping[str, Any]) -> dict[str, Any]:
    return {k: v for k, v in values.items() if v not in (None, "")}
