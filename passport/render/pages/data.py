"""The setup as data, for the player to keep: everything that is needed to build the same racquet again."""

import json
from collections.abc import Mapping
from typing import Any

from passport.physics import units
from passport.records.exchange.setup import FORMAT, SCHEMA_FILE, SetupData
from passport.records.exchange.tagtext import tag_text
from passport.records.schema.typical import FORMS
from passport.render.pages.path_data import string_path
from passport.workshop.facts.facts import (
    FingerprintFacts,
    FrameFacts,
    HandleFacts,
    HeadCheck,
    MethodFacts,
    PartFacts,
    SpecFacts,
    StringingFacts,
    StrungFacts,
    ZoneFacts,
)
from passport.workshop.facts.sources import Sourced
from passport.workshop.facts.standing import standing
from passport.workshop.measuring.assumed import USUAL

_WIDTHS = (0.1, 0.3, 0.5, 0.7, 0.9)
"""The heights, as shares of the head's length, at which measured outlines are told: as many as a record may have."""


def setup_json(frame: FrameFacts, workshop: str = "") -> bytes:
    """The setup of one frame, kept by a ``workshop``, as JSON in the published format: see
    `passport.records.exchange.setup`."""
    return (json.dumps(setup_document(frame, workshop), ensure_ascii=False, indent=2) + "\n").encode()


def setup_line(frame: FrameFacts, workshop: str = "") -> str:
    """The same in the words of a tag, in full, for the page to carry: a page has to stay light."""
    return tag_text(setup_data(frame, workshop))


def setup_data(frame: FrameFacts, workshop: str = "") -> SetupData:
    """The same as a program has it that read the file."""
    return SetupData.model_validate(setup_document(frame, workshop))


def setup_document(frame: FrameFacts, workshop: str = "") -> dict[str, Any]:
    """The setup of one frame as plain data: quantities carry their unit in the key's name."""
    return {
        "$schema": f"../{SCHEMA_FILE}",
        "format": FORMAT,
        **({"workshop": workshop} if workshop else {}),
        "number": frame.number,
        "label": frame.label,
        "status": frame.status if frame.is_fact("status") else None,
        "state": standing(frame).state,
        "sport": frame.sport,
        "frame": _without_empty(
            {"maker": frame.maker, "model": frame.model, "serial": frame.serial, "grip": frame.grip}
        ),
        "length_mm": None if frame.shape.is_assumed("length") else _short(frame.shape.length),
        "pattern": _pattern(frame),
        "geometry": _geometry(frame),
        "strings": _stringing(frame.stringing) if frame.stringing else None,
        "string_path": string_path(frame),
        "finished": {s.quantity: _spec(s) for s in frame.specs if s.value is not None or s.target is not None},
        "build": [_part(p) for p in frame.parts] if frame.parts or frame.nothing_fitted else None,
        **({"handle": _handle(frame.handle)} if frame.handle else {}),
        **({} if frame.sideways is None else {"middle_of_mass_towards_3_mm": _short(frame.sideways, 1)}),
        "updated": frame.updated.isoformat() if frame.updated else None,
    }


def _pattern(frame: FrameFacts) -> dict[str, Any] | None:
    """The string pattern by the catalogue, where it says it."""
    if frame.shape.is_assumed("mains", "crosses"):
        return None
    return {
        "mains": frame.shape.mains,
        "crosses": frame.shape.crosses,
        "source": {"mains": "model", "crosses": "model"},
    }


def _geometry(frame: FrameFacts) -> dict[str, Any]:
    """The dimensions of the frame's model as far as the catalogue has them."""
    shape, missing = frame.shape, frame.shape.is_assumed
    sized = missing("aspect")
    form = next((name for name, outline in FORMS.items() if outline == shape.outline), None)
    if missing("outline") or (frame.sport == "tennis" and form == "ellipse"):  # what is usual there needs no word
        form = None
    elif shape.joined:
        form = "teardrop"
    measured = form is None and bool(shape.outline.profile) and not missing("outline")
    spread = [k * shape.head_length / 2 + shape.head_centre for k in (-1, 1)] if shape.fan else []
    throat, head = (shape.main_at(shape.main_spacing, x) for x in spread) if spread else (0.0, shape.main_spacing)
    known = {
        "head_length_mm": None if sized else shape.head_length,
        "head_width_mm": None if sized else shape.head_width,
        "head_area_cm2": shape.head_area / 100 if sized else None,
        "rim_mm": None if missing("rim") else shape.rim,
        "handle_length_mm": None if missing("handle") else shape.handle,
        "handle_width_mm": None if missing("handle_width") else shape.handle_width,
        "main_spacing_mm": head or None,
        "throat_spacing_mm": throat or None,
        "cross_spacing_mm": shape.cross_spacing or None,
        "first_cross_from_tip_mm": shape.first_cross or None,
    }
    heights = [share * shape.head_length for share in _WIDTHS] if measured else []
    outline = [(h, shape.outline.half_width(2 * h / shape.head_length - 1) * shape.head_width) for h in heights]
    return _without_empty(
        {
            **{name: _short(value) for name, value in known.items()},
            "form": form,
            "widths_mm": [[_short(h), _short(width)] for h, width in outline] or None,
            "throat": None if missing("throat") else shape.throat,
            "into_throat_mm": [_short(v) for v in shape.into_throat] if shape.into_throat[0] else None,
            "source": "model",
        }
    )


def _sources(fact: Sourced, names: Mapping[str, str]) -> dict[str, str] | None:
    """Where those fields of a fact are from that are not recorded, by their keys in the file; None where all are."""
    found = {key: fact.source(name) for name, key in names.items()}
    return {key: source for key, source in found.items() if source not in ("recorded", "absent")} or None


def _stringing(s: StringingFacts) -> dict[str, Any]:
    names = ("pieces", "knots", "mains_start", "crosses_start", "skips", "tie_offs")
    return _without_empty(
        {
            "date": s.date.isoformat(),
            "mains": _strung(s.mains),
            "crosses": _strung(s.crosses),
            "zones": [_zone(zone) for zone in s.zones] or None,
            **_string_pulls(s),
            "pieces": s.pieces,
            "knots": s.knots,
            "mains_start": s.mains_start,
            "crosses_start": s.crosses_start,
            "skips": s.skips,
            "tie_offs": s.tie_offs,
            "way": s.way,
            "method": _method(s.method),
            "fingerprint": _fingerprint(s.fingerprint) if s.fingerprint else None,
            "stencil": s.stencil,
            "ink": s.ink,
            "source": _sources(s, {name: name for name in names}),
        }
    )


def _zone(z: ZoneFacts) -> dict[str, Any]:
    """Strings that were pulled otherwise than the rest of their side: which, and the pulls of the first and the last."""
    first, last = z.pulls
    which = {"numbers": [z.start, z.stop]} if z.reach == "numbered" else {"count": z.stop}
    rising = first != last
    return {
        "of": z.of,
        "which": z.reach,
        **which,
        "pull_tension_lb": _short(units.lb_from_newtons(first)),
        "pull_tension_kg": _short(units.kg_from_newtons(first)),
        **({"last_pull_tension_lb": _short(units.lb_from_newtons(last))} if rising else {}),
        **({"last_pull_tension_kg": _short(units.kg_from_newtons(last))} if rising else {}),
    }


def _fingerprint(p: FingerprintFacts) -> dict[str, Any]:
    """The reading right after stringing: what another reading of the same bed has to come near."""
    return _without_empty(
        {
            "reading": _short(p.amount),
            "unit": p.unit,
            "age_min": _short(p.age),
            "taken": p.taken.isoformat(),
            "reader": p.reader,
            "setting": p.setting,
            "temperature_c": _short(p.temperature),
            "same_within": _short(p.within),
            "source": _sources(p, {"reader": "reader"}) if p.reader else None,
        }
    )


def _string_pulls(s: StringingFacts) -> dict[str, Any]:
    """Where there are zones, the pull of each main from the centre, the same on both sides, and of each cross from the
    head."""
    if s.string_pulls is None:
        return {}
    mains, crosses = ([_short(units.lb_from_newtons(n)) for _, n in sorted(side)] for side in s.string_pulls)
    return {"pulls_lb": {"mains_from_centre": mains, "crosses_from_head": crosses}}


def _head_check(c: HeadCheck) -> dict[str, Any]:
    """The tension head's check in force: what was set, and what it pulled."""
    return {
        "date": c.day.isoformat(),
        "set_lb": _short(units.lb_from_newtons(c.set)),
        "pulled_lb": _short(units.lb_from_newtons(c.pulled)),
    }


def _method(m: MethodFacts) -> dict[str, Any] | None:
    said = {
        "machine": m.machine,
        "speed": m.speed,
        "dwell_s": _short(m.dwell),
        "tie_offs_higher_percent": _short(m.tie_offs),
        "prestretch": m.prestretch,
        "start": m.start,
        "knots": m.knots,
        "crosses": m.crosses,
        "supports": m.supports,
        "tension_head_check": _head_check(m.head) if m.head else None,
    }
    return _without_empty(said) or None


def _strung(s: StrungFacts) -> dict[str, Any]:
    return {
        "string": s.name,
        "maker": s.maker,
        "material": s.material,
        "gauge_mm": None if s.gauge_number else _short(s.gauge, 3),
        **({"gauge_number": s.gauge_number} if s.gauge_number else {}),
        "pull_tension_lb": _short(units.lb_from_newtons(s.tension)),
        "pull_tension_kg": _short(units.kg_from_newtons(s.tension)),
        "tension_written_in": _unit_of(s.written),
        "prestretch_percent": _short(s.prestretch),
        "mass_per_length_g_m": _short(s.per_metre, 4),
        "mass_per_length_uncertainty_g_m": _short(s.per_metre and s.per_metre * _unsure(s), 4),
        "source": _sources(s, {"gauge": "gauge_mm", "material": "material", "per_metre": "mass_per_length_g_m"}),
    }


def _unit_of(written: str) -> str:
    """The unit of a tension as it was written, or the unit alone."""
    unit = written.strip().lower()
    return "kg" if "kg" in unit else "N" if unit.endswith("n") else "lb"


def _unsure(s: StrungFacts) -> float:
    """Relative standard uncertainty of a string's mass per length."""
    return USUAL.string if s.source("per_metre") == "model" else USUAL.string_estimated


def _spec(s: SpecFacts) -> dict[str, Any]:
    unit = {"mass": "g", "balance": "mm"}.get(s.quantity, "kgcm2")
    shown = s.read if s.read is not None else s.value
    written = {"measured_points_head_light": s.read_points, "target_points_head_light": s.target_points}
    return {
        f"measured_{unit}": _short(shown) if s.read_points is None else None,
        f"best_estimate_{unit}": _short(s.value),
        f"uncertainty_{unit}": _short(s.uncertainty, 3),
        "taken": s.taken.isoformat() if s.taken else None,
        f"target_{unit}": _short(s.target) if s.target_points is None else None,
        f"tolerance_{unit}": _short(s.tolerance),
        **{name: _short(points) for name, points in written.items() if points is not None},
        "source": _spec_sources(s, unit),
    }


def _spec_sources(s: SpecFacts, unit: str) -> dict[str, str]:
    """Where the figures of a quantity come from: those that are there."""
    found = {f"measured_{unit}": s.read if s.read_points is None else None, f"best_estimate_{unit}": s.value}
    found |= {f"target_{unit}": s.target if s.target_points is None else None}
    said = {f"best_estimate_{unit}": "worked out"} if s.best else {}
    return {name: said.get(name, "recorded") for name, value in found.items() if value is not None}


def _part(p: PartFacts) -> dict[str, Any]:
    return _without_empty(
        {
            "part": p.name,
            "kind": p.kind,
            "place": p.place.text,
            "from_mm": _short(p.from_mm) if p.is_fact("from_mm") else None,
            "to_mm": _short(p.to_mm) if p.is_fact("to_mm") else None,
            "usual_from_mm": None if p.is_fact("from_mm") else _short(p.from_mm),
            "usual_to_mm": None if p.is_fact("to_mm") else _short(p.to_mm),
            "clock": _short(p.place.at or 12.0) if p.hour is not None else None,
            "side": p.place.side,
            "pieces": p.count,
            "length_mm": _short(p.length) if p.is_fact("length") else None,
            "mass_g": _short(p.mass, 2),
            "mass_uncertainty_g": _short(_part_u(p), 3),
            "note": p.note,
            "source": _sources(p, {"mass": "mass_g", "from_mm": "from_mm", "to_mm": "to_mm"}),
        }
    )


def _part_u(p: PartFacts) -> float | None:
    """Standard uncertainty of a part's mass, g: of one that was weighed, or of one from the catalogue or its length."""
    if p.mass is None:
        return None
    return USUAL.weighed if p.source("mass") == "recorded" else USUAL.listed * p.mass


def _handle(h: HandleFacts) -> dict[str, Any]:
    """How the handle is built up, as far as it was written down."""
    return _without_empty(
        {
            "circumference_mm": _short(h.circumference),
            "measured_over": h.over,
            "shape": h.shape,
            "sleeves": h.sleeves,
            "overgrip_wound": h.wound,
            "overgrip_from": h.wound_from,
            "overgrip_overlap_mm": _short(h.overlap),
            "covered_to_mm": _short(h.covered),
        }
    )


def _short(value: float | None, places: int = 2) -> float | int | None:
    if value is None:
        return None
    rounded = round(value, places)
    return int(rounded) if rounded == int(rounded) else rounded


def _without_empty(values: Mapping[str, Any]) -> dict[str, Any]:
    return {k: v for k, v in values.items() if v not in (None, "")}
