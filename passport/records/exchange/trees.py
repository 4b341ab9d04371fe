"""A setup as records have it: the catalogue's entries that it names, and the frame's own record. Pure: data in, data out.

Nothing is added to what the setup says. What it says of the catalogue (``source`` is ``model``) goes there, what was done to
the frame goes into its record.
"""

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from passport.records.exchange.setup import (
    FittedData,
    GeometryData,
    MethodData,
    SetupData,
    StringingData,
    StrungData,
    ZoneData,
)
from passport.records.masses import DENSITY

Tree = dict[str, Any]
NameOf = Callable[[Any], str]
"""What a string or a part is called in the catalogue."""
ELSEWHERE = "none here: it came on a frame from elsewhere"
"""The ``stock`` of a part that only such a frame has; a plan does not take from it."""
AMOUNTS = ("tape", "silicone", "putty")
"""Kinds of which a frame has so much, and no whole piece."""
_SAME_MASS = 0.005
"""A mass per length within this share of what material and gauge give was not weighed."""


def model_tree(setup: SetupData) -> Tree:
    """The frame model for the catalogue."""
    g = setup.geometry or GeometryData()
    head: Tree = {}
    if g.head_length_mm and g.head_width_mm:
        head = {"length": _mm(g.head_length_mm), "width": _mm(g.head_width_mm)}
    elif g.head_area_cm2:
        head = {"size": f"{_number(g.head_area_cm2)} cm2"}
    head |= {"form": g.form} if g.form else {}
    head |= {"widths": [f"{_mm(width)} at {_mm(h)}" for h, width in g.widths_mm]} if g.widths_mm else {}
    if g.into_throat_mm:
        head["into_throat"] = {"length": _mm(g.into_throat_mm[0]), "width": _mm(g.into_throat_mm[1])}
    handle = {"length": _mm(g.handle_length_mm), "width": _mm(g.handle_width_mm)} if _whole_handle(g) else None
    tree = {
        "maker": setup.frame.maker or "?",
        "name": setup.frame.model,
        "sport": setup.sport,
        "length": _mm(setup.length_mm),
        "head": head,
        "rim": _mm(g.rim_mm),
        "handle": handle,
        "throat": g.throat,
        "pattern": _pattern(setup, g),
    }
    return _known(tree)


def _whole_handle(g: GeometryData) -> bool:
    return bool(g.handle_length_mm and g.handle_width_mm)


def _pattern(setup: SetupData, g: GeometryData) -> Tree | None:
    if setup.pattern is None:
        return None
    bed = setup.strings
    of_maker = (bed.source or {}) if bed else {}
    said = {name: getattr(bed, name) for name in ("skips", "tie_offs") if of_maker.get(name) == "model"}
    return _known(
        {
            "mains": str(setup.pattern.mains),
            "crosses": str(setup.pattern.crosses),
            "main_spacing": _mm(g.main_spacing_mm),
            "throat_spacing": _mm(g.throat_spacing_mm),
            "cross_spacing": _mm(g.cross_spacing_mm),
            "first_cross": _mm(g.first_cross_from_tip_mm),
            **said,
        }
    )


def gauge_of(strung: StrungData) -> str:
    """A string's thickness as a record has it: as it is told, else as its name says; empty where neither does."""
    if strung.gauge_mm:
        return f"{_number(strung.gauge_mm)} mm"
    if strung.gauge_number:
        return f"{strung.gauge_number} ga"
    found = re.findall(r"(?<![0-9.])([01]\.[0-9]{2})(?![0-9.])", strung.string)
    return f"{found[0]} mm" if len(found) == 1 else ""


def string_tree(strung: StrungData) -> Tree:
    """A string for the catalogue; its mass per length where somebody weighed it."""
    gauge, mass = gauge_of(strung), strung.mass_per_length_g_m
    density = DENSITY.get(strung.material)
    if mass and density and gauge.endswith("mm") and (strung.source or {}).get("mass_per_length_g_m") != "model":
        estimate = density * math.pi * float(gauge.removesuffix(" mm")) ** 2 / 4
        mass = None if abs(mass / estimate - 1) < _SAME_MASS else mass
    if (strung.source or {}).get("mass_per_length_g_m") == "worked out":
        mass = None
    return _known(
        {
            "maker": strung.maker or "?",
            "name": strung.string,
            "material": strung.material,
            "gauge": gauge,
            "weighed": f"{_number(mass)} g/m" if mass else None,
        }
    )


def part_tree(part: FittedData) -> Tree:
    """A part for the catalogue; a piece has its mass there, of tape and paste each frame's record says how much it has."""
    piece = part.kind not in AMOUNTS
    name = part.part if part.part != part.kind else part.kind.capitalize()
    mass = f"{_number(part.mass_g)} g" if piece and part.mass_g is not None else None
    return _known({"kind": part.kind, "name": name, "mass": mass, "stock": ELSEWHERE})


def setup_tree(setup: SetupData, *, measured: bool) -> Tree:
    """What must be reproduced: each target, and with ``measured`` what was measured of what has none."""
    tree: Tree = {}
    for name, unit, text in (
        ("mass", "g", "g"),
        ("balance", "mm", "mm"),
        ("swingweight", "kgcm2", "kgcm2"),
        ("twistweight", "kgcm2", "kgcm2"),
    ):
        figure = getattr(setup.finished, name)
        if figure is None:
            continue
        target, tolerance = getattr(figure, f"target_{unit}"), getattr(figure, f"tolerance_{unit}")
        points = getattr(figure, "target_points_head_light", None)
        allowed = f" ± {_number(tolerance)} {text}" if tolerance else ""
        if points is not None:
            tree[name] = f"{_points(points)}{allowed}"
        elif target is not None:
            tree[name] = f"{_number(target)} {text}{allowed}"
        elif measured and (value := getattr(figure, f"best_estimate_{unit}")) is not None:
            tree[name] = f"{_number(value)} {text}"
    return tree


def unsure(setup: SetupData) -> dict[str, float]:
    """Standard uncertainty of what is wanted by its name: of what has no target and was measured."""
    found: dict[str, float] = {}
    for name, unit in (("mass", "g"), ("balance", "mm"), ("swingweight", "kgcm2"), ("twistweight", "kgcm2")):
        figure = getattr(setup.finished, name)
        if figure is None or getattr(figure, f"target_{unit}") is not None:
            continue
        if getattr(figure, "target_points_head_light", None) is None and getattr(figure, f"uncertainty_{unit}"):
            found[name] = getattr(figure, f"uncertainty_{unit}")
    return found


def measured_words(setup: SetupData) -> str:
    """What was measured there, for a note: ``mass 330.1 g on 2026-11-12, …``."""
    said = []
    for name, unit in (("mass", "g"), ("balance", "mm"), ("swingweight", "kgcm2"), ("twistweight", "kgcm2")):
        figure = getattr(setup.finished, name)
        value = getattr(figure, f"best_estimate_{unit}") if figure else None
        if value is not None:
            u, day = getattr(figure, f"uncertainty_{unit}"), f" on {figure.taken}" if figure.taken else ""
            said.append(f"{name} {_number(value)} {unit}{f' (u {_number(u)})' if u else ''}{day}")
    return ", ".join(said)


def frame_tree(setup: SetupData, string: NameOf, part: NameOf, day: str, *, whole: bool, measured: bool) -> Tree:
    """The blocks of a frame's record; ``string`` and ``part`` name what the catalogue has.

    ``day`` is that of its stringing where the setup tells none. Without ``whole`` what is said of holes, zones and method is
    left out: other records may not take it. With ``measured`` what was measured is wanted where there is no target.
    """
    build = None if setup.build is None else [_fitted(each, part) for each in setup.build]
    strings, stencil = setup.strings, None
    if strings and strings.stencil and strings.ink:
        stencil = {"shape": strings.stencil, "ink": strings.ink}
    job = {
        "date": (strings.date if strings else None) or setup.updated or day,
        "strings": _stringing(strings, string, whole=whole),
        "stencil": stencil,
    }
    return (
        _known({"setup": setup_tree(setup, measured=measured), "handle": _handle(setup)})
        | ({"build": build} if build is not None else {})
        | ({"jobs": [_known(job)]} if strings else {})
    )


def _stringing(bed: StringingData | None, string: NameOf, *, whole: bool) -> Tree | None:
    if bed is None:
        return None
    tree: Tree = {"mains": _strung(bed.mains, string), "crosses": _strung(bed.crosses, string)}
    done = {name: getattr(bed, name) for name in ("pieces", "knots", "mains_start", "crosses_start") if _own(bed, name)}
    tree |= {name: str(value) for name, value in done.items() if value}
    if whole:
        tree |= {name: getattr(bed, name) for name in ("skips", "tie_offs") if _own(bed, name)}
        tree |= {"path": bed.way} if bed.way in ("around the world", "box") else {}
        tree |= {"zones": "; ".join(map(_zone, bed.zones))} if bed.zones else {}
        tree |= {"method": _method(bed.method)} if bed.method else {}
    return _known(tree)


def _own(bed: StringingData, name: str) -> bool:
    """Whether a field says what was done, and not what the maker asks for or what follows from other fields."""
    return (bed.source or {}).get(name, "recorded") == "recorded"


def _strung(s: StrungData, string: NameOf) -> Tree:
    pull = f"{_number(s.pull_tension_kg)} kg" if s.tension_written_in == "kg" else f"{_number(s.pull_tension_lb)} lb"
    stretch = f"{_number(s.prestretch_percent)} %" if s.prestretch_percent is not None else None
    return _known({"string": string(s), "tension": pull, "prestretch": stretch})


def _zone(z: ZoneData) -> str:
    which = f"{z.numbers[0]}-{z.numbers[1]}" if z.numbers else f"{z.which} {z.count}"
    first, last = z.pull_tension_lb, z.last_pull_tension_lb
    pull = f"at {_number(first)} lb" if last is None else f"{_number(first)} lb to {_number(last)} lb"
    return f"{z.of} {which} {pull}"


def _method(m: MethodData) -> Tree:
    words = {
        name: getattr(m, name) for name in ("machine", "speed", "prestretch", "start", "knots", "crosses", "supports")
    }
    dwell = f"{_number(m.dwell_s)} s" if m.dwell_s else None
    more = f"{_number(m.tie_offs_higher_percent)} %" if m.tie_offs_higher_percent is not None else None
    return _known({**words, "dwell": dwell, "tie_offs": more})


def _fitted(p: FittedData, part: NameOf) -> Tree:
    # The mass of a piece stands in the catalogue, as sure as that is, unless this very one was weighed.
    weighed = (p.source or {}).get("mass_g", "recorded") == "recorded" or p.kind in AMOUNTS
    mass = f"{_number(p.mass_g)} g" if p.mass_g is not None and weighed else None
    return _known({"part": part(p), "place": p.place, "mass": mass, "length": _mm(p.length_mm), "note": p.note})


def _handle(setup: SetupData) -> Tree | None:
    h = setup.handle
    if h is None:
        return None
    return _known(
        {
            "circumference": _mm(h.circumference_mm),
            "over": h.measured_over,
            "shape": h.shape,
            "sleeves": str(h.sleeves) if h.sleeves is not None else None,
            "wound": h.overgrip_wound,
            "wound_from": h.overgrip_from,
            "overlap": _mm(h.overgrip_overlap_mm),
            "covered": _mm(h.covered_to_mm),
        }
    )


def _known(tree: Mapping[str, Any]) -> Tree:
    return {key: value for key, value in tree.items() if value not in (None, "", {}, [])}


def _mm(value: float | None) -> str | None:
    return f"{_number(value)} mm" if value is not None else None


def _points(points: float) -> str:
    return "even" if not points else f"{_number(abs(points))} pt {'HL' if points > 0 else 'HH'}"


def _number(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
