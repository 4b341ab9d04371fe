"""What readings say of a rebuild: held against plain least squares (numpy), and the reading that is wrong is found."""

from pathlib import Path

import numpy as np
import pytest

from passport.physics.body import Body
from passport.workshop.resume.knowledge import Knowledge
from tests.support.benchwork import bench, hand, step

TAPE = {"part": "tungsten-tape", "place": "3 and 9", "mass": "2 g", "length": "50 mm"}
GRIP = {"part": "leather", "place": "along the handle"}
OFF = {"part": "cushion", "place": "along the handle"}

# The blank weighs 289.3 g with its cushion grip of 14 g; the tape is 2 g, the leather grip 25 g by the catalogue, the
# strings are predicted at some 14 g.
FIVE = (
    step("check", "289.3 g"),
    step("take off", "275.4 g", removed=[OFF]),
    step("add", "277.3 g", fitted=[TAPE]),
    step("fit", "302.5 g", fitted=[GRIP]),
    step("string", "316.8 g"),
)


def _wrong(at: int, by: float) -> list[dict[str, object]]:
    steps = [dict(one) for one in FIVE]
    read = float(str(steps[at]["readings"][0]["mass"]).split()[0])  # type: ignore[index]
    steps[at]["readings"] = [{"mass": f"{read + by:.1f} g"}]
    return steps


def test_five_readings_that_agree_contradict_nothing(tmp_path: Path) -> None:
    """Readings that go with the stated masses are all kept."""
    known = hand(bench(tmp_path), FIVE).knowledge
    assert len(known.kept) == 5
    assert not known.found


@pytest.mark.parametrize("at", [0, 1, 2, 3])
@pytest.mark.parametrize("by", [3.0, -3.0])
def test_one_of_five_readings_that_is_wrong_by_three_grams_is_found(tmp_path: Path, at: int, by: float) -> None:
    """Held case: the wrong one is named, left out, and what it should have shown is within 0.4 g; the rest is as if it
    had never been read."""
    work = hand(bench(tmp_path), _wrong(at, by))
    (found,) = work.knowledge.found
    assert (found.kind, found.look and found.look.step) == ("reading", at + 1)
    assert found.probability < 0.001
    assert found.look is not None
    expected = work.knowledge.expected(found.look)
    assert expected.value == pytest.approx(found.look.value - by, abs=0.4)
    right = hand(bench(tmp_path), [one if i != at else {**one, "readings": []} for i, one in enumerate(FIVE)])
    assert work.job.known.body.mass().value == pytest.approx(right.job.known.body.mass().value, abs=1e-9)


def test_the_last_reading_is_left_out_until_it_is_read_again(tmp_path: Path) -> None:
    """Strung and read 3 g too heavy, either the reading or the string may be wrong: the reading is asked for again, and
    where it stands, the string is what weighs otherwise."""
    once = hand(bench(tmp_path), _wrong(4, 3.0)).knowledge
    assert [(one.kind, one.look and one.look.step) for one in once.found] == [("reading", 5)]
    steps = _wrong(4, 3.0)
    steps[4]["readings"] = [{"mass": "319.8 g"}, {"mass": "319.8 g"}]
    again = hand(bench(tmp_path), steps)
    assert [one.kind for one in again.knowledge.found] == ["string"]
    assert again.job.measured.body.mass().value == pytest.approx(319.8, abs=0.1)


def test_a_part_that_weighs_otherwise_is_told_from_a_wrong_reading(tmp_path: Path) -> None:
    """Two readings after a grip that is 5 g heavier than stated outweigh the catalogue, and the grip is named."""
    steps = [*FIVE[:3], step("fit", "307.5 g", fitted=[GRIP]), step("string", "321.8 g")]
    work = hand(bench(tmp_path), steps)
    (found,) = work.knowledge.found
    assert (found.kind, found.name) == ("part", "mass of Leather grip, along the handle, near")
    assert work.job.predictor.fitted(work.course.states[-1].parts[-1], "near").mass().value == pytest.approx(
        30, abs=0.3
    )


def test_a_wrong_figure_on_the_blanks_record_is_told_from_wrong_readings(tmp_path: Path) -> None:
    """Where all that is read says that the blank is 3 g heavier than its record, the record is not believed."""
    steps = [
        {**one, "readings": [{"mass": f"{float(str(one['readings'][0]['mass']).split()[0]) + 3:.1f} g"}]}
        for one in FIVE
    ]
    known = hand(bench(tmp_path), steps).knowledge
    assert [one.kind for one in known.found] == ["record"]


def test_the_corrections_are_those_of_least_squares(tmp_path: Path) -> None:
    """Mean and covariance of the finished frame are those of numpy's least squares, with every input's prior as one
    more observation."""
    read = {"mass": "302.5 g", "balance": "313.5 mm", "swingweight": "289 kgcm2"}
    work = hand(bench(tmp_path), [*FIVE[:3], step("fit", read, fitted=[GRIP])])
    known = Knowledge(work.course.looks)
    plain = work.course.known(work.course.done.state).body
    names = sorted({n for look in known.kept for n in look.equation.shifts if n != look.own} | set(plain.shifts))
    own = np.array([look.equation.shifts[look.own] for look in known.kept])
    rows = np.array([[look.equation.shifts.get(name, 0.0) for name in names] for look in known.kept])
    misses = np.array([look.equation.miss for look in known.kept])
    design = np.vstack([rows / own[:, None], np.eye(len(names))])
    found = np.linalg.lstsq(design, np.concatenate([-misses / own, np.zeros(len(names))]), rcond=None)[0]
    turn = _rows(plain, names)
    spread = turn.T @ np.linalg.inv(design.T @ design) @ turn
    body = known.body(plain)
    assert _row(body.moments) == pytest.approx(_row(plain.moments) + found @ turn, rel=1e-9)
    got = _rows(body, sorted(body.shifts))
    assert got.T @ got == pytest.approx(spread, rel=1e-6, abs=1e-9)
    assert body.mass().u < 0.5 * plain.mass().u


def _row(moments: object) -> np.ndarray:
    return np.array([getattr(moments, name) for name in ("m0", "m1", "m2")])


def _rows(body: Body, names: list[str]) -> np.ndarray:
    return np.array([_row(body.shifts[name]) if name in body.shifts else np.zeros(3) for name in names])
