"""Strings a racquet on paper from its setup data alone: path, length, mass, ends.

    .venv/bin/python tests/reference/paperstring.py setup-1042-9.json …

It knows nothing but the file and shares no code with the program. Holes are counted anew: mains take them from the centre
outwards and leave out those that are named, crosses take those and then all that follow. The string is laid as a chain
of short steps: a wave over and under the strings that it crosses, a slanted pass through the hoop, an arc in a groove.
How deep a groove lies, how holes slant and what a knot takes is common practice, no source.
"""

import json
import math
import re
import sys
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.interpolate import CubicSpline

GROOVE, SLANT, TAIL_MM, TURNS = 0.22, 0.5, 7.0, 2.0
NEAR = 10
"""Holes further round that a string may go outside the hoop (common practice, no source)."""


@dataclass
class Paper:
    """What came of it: mm of string, g, where it ends, and everything that does not fit."""

    length: float
    mass: float
    balance: float
    swing: float
    ends: list[str]
    wrong: list[str]


def side_of_holes(data: dict, hand: str) -> dict[tuple[str, int], int]:
    """The place of each hole of one side, counted from the middle of the throat, by its end letter and number."""
    pattern, holes = data["pattern"], data["string_path"]["holes"]
    half = pattern["mains"] // 2

    def named(kind: str, end: str) -> set[int]:
        found = (re.fullmatch(r"(\d+)([TH]) (left|right)", hole) for hole in holes.get(kind, ()))
        return {int(f[1]) for f in found if f and (f[2], f[3]) == (end, hand)}

    reach, woven = {}, 0
    for end in "TH":
        number = done = 0
        while done < half:
            number += 1
            out, shut = number in named("skipped_by_mains", end), number in named("blocked", end)
            done += not (out or shut)
            woven += (out and not shut) or (number in named("shared", end))
        reach[end] = number
    further = sum(1 for end in "TH" for n in named("blocked", end) if n > reach[end])
    total = reach["T"] + reach["H"] + pattern["crosses"] - woven + further
    return {("T", i): i - 1 for i in range(1, total + 1)} | {("H", i): total - i for i in range(1, total + 1)}


def string_on_paper(data: dict) -> Paper:
    """Follow the order of the file, string by string."""
    bench = _Bench(data)
    for piece in data["string_path"]["pieces"]:
        before, leaving = None, None
        for text in piece["order"]:
            before, leaving = bench.pull(text, before, leaving)
    bench.wrong += whole(data)
    ends = []
    for piece in data["string_path"]["pieces"]:
        for end, text in zip(piece["ends"], (piece["order"][0], piece["order"][-1]), strict=True):
            ends.append(end["comes_out_of"])
            bench.tie(end, text)
    return bench.paper(ends)


Hole = tuple[str, int, str]
Spot = tuple[float, float]


def _edge(centre: float, size: dict) -> tuple[np.ndarray, np.ndarray]:
    """x and y of many points round the strung area, clockwise from the tip: a spline through those of the file, else an
    ellipse."""
    t = np.linspace(0, 2 * math.pi, 6001)
    if "edge_mm" not in size:
        return centre + size["head_length_mm"] / 2 * np.cos(t), size["head_width_mm"] / 2 * np.sin(t)
    right = np.array(size["edge_mm"])
    whole = np.vstack([right, right[-2::-1] * [1, -1]])
    whole[-1] = whole[0]
    found = CubicSpline(np.linspace(0, 2 * math.pi, len(whole)), whole, bc_type="periodic")(t)
    return found[:, 0], found[:, 1]


class _Bench:
    """The racquet on paper, with the string that is in it so far."""

    def __init__(self, data: dict) -> None:
        size = data["string_path"]["dimensions"]
        self.a, self.b, self.rim = size["head_length_mm"] / 2, size["head_width_mm"] / 2, size["rim_mm"]
        self.edge = _edge(data["length_mm"] - self.rim - self.a, size)
        middle = size["main_spacing_mm"]
        self.fan = (size.get("main_spacing_throat_mm", middle), size.get("main_spacing_head_mm", middle))
        self.first = size.get("first_cross_from_tip_mm")
        self.spacing = {"main": size["main_spacing_mm"], "cross": size["cross_spacing_mm"]}
        self.centre = data["length_mm"] - self.rim - self.a
        self.crosses = data["pattern"]["crosses"]
        self.row = {hand: side_of_holes(data, hand) for hand in ("left", "right")}
        self.per_metre = {of: data["strings"][of]["mass_per_length_g_m"] for of in ("mains", "crosses")}
        self.gauge = data["strings"]["mains"]["gauge_mm"]
        self.steps: list[tuple[float, float, float]] = []  # mm, x, g/m
        self.used: dict[tuple[int, str], str] = {}
        self.where: dict[tuple[int, str], tuple[Spot, Spot]] = {}
        self.wrong: list[str] = []

    def pull(self, text: str, before: Hole | None, leaving: Spot | None) -> tuple[Hole, Spot]:
        """One string of the order, from the hole before; the hole and the spot that it leaves the hoop by."""
        found = re.fullmatch(r"(main|cross) (\d+)(?: (left|right))?: (\d+)([TH]) (\w+) - (\d+)([TH]) (\w+)", text)
        of, number, hand = found[1], int(found[2]), found[3]
        start, stop = (found[5], int(found[4]), found[6]), (found[8], int(found[7]), found[9])
        for hole in (start, stop):
            self._take(hole, text)
        if before and self._apart(before, start) > NEAR:
            self.wrong.append(f"{text}: {self._apart(before, start)} holes from where the string left")
        side = "mains" if of == "main" else "crosses"
        one, other = (self._spot(of, number, hand, hole) for hole in (start, stop))
        run = math.dist(one, other)
        way = ((other[0] - one[0]) / run, (other[1] - one[1]) / run)
        entry, out = self._out(one, (-way[0], -way[1])), self._out(other, way)
        if leaving:
            self._arc(leaving, entry, side)
        points = [(one[0] + k / 40 * run * way[0], one[1] + k / 40 * run * way[1]) for k in range(41)]
        self._lay([entry, one], side)
        self._lay(points, side, self._wave(self.spacing["cross" if of == "main" else "main"]))
        self._lay([other, out], side)
        for hole, at, edge in ((start, one, entry), (stop, other, out)):
            self.where[self._place(hole)] = (at, edge)
        return stop, out

    def tie(self, end: dict, text: str) -> None:
        """Tie an end off, in its hole or two holes on, as knots usually are."""
        if end["comes_out_of"] not in text:
            self.wrong.append(f"{text} does not end in {end['comes_out_of']}")
        at = self.where.get(self._place(_hole(end["comes_out_of"])))
        to = self.where.get(self._place(_hole(end["tied_off_in"]))) if "tied_off_in" in end else at
        if at is None or to is None:
            self.wrong.append(f"nothing runs through {end.get('tied_off_in', end['comes_out_of'])}")
            return
        if "tied_off_in" in end and to == at:
            self.wrong.append(f"{end['tied_off_in']} is the hole that the string comes out of")
        self._arc(at[1], to[1], end["of"])
        self._lay([to[1], to[0]], end["of"])
        knot = 2 * math.pi * self.gauge * TURNS + TAIL_MM + (0.0 if "tied_off_in" in end else 24.0)
        self.steps.append((knot, to[0][0], self.per_metre[end["of"]]))

    def paper(self, ends: list[str]) -> Paper:
        """The sums."""
        length = sum(mm for mm, _, _ in self.steps)
        mass = sum(mm * g for mm, _, g in self.steps) / 1000
        first = sum(mm * g * x for mm, x, g in self.steps) / 1000
        second = sum(mm * g * (x - 100) ** 2 for mm, x, g in self.steps) / 1000
        return Paper(length, mass, first / mass, second / 1e5, ends, self.wrong)

    def _place(self, hole: Hole) -> tuple[int, str]:
        return self.row[hole[2]].get(hole[:2], -1), hole[2]

    def _take(self, hole: Hole, text: str) -> None:
        place = self._place(hole)
        if place[0] < 0:
            self.wrong.append(f"{text}: no such hole")
        elif place in self.used:
            self.wrong.append(f"{text}: {self.used[place]} runs there already")
        self.used[place] = text

    def _apart(self, one: Hole, other: Hole) -> int:
        p, q = self._place(one)[0], self._place(other)[0]
        last = len(self.row[one[2]]) // 2 - 1
        return abs(p - q) if one[2] == other[2] else min(p + q, 2 * last - p - q) + 1

    def _spot(self, of: str, number: int, hand: str, hole: Hole) -> Spot:
        x, y = self.edge
        if of == "main":
            steps = (number - 0.5) * (-1 if hand == "left" else 1)
            here = steps * (self.fan[0] + (self.fan[1] - self.fan[0]) * (x - self.centre + self.a) / (2 * self.a))
            return self._meets(y - here, (x > self.centre) == (hole[0] == "H"))
        tip = self.centre + self.a
        cross = tip - self.first - (number - 1) * self.spacing["cross"] if self.first else 0.0
        cross = cross or self.centre + ((self.crosses + 1) / 2 - number) * self.spacing["cross"]
        return self._meets(x - cross, (y < 0) == (hole[2] == "left"))

    def _meets(self, off: np.ndarray, wanted: np.ndarray) -> Spot:
        """Where the edge passes a line, by the signs of its distances from it: in the wanted half."""
        (found,) = np.nonzero((np.sign(off[:-1]) != np.sign(off[1:])) & wanted[:-1])
        at = found[0]
        share = off[at] / (off[at] - off[at + 1])
        return tuple(float(c[at] + share * (c[at + 1] - c[at])) for c in self.edge)

    def _out(self, at: Spot, along: Spot) -> Spot:
        """Through the hoop by a slanted hole to the groove."""
        normal = self._normal(self._nearest(at))
        hx, hy = (SLANT * normal[i] + (1 - SLANT) * along[i] for i in (0, 1))
        h = math.hypot(hx, hy)
        deep = self.rim * (1 - GROOVE) / max(0.5, (hx * normal[0] + hy * normal[1]) / h)
        return at[0] + deep * hx / h, at[1] + deep * hy / h

    def _wave(self, step: float) -> float:
        """How much longer a sine over and under is than straight."""
        rises = [self.gauge / 2 * math.sin(math.pi * k / 100) for k in range(101)]
        return sum(math.hypot(step / 100, q - p) for p, q in pairwise(rises)) / step

    def _nearest(self, at: Spot) -> int:
        return int(np.argmin(np.hypot(self.edge[0] - at[0], self.edge[1] - at[1])))

    def _normal(self, at: int) -> Spot:
        """Outwards at right angles to the edge, from its neighbouring points."""
        count = len(self.edge[0]) - 1
        (x1, x2), (y1, y2) = ([c[(at + k) % count] for k in (-3, 3)] for c in self.edge)
        return float(y2 - y1) / math.hypot(x2 - x1, y2 - y1), float(x1 - x2) / math.hypot(x2 - x1, y2 - y1)

    def _arc(self, one: Spot, other: Spot, of: str) -> None:
        """Round the hoop in its groove, the short way."""
        count, deep = len(self.edge[0]) - 1, self.rim * (1 - GROOVE)
        start, stop = self._nearest(one), self._nearest(other)
        turn = (stop - start + count // 2) % count - count // 2
        spots = []
        for k in range(1, 12):
            at = round(start + turn * k / 12) % count
            nx, ny = self._normal(at)
            spots.append((float(self.edge[0][at]) + deep * nx, float(self.edge[1][at]) + deep * ny))
        self._lay([one, *spots, other], of)

    def _lay(self, points: list[Spot], of: str, longer: float = 1.0) -> None:
        for (x1, y1), (x2, y2) in pairwise(points):
            self.steps.append((math.hypot(x2 - x1, y2 - y1) * longer, (x1 + x2) / 2, self.per_metre[of]))


def _hole(text: str) -> Hole:
    number, letter, hand = re.fullmatch(r"(\d+)([TH]) (\w+)", text).groups()
    return letter, int(number), hand


def whole(data: dict) -> list[str]:
    """Every main and cross once, one knot an end."""
    pattern, path = data["pattern"], data["string_path"]
    said = [text.partition(":")[0] for piece in path["pieces"] for text in piece["order"]]
    wanted = [f"main {k} {hand}" for hand in ("left", "right") for k in range(1, pattern["mains"] // 2 + 1)]
    wanted += [f"cross {k}" for k in range(1, pattern["crosses"] + 1)]
    wrong = [f"{name} is strung {said.count(name)} times" for name in wanted if said.count(name) != 1]
    knots = data["strings"].get("knots")
    ends = sum(len(piece["ends"]) for piece in path["pieces"])
    return wrong + ([f"{ends} ends and {knots} knots"] if knots not in (None, ends) else [])


def main(names: list[str]) -> None:
    """Print what came of each file."""
    for name in names:
        data = json.loads(Path(name).read_text(encoding="utf-8"))
        if data.get("string_path"):
            found = string_on_paper(data)
            print(f"{data['number']}: {found.length:.0f} mm, {found.mass:.2f} g, ends {', '.join(found.ends)}", end="")
            print("; " + "; ".join(found.wrong) if found.wrong else "")


if __name__ == "__main__":
    main(sys.argv[1:])
