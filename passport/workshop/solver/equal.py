"""Bodies made equal with the least mass: one mixed-integer program for all, with the common target among its variables.

Bodies are equal where no two are further apart than a tolerance in any quantity, so where all are within half of it of a
common target. Mass, swing- and twistweight are linear in what is added. A balance is not: for a target between two limits
the program takes the product of balance and mass as linear to within the most that this can be wrong, so that it rules out
nothing that is equal; what it finds is added up exactly, and where that is not equal the limits are drawn closer (spatial
branch and bound). What is proven is proven for the exact sums.
"""

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Final

import numpy as np

from passport.physics.moments import Moments
from passport.workshop.solver.combos import COMBINATIONS, MOST, combinations_of, inside
from passport.workshop.solver.highs import HighsAnswer, Row, Vector, highs
from passport.workshop.solver.problem import QUANTITIES, SLACK, Bounds, Problem, Solution, Window, add_up
from passport.workshop.solver.program import EDGE, Program
from passport.workshop.solver.rank import Contest, ordered, with_chance
from passport.workshop.solver.solve import after_taking, nearest

OFF: Final = 1000.0
"""What one thing taken off counts in grams."""

NODES: Final = 40_000
"""Nodes of the search tree for one body; for n bodies it has 1/n² as many, since each takes the longer."""

_SHARES: Final = (0.48, 0.45, 0.42, 0.4, 0.35, 0.3, 0.2, 0.1)
"""How much of a tolerance divided steps may be off the target, in turn, so that whole steps near them are inside."""

_REGIONS: Final = 200
"""Limits of the common balance that are looked at, at most."""

_CENT: Final = 1e-4
"""Costs this near each other, g, are the same."""


@dataclass(frozen=True, slots=True)
class Equal:
    """What makes bodies equal, one solution each, and the ``target`` that all are within half a tolerance of.

    ``proven`` where no other choice is equal with less mass; else it could be less by ``gap`` g at most (in tolerances
    where the bodies cannot be ``met``, and what comes nearest is given).
    """

    ways: tuple[Solution, ...]
    target: Mapping[str, float]
    met: bool
    proven: bool
    gap: float


def make_equal(problems: Sequence[Problem], tolerances: Mapping[str, float]) -> Equal:
    """Make bodies equal with the least mass added in all; windows of the problems do not count.

    Where additions alone cannot, as little as possible is taken off; where that cannot either, what comes nearest.
    Twistweight counts only where it is known of all.
    """
    joint = _Joint([_plain(problem) for problem in problems], tolerances)
    found, proven = joint.lightest(), joint.proven
    # Only half of the spent nodes count: proving that additions cannot do it must not use up the second search.
    if found is None and any(group.off for problem in problems for group in problem.groups):
        joint = _Joint(problems, tolerances, begun=joint.spent // 2)
        found = joint.lightest()
        proven = proven and joint.proven
    if found is None:
        return _nearest(_Joint([_plain(p) for p in problems], tolerances), proven)
    target = middle([add_up(p, picks) for p, picks in zip(problems, found, strict=True)], tolerances)
    # The target is fixed now, so each body can be settled by itself, which is far cheaper than all together.
    window = window_around(target, tolerances)
    ways = [_settled(replace(p, window=window), picks) for p, picks in zip(problems, found, strict=True)]
    added = sum(way.result.m0 for way in ways) - sum(add_up(p, k).m0 for p, k in zip(problems, found, strict=True))
    gap = max(0.0, joint.gap + added) if not joint.proven else 0.0
    done = joint.proven and proven
    return Equal(tuple(replace(way, proven=done, gap=gap) for way in ways), target, True, done, gap)


def middle(bodies: Sequence[Moments], tolerances: Mapping[str, float]) -> dict[str, float]:
    """Half way between the least and the largest of each figure that is known of all bodies."""
    found: dict[str, float] = {}
    for quantity in tolerances:
        values = [figure_of(body, quantity) for body in bodies]
        known = [value for value in values if value is not None]
        if len(known) == len(values):
            found[quantity] = (min(known) + max(known)) / 2
    return found


def figure_of(body: Moments, quantity: str) -> float | None:
    """One figure of a body."""
    if quantity == "swingweight":
        return body.swingweight()
    return {"mass": body.mass, "balance": body.balance, "twistweight": body.twistweight}[quantity]


def window_around(target: Mapping[str, float], tolerances: Mapping[str, float]) -> Window:
    """Half a tolerance around a common target."""
    bounds = {quantity: Bounds(value, tolerances[quantity] / 2) for quantity, value in target.items()}
    mass, balance = bounds.get("mass"), bounds.get("balance")
    return Window(mass, balance, bounds.get("swingweight"), bounds.get("twistweight"))


def equal(bodies: Sequence[Moments], tolerances: Mapping[str, float]) -> dict[str, float]:
    """By how much of a tolerance bodies are too far apart, for each quantity where they are; empty where they are equal."""
    over: dict[str, float] = {}
    for quantity, tolerance in tolerances.items():
        values = [figure_of(body, quantity) for body in bodies]
        known = [value for value in values if value is not None]
        if len(known) == len(values):
            apart = (max(known) - min(known)) / tolerance - 1
            if apart > SLACK:
                over[quantity] = apart
    return over


def _plain(problem: Problem) -> Problem:
    """The problem with nothing taken off, its groups in their places."""
    return replace(problem, groups=tuple(replace(g, options=()) if g.off else g for g in problem.groups))


def _settled(problem: Problem, picks: Sequence[int | None]) -> Solution:
    """For one body and the common target: the least mass, with it the fewest places, and of these the surest."""
    off = {i: k for i, k in enumerate(picks) if k is not None and problem.groups[i].off}
    after = after_taking(problem, off)
    light, _ = Program(after).inside(Program(after).mass, [])
    own = add_up(problem, picks)
    least = min(own.m0, light.result.m0) if light else own.m0
    for size in range(MOST + 1):
        if combinations_of(after, size) > COMBINATIONS:
            break
        contest = Contest([(after, off)], extra=0.0)
        contest.enter(0, inside(after, size))
        if contest.least <= least + _CENT:
            return ordered(contest.ways(), problem)[0]
    best = light if light and light.result.m0 < own.m0 - _CENT else None
    chosen = [p if i not in off else None for i, p in enumerate(picks)] if best is None else list(best.picks)
    way = with_chance(after, Solution(tuple(chosen), add_up(after, chosen), 0.0, True))
    whole = tuple(off.get(i, pick) for i, pick in enumerate(chosen))
    return replace(way, picks=whole, worst=problem.window.worst(way.result), inside=problem.window.inside(way.result))


def _nearest(joint: "_Joint", proven: bool) -> Equal:
    """What comes nearest to a common target by additions, each body by itself; and how far divided steps would be off."""
    target, bound = joint.nearest_target()
    window = window_around(target, joint.tolerances)
    ways = tuple(nearest(replace(problem, window=window)) for problem in joint.problems)
    gap = max(0.0, max(way.worst for way in ways) - bound)
    return Equal(ways, target, False, proven and gap < SLACK, gap)


@dataclass(frozen=True, order=True)
class _Region:
    """Limits of the common balance, mm, with a bound on the cost between them."""

    bound: float
    order: int
    low: float
    high: float


@dataclass
class _Joint:
    """The program of all bodies; ``proven`` and ``gap`` tell how its last search ended.

    ``begun`` are nodes that count as spent already.
    """

    problems: Sequence[Problem]
    tolerances: Mapping[str, float]
    proven: bool = False
    gap: float = 0.0
    begun: int = 0
    _cuts: list[Vector] = field(default_factory=list)

    def __post_init__(self) -> None:
        """The programs, and how the options of each body follow each other among the variables."""
        self.programs = [Program(problem) for problem in self.problems]
        self.options = sum(p.size - 1 for p in self.programs)
        self.at = np.cumsum([0, *(p.size - 1 for p in self.programs)])
        known = all(p.start.polar is not None for p in self.problems)
        self.quantities = [q for q in QUANTITIES if q in self.tolerances and (known or q != "twistweight")]
        self.size = self.options + 2 * len(self.quantities) + 1
        self.base = max((problem.start for problem in self.problems), key=lambda body: body.m0)
        self.spent = self.begun

    def lightest(self) -> list[list[int | None]] | None:
        """The options that make all equal with the least cost, or None where nothing was found that does."""
        cost = np.concatenate([np.where(p.count > 1, OFF, p.mass)[:-1] for p in self.programs])
        cost = np.concatenate([cost, np.zeros(self.size - self.options)])
        low, high = self._balances()
        best, least = self._rounded(cost)
        number, regions = count(), list[_Region]()
        # A number breaks ties, so that the order of the search does not depend on how floats compare.
        heapq.heappush(regions, _Region(-np.inf, next(number), low, high))
        looked = 0
        while regions and regions[0].bound < least - _CENT and looked < _REGIONS:
            region = heapq.heappop(regions)
            looked += 1
            answer = self._solve(cost, region, best)
            if answer.x is None and answer.ended:
                continue
            picks = self._picks(answer.x) if answer.x is not None else None
            over = equal(self._bodies(picks), self.tolerances) if picks else {"nothing": 1.0}
            if picks and not over and answer.cost < least - _CENT:
                best, least = picks, float(answer.cost)
            if not answer.ended:
                regions.append(replace(region, bound=max(region.bound, answer.bound)))
                heapq.heapify(regions)
                break  # the nodes are spent
            if over:
                for part in self._narrower(region, answer, picks or [], over):
                    heapq.heappush(regions, replace(part, order=next(number)))
        open_bound = min((r.bound for r in regions), default=np.inf)
        self.proven = open_bound >= least - _CENT
        self.gap = 0.0 if self.proven else float(max(0.0, least - open_bound))
        return best

    def nearest_target(self) -> tuple[dict[str, float], float]:
        """The common target of divided steps whose worst miss is the least, and that miss in half tolerances."""
        cost = np.zeros(self.size)
        cost[-1] = 1.0
        unit = max([1.0, *(abs(begin) for i in range(len(self.programs)) for _, begin, _ in self._measures(i))])
        rows = list(self._target_rows(None, unit))
        answer = highs(cost, np.zeros(self.size), rows, self._tops())
        assert answer.x is not None, "doing nothing is always possible"
        return self._target(answer.x * np.where(np.arange(self.size) < self.options, 1.0, unit)), 2 * unit * answer.cost

    def _balances(self) -> tuple[float, float]:
        """Between which balances the common one can lie, mm."""
        half = self.tolerances["balance"] / 2
        lows, highs_ = zip(*(_balance_range(problem) for problem in self.problems), strict=True)
        return max(lows) - half, min(highs_) + half

    def _rounded(self, cost: Vector) -> tuple[list[list[int | None]] | None, float]:
        """A feasible point to start from: the target of divided steps that stay well inside, then each body by itself."""
        best: list[list[int | None]] | None = None
        least = np.inf
        for share in _SHARES:
            rows = list(self._target_rows(share, 1.0))
            answer = highs(cost, np.zeros(self.size), rows, self._tops())
            if answer.x is None or answer.cost > least:
                break
            picks, total = self._each(self._target(answer.x), cost)
            if picks is not None and total < least - _CENT:
                best, least = picks, total
        return (best, least) if best else self._blended(cost)

    def _blended(self, cost: Vector) -> tuple[list[list[int | None]] | None, float]:
        """A feasible point between the lightest target of divided steps and the one that is nearest to all bodies."""
        central = self.nearest_target()[0]
        answer = highs(cost, np.zeros(self.size), list(self._target_rows(0.5, 1.0)), self._tops())
        if answer.x is None:
            return self._each(central, cost)
        light = self._target(answer.x)
        for share in (0.35, 0.7, 1.0):
            found = self._each({q: (1 - share) * light[q] + share * central[q] for q in central}, cost)
            if found[0] is not None:
                return found
        return None, np.inf

    def _each(self, target: Mapping[str, float], cost: Vector) -> tuple[list[list[int | None]] | None, float]:
        """For each body the least cost within half a tolerance of a target, and their sum; None where one cannot be."""
        window = window_around(target, self.tolerances)
        found: list[list[int | None]] = []
        for problem in self.problems:
            program = Program(replace(problem, window=window))
            way, _ = program.inside(np.where(program.count > 1, OFF, program.mass), [])
            if way is None:
                return None, np.inf
            found.append(list(way.picks))
        if equal(self._bodies(found), self.tolerances):
            return None, np.inf
        return found, float(sum(cost[k] for k in self._taken(found)))

    def _solve(self, cost: Vector, region: _Region, best: list[list[int | None]] | None) -> HighsAnswer:
        whole = np.concatenate([np.ones(self.options), np.zeros(self.size - self.options)])
        left = max(1, NODES // len(self.problems) ** 2 - self.spent)
        rows = [*self._region_rows(region.low, region.high), *self._apart()]
        start = self._point(best, region) if best else None
        answer = highs(cost, whole, rows, self._tops(), start, left)
        self.spent += answer.nodes
        return answer

    def _narrower(
        self, region: _Region, answer: HighsAnswer, picks: Sequence[Sequence[int | None]], over: Mapping[str, float]
    ) -> Iterator[_Region]:
        """The region in two halves; or the same one without what was found, where that is beyond a limit by a rounding."""
        if set(over) == {"balance"} and region.high - region.low > EDGE:
            middles = [body.balance for body in self._bodies(picks)]
            at = min(max((min(middles) + max(middles)) / 2, region.low), region.high)
            # A cut at the very edge would leave the same region again, for ever.
            if not region.low + EDGE / 4 < at < region.high - EDGE / 4:
                at = (region.low + region.high) / 2
            yield _Region(answer.bound, 0, region.low, at)
            yield _Region(answer.bound, 0, at, region.high)
            return
        cut = np.zeros(self.size)
        cut[: self.options] = 1.0
        cut[self._taken(picks)] = -1.0
        self._cuts.append(cut)
        yield replace(region, bound=answer.bound)

    def _taken(self, picks: Sequence[Sequence[int | None]]) -> list[int]:
        """The variables of the options that are taken."""
        found: list[int] = []
        for program, begin, mine in zip(self.programs, self.at, picks, strict=False):
            found += [int(begin) + k for k in program.columns_of(mine)]
        return found

    def _picks(self, x: Vector) -> list[list[int | None]]:
        return [p.picks_of(x[begin : begin + p.size - 1]) for p, begin in zip(self.programs, self.at, strict=False)]

    def _bodies(self, picks: Sequence[Sequence[int | None]]) -> list[Moments]:
        return [add_up(problem, mine) for problem, mine in zip(self.problems, picks, strict=True)]

    def _point(self, picks: Sequence[Sequence[int | None]], region: _Region) -> Vector | None:
        """The values of all variables for what is taken; None where its common balance is not in the region."""
        bodies, base = self._bodies(picks), self.base
        target = middle(bodies, self.tolerances)
        x = np.zeros(self.size)
        x[self._taken(picks)] = 1.0
        for k, quantity in enumerate(self.quantities):
            origin = figure_of(base, quantity)
            if quantity == "balance":
                balances = [body.balance for body in bodies]
                half = self.tolerances["balance"] / 2
                lowest, highest = max(max(balances) - half, region.low), min(min(balances) + half, region.high)
                if lowest > highest:
                    return None
                target["balance"], origin = (lowest + highest) / 2, (region.low + region.high) / 2
            assert origin is not None, "a quantity that is known of all is known of the base"
            value = (target[quantity] - origin) / self.tolerances[quantity]
            # The solver's variables start at 0: a target is the difference of two, one for above the base, one for
            # below.
            x[self.options + 2 * k + (value < 0)] = abs(value)
        return x

    def _target(self, x: Vector) -> dict[str, float]:
        """The common target among the variables, whose balance is taken from the base's."""
        found: dict[str, float] = {}
        for k, quantity in enumerate(self.quantities):
            at = self.options + 2 * k
            origin = figure_of(self.base, quantity)
            assert origin is not None, "a quantity that is known of all is known of the base"
            found[quantity] = origin + float(x[at] - x[at + 1]) * self.tolerances[quantity]
        return found

    def _tops(self) -> Vector:
        return np.concatenate([np.ones(self.options), np.full(self.size - self.options, np.inf)])

    def _once(self) -> Iterator[Row]:
        """One option of a group, and nothing on each other, for every body."""
        for program, begin in zip(self.programs, self.at, strict=False):
            for once, low, high in program.once():
                row = np.zeros(self.size)
                row[begin : begin + program.size - 1] = once[:-1]
                yield row, low, high

    def _apart(self) -> Iterator[Row]:
        """Rows that leave out what was found to be beyond a limit."""
        for cut in self._cuts:
            yield cut, 1.0 - float((cut < 0).sum()), np.inf

    def _measures(self, i: int) -> Iterator[tuple[Vector, float, str]]:
        """For each quantity of a body: what each option adds and what the body is from the base, in tolerances.

        A balance is taken as linear around the base: (m₁ − B₀·m₀)/M₀.
        """
        columns, start, base = self.programs[i].columns(), self.problems[i].start, self.base
        for quantity in self.quantities:
            tolerance = self.tolerances[quantity]
            if quantity == "balance":
                values = (columns["first"] - base.balance * columns["mass"]) / base.m0
                begin = (start.m1 - base.balance * start.m0) / base.m0
            else:
                values = columns[quantity]
                begin = (figure_of(start, quantity) or 0.0) - (figure_of(base, quantity) or 0.0)
            yield values / tolerance, begin / tolerance, quantity

    def _row(self, i: int, values: Vector, k: int) -> Vector:
        """A row of one body's options less the target of a quantity."""
        row = np.zeros(self.size)
        row[self.at[i] : self.at[i + 1]] = values
        row[self.options + 2 * k], row[self.options + 2 * k + 1] = -1.0, 1.0
        return row

    def _target_rows(self, share: float | None, unit: float) -> Iterator[Row]:
        """Every body within ``share`` tolerances of the target (None: within the worst miss), for divided steps."""
        yield from self._once()
        for i in range(len(self.programs)):
            for k, (values, begin, _) in enumerate(self._measures(i)):
                row, centre = self._row(i, values / unit, k), -begin / unit
                if share is not None:
                    yield row, centre - share, centre + share
                    continue
                miss = np.zeros(self.size)
                miss[-1] = 1.0
                yield row - miss, -np.inf, centre
                yield row + miss, centre, np.inf

    def _region_rows(self, low: float, high: float) -> Iterator[Row]:
        """Every body within half a tolerance of the target, its balance between ``low`` and ``high``: an outer bound.

        With t the common balance and B₀, M₀ the middles of its region and of the masses, t·m is t·M₀ + B₀·m − B₀·M₀ to
        within the product of the two half widths.
        """
        yield from self._once()
        half = 0.5 + EDGE
        wide = self.tolerances["balance"]
        centre, reach = (low + high) / 2, (high - low) / 2
        lightest, heaviest = self._masses()
        mass, room = (lightest + heaviest) / 2, max(0.0, heaviest - lightest) / 2
        slack = reach * room / (wide * mass) + EDGE
        for i, program in enumerate(self.programs):
            for k, (values, begin, quantity) in enumerate(self._measures(i)):
                if quantity != "balance":
                    yield self._row(i, values, k), -half - begin, half - begin
                    continue
                columns, start = program.columns(), self.problems[i].start
                for side, limit in ((1, high), (-1, low)):
                    edge, far = centre + side * wide / 2, limit + side * wide / 2
                    row = self._row(i, (columns["first"] - edge * columns["mass"]) / (wide * mass), k)
                    first = -(start.m1 - edge * start.m0) / (wide * mass)
                    yield (row, -np.inf, first + slack) if side > 0 else (row, first - slack, np.inf)
                    plain = np.zeros(self.size)
                    plain[self.at[i] : self.at[i + 1]] = (columns["first"] - far * columns["mass"]) / (wide * mass)
                    last = -(start.m1 - far * start.m0) / (wide * mass)
                    yield (plain, -np.inf, last + EDGE) if side > 0 else (plain, last - EDGE, np.inf)
        k = self.quantities.index("balance")
        row = np.zeros(self.size)
        row[self.options + 2 * k], row[self.options + 2 * k + 1] = 1.0, -1.0
        yield row, -reach / wide - EDGE, reach / wide + EDGE

    def _masses(self) -> tuple[float, float]:
        """The least and the largest mass that any body can have when all are equal, g."""
        tolerance = self.tolerances["mass"]
        reaches = [_mass_range(problem) for problem in self.problems]
        return max(low for low, _ in reaches) - tolerance, min(high for _, high in reaches) + tolerance


def _mass_range(problem: Problem) -> tuple[float, float]:
    steps = [[0.0, *(option.m0 for option in group.options)] for group in problem.groups]
    return problem.start.m0 + sum(map(min, steps)), problem.start.m0 + sum(map(max, steps))


def _balance_range(problem: Problem) -> tuple[float, float]:
    """The least and the largest balance that one body can have, mm, by Dinkelbach's method for a ratio (from memory)."""
    ends = []
    for sign in (1, -1):
        balance = problem.start.balance
        for _ in range(50):
            chosen = [
                min([Moments(0, 0, 0, 0), *group.options], key=lambda o, b=balance: sign * (o.m1 - b * o.m0))  # type: ignore[misc]
                for group in problem.groups
            ]
            body = Moments.total([problem.start, *chosen])
            if abs(body.balance - balance) < 1e-9:
                break
            balance = body.balance
        ends.append(balance)
    return ends[0], ends[1]
