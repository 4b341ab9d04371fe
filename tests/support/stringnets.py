"""How string beds ring, solved in two other ways than the program's: membranes of triangles, and nets of single strings.

    .venv/bin/python tests/support/stringnets.py 200

holds the program's net against that many beds drawn at random. Nothing but the dimensions is taken from the program. The
outline is a function from the share of the head's length (−1 at the throat, 1 at the tip) to its half-width.
"""

import itertools
import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import eigsh
from scipy.spatial import Delaunay

PARTS = 3
"""Straight pieces with evenly shared mass that a string is taken as between two crossings."""


@dataclass(frozen=True)
class Bed:
    """A bed in mm, N and g/m: ``half_width`` over the share of the length, spacing of the mains at the throat's and at the
    tip's end, place of each cross from the middle of the head. ``pulls`` are those of single strings, of mains from the left
    and crosses from the throat, where they differ."""

    length: float
    half_width: Callable[[float], float]
    mains: int
    spacing: tuple[float, float]
    crosses: Sequence[float]
    step: float
    density: tuple[float, float]
    tension: tuple[float, float]
    pulls: tuple[Sequence[float], Sequence[float]] = ((), ())

    def main_y(self, i: int, x: float) -> float:
        """Where a main lies ``x`` mm from the middle of the head."""
        low, high = self.spacing
        return (i - (self.mains - 1) / 2) * (low + (high - low) * (x / self.length + 0.5))


def membrane_of_rings(bed: Bed, rings: int) -> float:
    """Lowest frequency in Hz of a smooth membrane: triangles on rings of the disc that is pulled to the outline."""
    points, start = [(0.0, 0.0)], [0]
    triangles = []
    for ring in range(1, rings + 1):
        start.append(len(points))
        count = 6 * ring
        points += [
            (ring / rings * math.cos(2 * math.pi * i / count), ring / rings * math.sin(2 * math.pi * i / count))
            for i in range(count)
        ]
        inner = 6 * (ring - 1)
        for sector in range(6):
            for i in range(ring):
                a, b = start[ring] + sector * ring + i, start[ring] + (sector * ring + i + 1) % count
                c = start[ring - 1] + (sector * (ring - 1) + i) % max(inner, 1)
                triangles.append((a, b, c))
                if i < ring - 1:
                    triangles.append((c, b, start[ring - 1] + (sector * (ring - 1) + i + 1) % inner))
    xy = np.array(points)
    # each line across the disc is stretched to the head's width there
    share = np.array(
        [bed.half_width(x) / math.sqrt(max(1e-12, 1 - x * x)) if abs(x) < 1 - 1e-9 else 0.0 for x, _ in xy]
    )
    xy = np.stack([xy[:, 0] * bed.length / 2, xy[:, 1] * share], axis=1)
    return _membrane(bed, xy, np.array(triangles), np.arange(start[rings]))


def membrane_of_grid(bed: Bed, size: float) -> float:
    """The same on another mesh: a grid of triangles of ``size`` mm, and points all along the rim (Delaunay, SciPy)."""
    turns = np.linspace(0, 2 * math.pi, max(40, round(900 / size)), endpoint=False)
    rim = np.array([(math.cos(t), math.copysign(bed.half_width(math.cos(t)), math.sin(t))) for t in turns])
    rim[:, 0] *= bed.length / 2
    inside = []
    for k, y in enumerate(np.arange(-bed.length, bed.length, size * math.sqrt(3) / 2)):
        for x in np.arange(-bed.length / 2, bed.length / 2, size) + size / 2 * (k % 2):
            within = abs(x) < bed.length / 2 and abs(y) < bed.half_width(2 * x / bed.length)
            if within and np.hypot(*(rim - (x, y)).T).min() > 0.45 * size:
                inside.append((x, y))
    xy = np.vstack([inside, rim])
    tri = Delaunay(xy).simplices
    middle = xy[tri].mean(axis=1)
    kept = [abs(y) < bed.half_width(max(-1.0, min(1.0, 2 * x / bed.length))) for x, y in middle]
    return _membrane(bed, xy, tri[np.array(kept)], np.arange(len(inside)))


def _membrane(bed: Bed, xy: np.ndarray, tri: np.ndarray, free: np.ndarray) -> float:
    """Linear triangles; tension and mass per width as the strings are spaced at each triangle's middle."""
    p = xy[tri] / 1000
    edge = np.stack([p[:, 2] - p[:, 1], p[:, 0] - p[:, 2], p[:, 1] - p[:, 0]], axis=1)
    area = np.abs(edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0]) / 2
    x, y = xy[tri].mean(axis=1).T
    low, high = bed.spacing
    apart = low + (high - low) * (x / bed.length + 0.5)
    lean = y * (high - low) / bed.length / apart  # dy/dx of the mains there
    # gradients: (−edge_y, edge_x)/2A; along a main u_x + lean·u_y
    gx, gy = -edge[:, :, 1] / (2 * area[:, None]), edge[:, :, 0] / (2 * area[:, None])
    along = gx + lean[:, None] * gy
    by_mains = bed.tension[0] / apart * 1000 * area
    by_crosses = bed.tension[1] / bed.step * 1000 * area
    local_k = np.einsum("t,ti,tj->tij", by_mains, along, along) + np.einsum("t,ti,tj->tij", by_crosses, gy, gy)
    heavy = bed.density[0] / apart + bed.density[1] / bed.step
    local_m = (np.ones((3, 3)) + np.eye(3))[None] * (area * heavy / 12)[:, None, None]
    rows, cols, n = np.repeat(tri, 3, axis=1).ravel(), np.tile(tri, 3).ravel(), len(xy)
    stiff = coo_matrix((local_k.ravel(), (rows, cols)), (n, n)).tocsc()[free][:, free]
    mass = coo_matrix((local_m.ravel(), (rows, cols)), (n, n)).tocsc()[free][:, free]
    return math.sqrt(eigsh(stiff, 1, mass, sigma=0, return_eigenvectors=False)[0]) / (2 * math.pi)


def net_frequency(bed: Bed) -> float:
    """Lowest frequency in Hz of the single strings, tied where they cross and fixed where they meet the rim."""
    net = _Strings(bed)
    for i in range(bed.mains):
        net.main(i)
    for j in range(len(bed.crosses)):
        net.cross(j)
    return net.lowest()


class _Strings:
    """Nodes and the pieces of string between them."""

    def __init__(self, bed: Bed) -> None:
        self.bed, self.count = bed, 0
        self.nodes: dict[tuple[int, int], int] = {}
        self.stiff: list[tuple[int, int, float]] = []
        self.mass: list[tuple[int, int, float]] = []

    def _inside(self, x: float, y: float) -> bool:
        return abs(x) < self.bed.length / 2 and abs(y) < self.bed.half_width(2 * x / self.bed.length)

    def _end(self, inside: tuple[float, float], outside: tuple[float, float]) -> tuple[float, float]:
        """Where a straight line leaves the outline."""
        near, far = np.array(inside), np.array(outside)
        for _ in range(60):
            middle = (near + far) / 2
            near, far = (middle, far) if self._inside(*middle) else (near, middle)
        return float(near[0]), float(near[1])

    def main(self, i: int) -> None:
        """One main, tied to the crosses that it meets inside."""
        bed = self.bed
        start = next(x for x in (0.0, 0.1 * bed.length, 0.2 * bed.length) if self._inside(x, bed.main_y(i, x)))
        ends = []
        for way in (-1, 1):
            x = start
            while self._inside(x, bed.main_y(i, x)):
                x += way * bed.length / 400
            back = x - way * bed.length / 400
            ends.append(self._end((back, bed.main_y(i, back)), (x, bed.main_y(i, x))))
        ties = [(x, j) for j, x in enumerate(bed.crosses) if ends[0][0] < x < ends[1][0]]
        stops = [(ends[0], -1), *(((x, bed.main_y(i, x)), self._node(i, j)) for x, j in ties), (ends[1], -1)]
        self._string(stops, 0, i)

    def cross(self, j: int) -> None:
        """One cross, tied to the mains that it meets inside."""
        bed, x = self.bed, self.bed.crosses[j]
        half = bed.half_width(2 * x / bed.length)
        if half <= 0:
            return
        ties = [(bed.main_y(i, x), i) for i in range(bed.mains) if (i, j) in self.nodes]
        stops = [((x, -half), -1), *(((x, y), self._node(i, j)) for y, i in ties), ((x, half), -1)]
        self._string(stops, 1, j)

    def _node(self, i: int, j: int) -> int:
        if (i, j) not in self.nodes:
            self.nodes[i, j] = self._new()
        return self.nodes[i, j]

    def _new(self) -> int:
        self.count += 1
        return self.count - 1

    def _string(self, stops: list[tuple[tuple[float, float], int]], of: int, number: int) -> None:
        tension = self.bed.pulls[of][number] if self.bed.pulls[of] else self.bed.tension[of]
        for (one, a), (other, b) in itertools.pairwise(stops):
            run = math.dist(one, other) / 1000 / PARTS
            chain = [a, *(self._new() for _ in range(PARTS - 1)), b]
            for p, q in itertools.pairwise(chain):
                pull, heavy = tension / run, self.bed.density[of] / 1000 * run / 6
                for r, s, k, m in (
                    (p, p, pull, 2 * heavy),
                    (q, q, pull, 2 * heavy),
                    (p, q, -pull, heavy),
                    (q, p, -pull, heavy),
                ):
                    if r >= 0 and s >= 0:
                        self.stiff.append((r, s, k))
                        self.mass.append((r, s, m))

    def lowest(self) -> float:
        """Lowest frequency, Hz."""
        made = []
        for parts in (self.stiff, self.mass):
            rows, cols, values = zip(*parts, strict=True)
            made.append(coo_matrix((values, (rows, cols)), (self.count, self.count)).tocsc())
        return math.sqrt(eigsh(made[0], 1, made[1], sigma=0, return_eigenvectors=False)[0]) / (2 * math.pi)


def drawn(rng: np.random.Generator) -> tuple[dict, tuple[float, float], tuple[float, float]]:
    """A bed at random as the program's shape takes it, with its densities and tensions."""
    kind = rng.choice(["tennis", "squash", "badminton", "racketball"])
    size, counts, density, pull = {
        "tennis": ((330, 248), (16, 19), 1.6, 170), "squash": ((340, 186), (14, 18), 1.1, 80),
        "badminton": ((242, 187), (22, 21), 0.4, 80), "racketball": ((318, 222), (16, 16), 1.3, 85),
    }[str(kind)]  # fmt: skip
    length, width = (float(v * rng.normal(1, 0.03)) for v in size)
    mains, crosses = (int(c + 2 * rng.integers(-1, 2)) for c in counts)
    steps = [float(v / (n + rng.uniform(1.5, 4))) for v, n in ((width, mains), (length, crosses))]
    shape = {
        "length": 685.0, "head_length": length, "head_width": width, "rim": 11.0, "handle": 180.0, "handle_width": 30.0,
        "throat": "open", "mains": mains, "crosses": crosses, "main_spacing": steps[0], "cross_spacing": steps[1],
        "fan": float(rng.uniform(0.1, 0.35)) if kind == "squash" else 0.0,
    }  # fmt: skip
    return shape, (density, density * float(rng.uniform(0.7, 1.4))), (pull, pull * float(rng.uniform(0.85, 1.1)))


def judged(shape, density: tuple[float, float], tension: tuple[float, float]) -> Bed:
    """The same bed as the judge takes it, from a shape of the program."""
    coefficients = np.array(shape.outline.profile[::-1] or (1.0,))

    def half_width(xi: float) -> float:
        return shape.head_width / 2 * math.sqrt(max(0.0, 1 - xi * xi)) * float(np.polyval(coefficients, xi))

    middle, step = shape.spacing
    last = shape.head_length / 2 - shape.first_cross if shape.first_cross else (shape.crosses - 1) / 2 * step
    return Bed(
        shape.head_length,
        half_width,
        shape.mains,
        (middle * (1 - shape.fan), middle * (1 + shape.fan)),
        [last - (shape.crosses - 1 - j) * step for j in range(shape.crosses)],
        step,
        density,
        tension,
    )


def compared(count: int, seed: int = 16) -> np.ndarray:
    """What the judge's nets ring at, over what the program says, less 1, for so many beds at random."""
    from passport.physics.geometry import RacquetShape
    from passport.physics.head.outline import EGG, ELLIPSE, ROUNDER, SQUARER, TEARDROP
    from passport.physics.stringbed import StringBed

    rng, found = np.random.default_rng(seed), []
    while len(found) < count:
        plain, density, tension = drawn(rng)
        outlines = [TEARDROP] if plain["fan"] else [ELLIPSE, SQUARER, ROUNDER, EGG]
        shape = RacquetShape(**plain, outline=outlines[rng.integers(len(outlines))])
        bed = judged(shape, density, tension)
        ours = StringBed.of(shape, *density)
        found.append((net_frequency(bed) / ours.frequency(*tension) - 1, ours.net_share(tension[1] / tension[0]) - 1))
    return np.array(found)


def main() -> None:
    """Print how far off the program's net is."""
    off = compared(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
    print(
        f"{len(off)} beds: nets ring {-100 * off[:, 1].max():.2f} to {-100 * off[:, 1].min():.2f} % below the membrane"
    )
    print(f"  the program's net is {-100 * off[:, 0].max():+.3f} to {-100 * off[:, 0].min():+.3f} % off, rms "
          f"{100 * math.sqrt((off[:, 0] ** 2).mean()):.3f} %")  # fmt: skip


if __name__ == "__main__":
    main()
