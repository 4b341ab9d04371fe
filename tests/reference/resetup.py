"""Reads a setup's file with nothing but its schema and physics, and adds up what is on the frame.

``python tests/reference/resetup.py setup-1042-9.json …`` prints mass, balance and swingweight of what lies on the bare frame,
and of the bare frame that is left when it is taken off. It imports nothing of the program that wrote the file.
"""

import json
import sys
from pathlib import Path

import numpy as np
from jsonschema import Draft202012Validator

AXIS = 100.0
"""The swing axis, mm from the butt, as the schema says."""
SCHEMA = Path(__file__).resolve().parents[2] / "templates/assets/setup-3.schema.json"


def moments(mass, balance, swingweight):
    """Mass, first and second moment about the butt: g, g·mm, g·mm² (parallel axis)."""
    return np.array([mass, mass * balance, swingweight * 1e5 + 2 * AXIS * mass * balance - AXIS**2 * mass])


def figures(body):
    """Mass g, balance mm and swingweight kg·cm² of moments."""
    m, first, second = body
    return m, first / m if m else 0.0, (second - 2 * AXIS * first + AXIS**2 * m) / 1e5


def on_hoop(setup, clock, length):
    """Distances from the butt of the points of a strip centred at an hour, along the middle of an elliptic hoop."""
    g = setup["geometry"]
    a, b = ((g[f"head_{side}_mm"] + g["rim_mm"]) / 2 for side in ("length", "width"))
    t = np.linspace(0, 2 * np.pi, 100_001)
    x, y = a * np.cos(t), b * np.sin(t)
    way = np.concatenate([[0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    at = np.interp(np.radians(30 * (clock % 12)), np.unwrap(np.arctan2(y, x)), way)
    s = np.linspace(at - length / 2, at + length / 2, 2001) % way[-1]
    return setup["length_mm"] - g["rim_mm"] - g["head_length_mm"] / 2 + np.interp(s, way, x)


def of_part(setup, part):
    """The moments of a part: along the hoop, or evenly from where it begins to where it ends."""
    if part.get("clock") is not None:
        x = on_hoop(setup, part["clock"], part.get("length_mm", 0.0))
    else:
        low, high = (part.get(f"{end}_mm", part.get(f"usual_{end}_mm")) for end in ("from", "to"))
        x = np.linspace(low, high, 2001)
    return part["mass_g"] * np.array([1.0, x.mean(), (x**2).mean()])


def of_strings(setup):
    """The moments of the strings, from their course."""
    path = setup["string_path"]
    return moments(path["mass_g"], path["centre_of_mass_mm"], path["swingweight_kgcm2"])


def read(path):
    """A setup that is right by its schema. Raises a ValidationError of jsonschema."""
    setup = json.loads(Path(path).read_text(encoding="utf-8"))
    Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8"))).validate(setup)
    return setup


def bare(setup):
    """The moments of the parts, of the strings, and of the frame without either."""
    finished = setup["finished"]
    whole = moments(
        *(finished[q][f"best_estimate_{u}"] for q, u in (("mass", "g"), ("balance", "mm"), ("swingweight", "kgcm2")))
    )
    parts = sum((of_part(setup, part) for part in setup["build"]), np.zeros(3))
    return parts, of_strings(setup), whole - parts - of_strings(setup)


if __name__ == "__main__":
    for name in sys.argv[1:]:
        for what, body in zip(("parts", "strings", "bare frame"), bare(read(name)), strict=True):
            print(f"{name}: {what}", *(f"{value:.3f}" for value in figures(body)))
