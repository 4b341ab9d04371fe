"""One mixed-integer or linear program handed to HiGHS, so that the answer is the same on every machine.

A search ends with a proof, or after so many nodes: never after so many seconds, which would make a plan depend on how
busy a computer is. One thread, one seed. A feasible point that is known already is handed over as the start.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Row = tuple[Vector, float, float]
"""Coefficients of all variables with the lower and the upper limit of their sum."""

NODES: Final = 20_000
"""Nodes of the search tree after which a search gives what it has: seconds, not minutes, for the plans of one frame."""

_SETTINGS: Final[dict[str, Any]] = {
    "output_flag": False,
    "threads": 1,
    "parallel": "off",
    "random_seed": 1,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 1e-6,
}
LARGE: Final = 300
"""From so many whole variables on, reducing the program first takes longer than it saves: twice as long in all for the places
of one frame, measured with 500 and 730; with 120 it is a third quicker."""
_SCALES: Final = (10.0, 100.0, 1.0, 0.1)
"""Scales of the variables that need not be whole, tried in turn where the solver gives up on its own rounding."""


@dataclass(frozen=True, slots=True)
class HighsAnswer:
    """The variables ``x`` (None: no values were found), their ``cost``, and a ``bound`` that no values go below.

    ``nodes`` of the search tree were looked at. ``ended`` tells that the search came to its end: what was found is the best, or nothing meets the rows.
    """

    x: Vector | None
    cost: float
    bound: float
    ended: bool
    nodes: int = 0

    @property
    def gap(self) -> float:
        """How much lower the cost could be at most; 0 where the search came to its end."""
        return 0.0 if self.ended or self.x is None else max(0.0, self.cost - self.bound)


def highs(
    cost: Vector,
    whole: Vector,
    rows: Sequence[Row],
    high: Vector,
    start: Vector | None = None,
    nodes: int = NODES,
) -> HighsAnswer:
    """The variables, from 0 to ``high``, at the least cost; whole numbers where ``whole`` is 1.

    ``start`` is a point that meets the rows, where one is known. Raises ``RuntimeError`` where the solver ends without
    an answer on every scale, which no input is known to bring about.
    """
    status = ""
    # The solver's tolerances are absolute, so a badly scaled program can end in 'unknown'; another scale cures it.
    for scale in _SCALES:
        unit = np.where(whole > 0, 1.0, scale)
        answer, status = _run(
            cost / unit, whole, [(r / unit, lo, up) for r, lo, up in rows], high * unit, start, nodes, unit
        )
        if answer is not None:
            return answer
    raise RuntimeError(f"the solver ended without an answer: {status}")


def _run(
    cost: Vector, whole: Vector, rows: Sequence[Row], high: Vector, start: Vector | None, nodes: int, unit: Vector
) -> tuple[HighsAnswer | None, str]:
    """One run on one scale: the answer, or None with how it ended."""
    import highspy  # a third of a second that other commands need not wait for

    solver = highspy.Highs()
    reduced = "off" if whole.sum() >= LARGE else "choose"
    for name, value in {**_SETTINGS, "mip_max_nodes": nodes, "presolve": reduced}.items():
        solver.setOptionValue(name, value)
    solver.passModel(_model(highspy, cost, whole, rows, high))
    if start is not None:
        point = highspy.HighsSolution()
        point.col_value = list(start * unit)
        solver.setSolution(point)
    solver.run()
    status, info = solver.getModelStatus(), solver.getInfo()
    looked = max(0, int(info.mip_node_count))
    kinds = highspy.HighsModelStatus
    # Presolve does not tell the two apart; with all variables bounded it can only be infeasible.
    if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
        return HighsAnswer(None, np.inf, np.inf, True, looked), ""
    mixed = bool(whole.any())
    if status == kinds.kOptimal:
        best = float(info.objective_function_value)
        return HighsAnswer(np.asarray(solver.getSolution().col_value) / unit, best, best, True, looked), ""
    if status in (kinds.kSolutionLimit, kinds.kIterationLimit) and mixed:
        found = np.isfinite(info.objective_function_value)
        x: Vector | None = np.asarray(solver.getSolution().col_value) / unit if found else None
        value = float(info.objective_function_value) if found else np.inf
        return HighsAnswer(x, value, float(info.mip_dual_bound), False, looked), ""
    return None, str(status)


def _model(highspy: Any, cost: Vector, whole: Vector, rows: Sequence[Row], high: Vector) -> Any:
    """The program in the solver's own form, rows without their zeros."""
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(cost), len(rows)
    model.col_cost_, model.col_lower_, model.col_upper_ = cost, np.zeros(len(cost)), high
    kinds = highspy.HighsVarType
    if whole.any():
        model.integrality_ = [kinds.kInteger if w else kinds.kContinuous for w in whole]
    where = [np.flatnonzero(row) for row, _, _ in rows]
    model.row_lower_ = np.array([low for _, low, _ in rows], dtype=float)
    model.row_upper_ = np.array([top for _, _, top in rows], dtype=float)
    matrix = model.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.concatenate([[0], np.cumsum([len(w) for w in where], dtype=np.int32)]).astype(np.int32)
    matrix.index_ = np.concatenate([*where, np.zeros(0, dtype=np.int32)]).astype(np.int32)
    matrix.value_ = np.concatenate([*(row[w] for (row, _, _), w in zip(rows, where, strict=True)), np.zeros(0)])
    return model
