"""Bare figures for the demo's frames and blanks, from the model of `finestring`, which is not the program's.

    .venv/bin/python tests/support/demofigures.py            says what it would change
    .venv/bin/python tests/support/demofigures.py --write    writes the figures into content_demo

A frame's strung figures stand as they are recorded. What was read of it bare, just before, is worked out by taking off
the whole string, hole by hole with a groove, slants, tails and a reel of its own, and what was fitted, each with the mass
that it happened to have and a few millimetres from where it should lie; then an instrument's scatter and its last digit.
Blanks are bodies of their own (`BLANKS`), read the same way. Each draw follows from the record's name, so that the
figures are the same on every run.
"""

import math
import re
import sys
import zlib
from dataclasses import replace
from pathlib import Path

import finestring
import numpy as np
import strungmass
import yaml
from scipy.interpolate import PchipInterpolator

DEMO = Path(__file__).parents[2] / "content_demo"
ROOT12 = math.sqrt(12)
SHOWN = {"mass": (0.1, 0.05), "balance": (0.5, 0.2), "swingweight": (0.5, 0.25), "twistweight": (0.1, 0.05)}
"""Last digit and standard deviation of each reading, in g, mm and kg·cm²."""

BLANKS = {
    "fallowgate-a": (290.0, 316.1, 278.3, 12.2),
    "fallowgate-b": (291.0, 317.7, 280.6, 12.4),
    "fallowgate-c": (291.2, 316.1, 279.8, 12.1),
    "fallowgate-d": (292.1, 321.2, 288.4, 12.3),
    "sallow-a": (81.6, 295.2, 80.6, 1.4),
}
"""What each blank is: g, mm, kg·cm², kg·cm²."""


def number(text: str) -> float:
    """The number of a quantity as the demo writes it, in g, mm, g/m or kg·cm²."""
    value, _, unit = str(text).partition(" ")
    return float(value) * {"in": 25.4, "g/cm": 100.0}.get(unit, 1.0)


def table(name: str) -> dict:
    """One file of the demo's catalogue."""
    return yaml.safe_load((DEMO / "catalogue" / f"{name}.yaml").read_text(encoding="utf-8"))


MODELS, STRINGS, PARTS = table("frames"), table("strings"), table("parts")
DENSITY = {"nylon": 1.14, "polyester": 1.39, "aramid": 1.44, "gut": 1.3}


def fine_frame(model: dict, strings: dict) -> finestring.Frame:
    """A model of the catalogue with a stringing, as the finer model takes it."""
    head = tuple(number(model["head"][k]) for k in ("length", "width"))
    pattern = model["pattern"]
    counts = (pattern["mains"], pattern["crosses"])
    usual = (head[1] / (counts[0] + 3), head[0] / (counts[1] + 3))
    given = (pattern.get("main_spacing"), pattern.get("cross_spacing"))
    spacings = tuple(number(g) if g else u for g, u in zip(given, usual, strict=True))
    words = strings.get("path", "")
    named = [v["path"] for v in pattern.get("variants", ()) if v["name"] == words]
    said = {f"{of}_start": end for of, end in re.findall(r"(mains|crosses) from the (\w+)", (named or [words])[0])}
    start = tuple(
        said.get(k) or strings.get(k) or pattern.get(k, u)
        for k, u in (("mains_start", "throat"), ("crosses_start", "head"))
    )
    pieces = 2 if "two pieces" in words else int(strings.get("pieces", 1))
    knots = int(strings.get("knots", 2 * pieces))
    frame = finestring.Frame(
        number(model["length"]), head, number(model["rim"]), counts, spacings, start, pieces, knots
    )
    return replace(
        frame,
        half_width=edge_of(model["head"]),
        throat=number(pattern["throat_spacing"]) if "throat_spacing" in pattern else 0.0,
        first_cross=number(pattern["first_cross"]) if "first_cross" in pattern else 0.0,
    )


def edge_of(head: dict):
    """A head's half-width in mm by the share of its length, as its form usually is or through its measured widths; None for
    an ellipse. The ratio to the ellipse's width runs without bends of its own from one to the next."""
    form, (length, width) = head.get("form", "ellipse"), (number(head[k]) for k in ("length", "width"))
    if form == "ellipse" and "widths" not in head:
        return None
    known = {"teardrop": strungmass.TEARDROP, "egg": ((-1, 0.86), (1, 1.13)), "squarer": ((-1, 1.2), (0, 1), (1, 1.2))}
    if "widths" in head:
        said = [[number(part) for part in text.split(" at ")] for text in head["widths"]]
        points = sorted((2 * h / length - 1, w / width / math.sqrt(1 - (2 * h / length - 1) ** 2)) for w, h in said)
        ends = (known[form][0], known[form][-1])
        known = {form: (ends[0], *points, (0.3, 1 / math.sqrt(1 - 0.09)), ends[1])}
    knots = np.array(sorted(known[form]))
    over = PchipInterpolator(knots[:, 0], knots[:, 1])

    def half_width(share: float) -> float:
        return width / 2 * math.sqrt(max(0.0, 1 - share * share)) * float(over(max(-1.0, min(1.0, share))))

    return half_width


def per_metre(strung: dict) -> tuple[float, float]:
    """g/m and mm of one string."""
    known = STRINGS[strung["string"]]
    gauge = number(known["gauge"])
    estimate = DENSITY[known["material"]] * math.pi * gauge**2 / 4
    return number(known["weighed"]) if "weighed" in known else estimate, gauge


def spread(mass: float, xs: np.ndarray, ys: np.ndarray | float) -> np.ndarray:
    """Moments of a mass shared out evenly over places."""
    return mass * np.array([1.0, np.mean(xs), np.mean(xs**2), np.mean(np.square(ys))])


def laid(fitted: dict, model: dict, rng: np.random.Generator) -> np.ndarray:
    """Moments of a fitted part with the mass that it happens to have, where it happens to lie."""
    part = PARTS[fitted["part"]]
    listed = number(part["mass"]) if "mass" in part else 0.0
    mass = number(fitted["mass"]) + rng.normal(0, 0.05) if "mass" in fitted else listed * rng.normal(1, 0.03)
    slip, place = rng.uniform(-3, 3), fitted["place"]
    length, handle = number(model["length"]), number(model["handle"]["length"])
    radius = number(model["handle"]["width"]) / 2
    if place == "along the handle":
        return spread(mass, np.linspace(0, handle, 400) + slip, radius)
    if place == "inside the handle":
        bore = math.pi * (radius - 4) ** 2
        deep = mass * 1000 / 1.1 / bore
        return spread(mass, 10 + np.linspace(0, deep, 50) + slip, (radius - 4) / math.sqrt(2))
    if place == "butt cap":
        return spread(mass, np.linspace(0, 10, 20), (radius - 4) / math.sqrt(2))
    rim, head = number(model["rim"]), [number(model["head"][k]) for k in ("length", "width")]
    a, b = (head[0] + rim) / 2, (head[1] + rim) / 2
    hour = 0.0 if place == "under the bumper" else float(place.split()[0]) % 12
    t = math.atan2(a * math.sin(math.radians(30 * hour)), b * math.cos(math.radians(30 * hour)))
    half = number(fitted.get("length", "1 mm")) / 2 / math.hypot(a * math.sin(t), b * math.cos(t))
    angles = t + np.linspace(-half, half, 60)
    centre = length - rim - head[0] / 2
    return spread(mass, centre + a * np.cos(angles) + slip, b * np.sin(angles))


def read(quantity: str, value: float, rng: np.random.Generator) -> float:
    """A figure as the instrument shows it."""
    step, scatter = SHOWN[quantity]
    return round((value + rng.normal(0, scatter)) / step) * step


def of_figures(mass: float, balance: float, swing: float, twist: float | None, axis: float) -> np.ndarray:
    """Moments about the butt from figures."""
    first = mass * balance
    polar = np.nan if twist is None else twist * 1e5
    return np.array([mass, first, swing * 1e5 + 2 * axis * first - axis**2 * mass, polar])


def balance_mm(text: str, length: float) -> float:
    """A balance as written, in mm from the butt; a point is 1/8 in."""
    if "pt" not in text:
        return number(text)
    points = number(text)
    return length / 2 + (points if "HH" in text else -points) * 3.175


def balance_text(mm: float, like: str, length: float) -> str:
    """A balance written as the one that it stands for was."""
    if "pt" not in like:
        return f"{mm:.1f} mm"
    points = (mm - length / 2) / 3.175
    return f"{abs(points):.1f} pt {'HH' if points >= 0 else 'HL'}"


def written(line: str, figures: np.ndarray, length: float, rng: np.random.Generator) -> str:
    """A reading's line with other figures in it."""
    axis = 101.6 if "axis: 4 in" in line else 100.0
    m0, m1, m2, polar = figures
    like = re.search(r"balance: ([^,}]+)", line)[1]
    shown = read("balance", m1 / m0, rng)
    swing = (m2 - 2 * axis * m1 + axis**2 * m0) / 1e5
    line = re.sub(r"(?<=mass: )[\d.]+ g", f"{read('mass', m0, rng):.1f} g", line, count=1)
    line = re.sub(r"(?<=balance: )[^,}]+", balance_text(shown, like, length), line)
    line = re.sub(r"(?<=swingweight: )[\d.]+", f"{read('swingweight', swing, rng):.1f}", line)
    if math.isnan(polar):  # the strung reading says nothing of it, so that it stays as it was recorded
        return line
    return re.sub(r"(?<=twistweight: )[\d.]+", lambda _: f"{read('twistweight', polar / 1e5, rng):.1f}", line)


def bare_of(job: dict, model: dict, rng: np.random.Generator) -> np.ndarray:
    """The frame of a first job without its string and what was fitted, from its strung figures."""
    strung = next(r for r in job["readings"] if r.get("state") != "bare" and "swingweight" in r)
    length, axis = number(model["length"]), number(strung.get("axis", "100 mm"))
    twist = number(strung["twistweight"]) if "twistweight" in strung else None
    figures = number(strung["mass"]), balance_mm(strung["balance"], length), number(strung["swingweight"])
    mains, crosses = (per_metre(job["strings"].get(k, job["strings"]["mains"])) for k in ("mains", "crosses"))
    ways = finestring.Ways.drawn(rng)
    string = finestring.moments(fine_frame(model, job["strings"]), (mains[0], crosses[0]), mains[1], ways)
    body = of_figures(*figures, twist, axis) - string
    for fitted in job.get("fitted", []):
        body -= laid(fitted, model, rng)
    return body


def rewritten(path: Path) -> str:
    """A record with its bare reading worked out anew."""
    text = path.read_text(encoding="utf-8")
    record = yaml.safe_load(text)
    rng = np.random.default_rng(zlib.crc32(path.relative_to(DEMO).as_posix().encode()))
    model = MODELS[record["model"]]
    if path.parent.name == "blanks":
        mass, balance, swing, twist = BLANKS[path.stem]
        body = of_figures(mass, balance, swing, twist, 100.0)
    else:
        job = next(j for j in record["jobs"] if any(r.get("state") == "bare" for r in j.get("readings", [])))
        body = bare_of(job, model, rng)
    lines = text.splitlines(keepends=True)
    at = next(i for i, line in enumerate(lines) if "state: bare, mass" in line)
    lines[at] = written(lines[at], body, number(model["length"]), rng)
    return "".join(lines)


def main() -> None:
    """Say, or write, what changes."""
    for path in sorted([*DEMO.glob("players/*/*.yaml"), *DEMO.glob("blanks/*.yaml")]):
        old = path.read_text(encoding="utf-8")
        if "state: bare, mass" not in old:
            continue
        new = rewritten(path)
        for before, after in zip(old.splitlines(), new.splitlines(), strict=True):
            if before != after:
                print(f"{path.relative_to(DEMO)}\n  {before.strip()}\n  {after.strip()}")
        if "--write" in sys.argv:
            path.write_text(new, encoding="utf-8")


if __name__ == "__main__":
    main()
