"""The string's path as data: enough to string the frame again from hole to hole, and to check what is said of it."""

import math
from collections.abc import Sequence
from typing import Any, Final

from passport.physics.stringing.holes import Drilling, Hole
from passport.physics.stringing.route import LooseEnd, Pass
from passport.physics.uncertainty import Estimate
from passport.workshop.facts.facts import FrameFacts
from passport.workshop.strings.string_course import PieceCourse, StringCourse, route_of, string_course

_EDGE_STEPS: Final = 24
"""Steps of eccentric angle from tip to throat in which an edge is given."""


def string_path(frame: FrameFacts) -> dict[str, Any] | None:
    """The path of the string that is in a frame, None where it is not known from end to end.

    Holes are ``9T left``: the number from the centre, the end it is counted from, the side seen from the front. They are
    left out where nobody recorded which holes the mains skip, lengths where the frame's dimensions are not known.
    """
    found, bed = route_of(frame), frame.stringing
    if found is None or bed is None or bed.path is None:
        return None
    numbered, figures = bed.path.numbered, string_course(frame)
    pieces: Sequence[PieceCourse | None] = figures.pieces if figures else [None] * len(found.pieces)
    return {
        "source": bed.source("path"),
        "mains_start": found.strung.mains_start,
        "crosses_start": found.strung.crosses_start,
        "short_side": found.strung.short,
        "sides": "recorded" if found.strung.short else "not recorded, mirrored it is the same path",
        **({"holes": _holes(found.drilling)} if numbered else {}),
        **({"dimensions": _dimensions(frame)} if figures else {}),
        "pieces": [
            {
                "order": [_pass(each, numbered=numbered) for each in piece.passes],
                "middle_after": piece.before or None,
                "ends": [_end(end, numbered=numbered) for end in piece.ends],
                **(_piece(said) if said else {}),
            }
            for piece, said in zip(found.pieces, pieces, strict=True)
        ],
        **(_whole(figures) if figures else {}),
    }


def hole_name(hole: Hole) -> str:
    """``9T left``, ``0T`` for that of a main in the middle."""
    return f"0{hole.end[0].upper()}" if hole.number == 0 else f"{hole.number}{hole.end[0].upper()} {hole.hand}"


def _holes(drilling: Drilling) -> dict[str, list[str]]:
    named = {"skipped_by_mains": drilling.skipped, "blocked": drilling.blocked, "shared": drilling.shared}
    return {name: [hole_name(hole) for hole in sorted(holes)] for name, holes in named.items() if holes}


def _dimensions(frame: FrameFacts) -> dict[str, Any]:
    """What the lengths follow from, mm: the strung area, the hoop, the spacings of mains and crosses.

    Unless it is an ellipse, the edge of the strung area is given by points on the right from tip to throat: the distance
    from the butt and from the long axis.
    """
    shape = frame.shape
    turns = [math.pi * i / _EDGE_STEPS for i in range(_EDGE_STEPS + 1)] if shape.outline.profile else []
    edge = [[round(v, 2) for v in shape.outline_point(t)] for t in turns]
    ends = [shape.main_at(shape.spacing[0], shape.head_centre + k * shape.head_length / 2) for k in (-1, 1)]
    fan = {"main_spacing_throat_mm": round(ends[0], 3), "main_spacing_head_mm": round(ends[1], 3)}
    return {
        "head_length_mm": shape.head_length,
        "head_width_mm": shape.head_width,
        "rim_mm": shape.rim,
        "main_spacing_mm": round(shape.spacing[0], 3),
        "cross_spacing_mm": round(shape.spacing[1], 3),
        **(
            {"edge_mm": edge, "edge_is": "usual in the sport" if shape.is_assumed("outline") else "recorded"}
            if edge
            else {}
        ),
        **(fan if shape.fan else {}),
        **({"first_cross_from_tip_mm": shape.first_cross} if shape.first_cross else {}),
        **({"into_throat_mm": list(shape.into_throat)} if shape.into_throat[0] else {}),
    }


def _pass(each: Pass, *, numbered: bool) -> str:
    side = f" {each.strand.hand}" if each.strand.number else ""
    name = f"main {each.strand.number}{side}" if each.strand.hand else f"cross {each.strand.number}"
    return f"{name}: {hole_name(each.start)} - {hole_name(each.stop)}" if numbered else name


def _end(end: LooseEnd, *, numbered: bool) -> dict[str, str]:
    said: dict[str, str] = {"of": end.of}
    if numbered:
        said["comes_out_of"] = hole_name(end.hole)
    if end.tie:
        said["tied_off_in"] = hole_name(end.tie)
    return said


def _piece(said: PieceCourse) -> dict[str, Any]:
    short = {"short_side_mm": round(said.short), "short_side_to_cut_mm": round(said.short_cut)} if said.short else {}
    return {**_estimate("length", said.length), **short, **_estimate("to_cut", said.cut)}


def _whole(figures: StringCourse) -> dict[str, Any]:
    whole: dict[str, Any] = {**_estimate("length", figures.length)}
    if figures.mass and figures.moments:
        whole |= {
            "mass_g": round(figures.mass.value, 2),
            "mass_uncertainty_g": round(figures.mass.u, 2),
            "centre_of_mass_mm": round(figures.moments.balance, 1),
            "swingweight_kgcm2": round(figures.moments.swingweight(), 2),
        }
    return whole


def _estimate(name: str, value: Estimate) -> dict[str, int]:
    return {f"{name}_mm": round(value.value), f"{name}_uncertainty_mm": round(value.u)}
