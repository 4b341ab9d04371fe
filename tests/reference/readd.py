"""Adds plans up again from their JSON, with nothing but physics and what the JSON says.

``passport rebuild CONTENT FRAME --with BLANK --json | python tests/reference/readd.py`` prints what does not add up, and ends
with 1 where anything does not. It imports nothing of the program that is checked.
"""

import json
import sys
from itertools import combinations

import numpy as np
from scipy.stats import multivariate_normal

AXIS = 100.0
"""The swing axis, mm from the butt (Taraborrelli et al. 2019, Sports Engineering 22, section 1)."""
KEYS = ("mass_g", "balance_mm", "swingweight_kgcm2", "twistweight_kgcm2")
PRINTED = {"mass_g": 2e-4, "balance_mm": 2e-4, "swingweight_kgcm2": 2e-4, "twistweight_kgcm2": 2e-4}
"""How far off by the rounding of what is printed: four decimals, of a few sums."""


def moments(figures):
    """Mass, first and second moment about the butt and polar moment, g, g·mm, g·mm²."""
    m, b, s, t = (figures[key] for key in KEYS)
    return np.array([m, m * b, s * 1e5 + 2 * AXIS * m * b - AXIS**2 * m, np.nan if t is None else t * 1e5])


def of_piece(piece):
    """The same of a piece, as the JSON says it."""
    m = piece["moments"]
    polar = m["polar_gmm2"]
    return np.array([piece["mass_g"], m["first_gmm"], m["second_gmm2"], np.nan if polar is None else polar])


def read(body):
    """Mass, balance, swing- and twistweight of moments."""
    m, first, second, polar = body
    return dict(zip(KEYS, (m, first / m, (second - 2 * AXIS * first + AXIS**2 * m) / 1e5, polar / 1e5), strict=True))


class Hoop:
    """The ellipse along the middle of the hoop, cut into many short pieces."""

    def __init__(self, shape):
        """Points around it, clockwise from the tip, and the way to each along it."""
        a, b = ((shape[f"head_{side}_mm"] + shape["rim_mm"]) / 2 for side in ("length", "width"))
        t = np.linspace(0, 2 * np.pi, 200_001)
        centre = shape["length_mm"] - shape["rim_mm"] - shape["head_length_mm"] / 2
        self.x, self.y = centre + a * np.cos(t), b * np.sin(t)
        self.way = np.concatenate([[0], np.cumsum(np.hypot(np.diff(self.x), np.diff(self.y)))])
        self.angle = np.unwrap(np.arctan2(self.y, self.x - centre))

    def strip(self, hour, length):
        """From and to along the hoop, mm from the tip clockwise, of a strip centred where a clock's hand points."""
        at = np.interp(np.radians(30 * (hour % 12)), self.angle, self.way)
        return at - length / 2, at + length / 2

    def mean(self, hour, length):
        """Means of x, x² and y² over a strip."""
        low, high = self.strip(hour, length)
        s = np.linspace(low, high, 4001) % self.way[-1]
        x, y = np.interp(s, self.way, self.x), np.interp(s, self.way, self.y)
        return [np.trapezoid(v, dx=1 / 4000) for v in (x, x**2, y**2)]


def laid(piece, hoop):
    """What is wrong with the moments of a strip on the hoop, by its place and length alone."""
    if piece["clock"] is None or not piece["length_mm"]:
        low, high = piece["from_mm"], piece["to_mm"]
        m, first, second = piece["mass_g"], piece["moments"]["first_gmm"], piece["moments"]["second_gmm2"]
        if abs(first / m - (low + high) / 2) > 0.02:
            yield f"{piece['place']}: its middle is {first / m:.2f}, not between {low} and {high}"
        if second / m - (first / m) ** 2 < (high - low) ** 2 / 12 - 1:
            yield f"{piece['place']}: less spread than from {low} to {high}"
        return
    x, xx, yy = hoop.mean(piece["clock"], piece["length_mm"])
    for name, value in (("first_gmm", x), ("second_gmm2", xx), ("polar_gmm2", yy)):
        mine, given = value * piece["mass_g"], piece["moments"][name]
        if abs(mine - given) > 2e-5 * abs(mine) + 0.1:
            yield f"{piece['place']}: {name} is {given}, by its place {mine:.1f}"


def on_each_other(pieces, hoop):
    """Strips on the hoop that lie on each other, mirror images included."""
    strips = []
    for piece in pieces:
        if piece["kind"] == "tape" and piece["clock"] is not None:
            hours = {piece["clock"] % 12, -piece["clock"] % 12} if piece["count"] == 2 else {piece["clock"] % 12}
            strips += [(piece["place"], *hoop.strip(hour, piece["length_mm"])) for hour in sorted(hours)]
    around = hoop.way[-1]
    for (one, a, b), (other, c, d) in combinations(strips, 2):
        for turn in (-around, 0, around):
            if min(b, d + turn) - max(a, c + turn) > 1e-3:
                yield f"tape at {one} lies on tape at {other}"


def sure(plan, target):
    """What is wrong with the joint probability, by scipy's integral over the plan's own covariance."""
    keys, matrix = plan["covariance"]["of"], np.array(plan["covariance"]["matrix"])
    if not keys:
        return
    off = np.array([plan["predicted"][key] - target[key] for key in keys])
    half = np.array([target[f"tolerance_{key}"] for key in keys])
    scaled = matrix / np.outer(half, half) + np.eye(len(keys)) * 1e-12
    judge = multivariate_normal(off / half, scaled, abseps=1e-5, releps=1e-5, seed=1)
    chance = judge.cdf(np.ones(len(keys)), lower_limit=-np.ones(len(keys)))
    if abs(chance - plan["joint_probability"]) > 2e-3:
        yield f"the joint probability is {plan['joint_probability']}, by scipy {chance:.4f}"
    for key, variance in zip(keys, np.diag(matrix), strict=True):
        own = np.hypot(plan["predicted"][f"u_{key}"], target[f"u_{key}"])
        if variance > own**2 * (1 + 1e-3) + 1e-6:
            yield f"{key}: a variance of {variance}, more than both uncertainties allow"


def of_plan(plan, start, target, hoop):
    """Everything that does not add up in one plan."""
    body = start + sum((of_piece(piece) for piece in plan["additions"]), np.zeros(4))
    for removal in plan["removals"]:
        body = body - of_piece(removal)
        if removal["instead"]:
            body = body + of_piece(removal["instead"])
    for key, value in read(body).items():
        given = plan["predicted"][key]
        if given is not None and not abs(value - given) <= PRINTED[key]:
            yield f"{key} is {given}, re-added {value:.5f}"
    last = plan["steps"][-1]["after"] if plan["steps"] else plan["predicted"]
    for key in KEYS:
        if last[key] is not None and abs(last[key] - plan["predicted"][key]) > PRINTED[key]:
            yield f"after the last step {key} is {last[key]}, the plan says {plan['predicted'][key]}"
    if plan["inside"]:
        for key in KEYS:
            given = plan["predicted"][key]
            known = target[key] is not None and given is not None
            if known and abs(given - target[key]) > target[f"tolerance_{key}"] + PRINTED[key]:
                yield f"{key} is not inside"
    added = sum(piece["mass_g"] for piece in plan["additions"])
    if abs(added - plan["added_g"]) > 1e-3:
        yield f"{plan['added_g']} g are said to be added, the pieces weigh {added:.4f} g"
    for piece in plan["additions"]:
        yield from laid(piece, hoop)
    yield from on_each_other(plan["additions"], hoop)
    yield from sure(plan, target)


def of_rebuild(data):
    """Everything that does not add up in a rebuild, plan by plan; and how many plans there were."""
    hoop, start = Hoop(data["shape"]), moments(data["start"])
    found = [
        f"{data['frame']} on {data['blank']}, plan {i}: {text}"
        for i, plan in enumerate(data["plans"], 1)
        for text in of_plan(plan, start, data["target"], hoop)
    ]
    places = [plan["places"] + len(plan["removals"]) for plan in data["plans"]]
    if data["status"] == "matched" and places != sorted(places):
        found.append(f"{data['frame']}: plans are not in the order of their places")
    return found, len(data["plans"])


def of_any(data):
    """The same of a match or of several rebuilds, with the sums over all frames of a match."""
    members = data.get("frames") or data.get("rebuilds") or [data]
    results = [of_rebuild(member) for member in members]
    found = [text for texts, _ in results for text in texts]
    if "spread" in data and data["status"] == "matched":
        added = sum(member["plans"][0]["added_g"] for member in members)
        if abs(added - data["added_g"]) > 1e-3:
            found.append(f"{data['added_g']} g in all, the plans add {added:.4f} g")
        if data["to"] is None:
            for key, spread in data["spread"].items():
                values = [member["plans"][0]["predicted"][key] for member in members]
                if max(values) - min(values) > spread["tolerance"] * (1 + 1e-6) + 1e-4:
                    found.append(f"{key} is further apart than {spread['tolerance']}")
    return found, sum(count for _, count in results)


def main():
    """Read JSON from standard input, print what does not add up."""
    found, count = of_any(json.load(sys.stdin))
    print("\n".join(found) or f"{count} plans add up.")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
