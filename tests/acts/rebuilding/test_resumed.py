"""What is said of a rebuild under way: into the blank's record, and refused with all that is wrong in one go."""

from datetime import date
from functools import partial
from pathlib import Path

import pytest

from passport.acts.change import Base, base_of
from passport.acts.rebuilding.resumed import Heard, abandoned, noted, under_work, work_in_hand
from passport.acts.refused import Misused, Refused
from passport.workshop.rebuild.subject import Workbench
from tests.support.benchwork import BLANK, FRAME, bench

DAY = date(2026, 11, 25)
FILE = f"blanks/{BLANK}.yaml"


@pytest.fixture
def base(tmp_path: Path) -> Base:
    """The workshop with nothing begun."""
    bench(tmp_path)
    return base_of(tmp_path)


def _note(base: Base, heard: Heard) -> Base:
    text = noted(
        base,
        frame=FRAME,
        blank=BLANK,
        heard=heard,
        bench_of=partial(Workbench, today=DAY, cut=5.0),
    ).files[FILE]
    (base.records.root / FILE).write_text(text or "", encoding="utf-8")
    return base_of(base.records.root)


def test_steps_and_readings_stand_in_the_blanks_record(base: Base) -> None:
    """What is read after a step says that all up to it was done as planned; other lines stay as they were."""
    before = (base.records.root / FILE).read_text()
    after = _note(base, Heard(read=("1: 289.4 327.5 284", "2: 275.2")))
    text = (base.records.root / FILE).read_text()
    assert text.startswith(before)
    assert text[len(before) :] == (
        "rebuild:\n  frame: 1001-5\n  steps:\n"
        "    - date: 2026-11-25\n      did: check\n      readings:\n"
        "        - {mass: 289.4 g, balance: 327.5 mm, swingweight: 284 kgcm2}\n"
        "    - date: 2026-11-25\n      did: take off\n      removed:\n"
        "        - {part: cushion, place: along the handle}\n      readings:\n        - {mass: 275.2 g}\n"
    )
    work = after.records.blanks[BLANK].record.rebuild
    assert work is not None
    assert [step.did for step in work.steps] == ["check", "take off"]


def test_a_reading_is_repeated_and_a_step_done_otherwise(base: Base) -> None:
    """A second reading of a step stands beside the first; a part goes by its name in the catalogue, however it is called."""
    one = _note(base, Heard(read=("1: 292.4",)))
    two = _note(one, Heard(read=("1: 289.4",), upto=5))
    add = next(n for n, stage in work_in_hand(Workbench(two.records, DAY), FRAME, BLANK).ahead if stage.kind == "add")
    three = _note(two, Heard(did=(f"{add}: Tungsten tape @ under the bumper = 2.4 g [120 mm]",)))
    work = three.records.blanks[BLANK].record.rebuild
    assert work is not None
    assert [r.mass and r.mass.text for r in work.steps[0].readings] == ["292.4 g", "289.4 g"]
    (fitted,) = work.steps[add - 1].fitted
    assert (fitted.part, fitted.mass and fitted.mass.text) == ("tungsten-tape", "2.4 g")


def test_a_part_weighed_beforehand_is_fitted_with_that_mass(base: Base) -> None:
    """What was on the scale is taken for that part from then on."""
    ahead = work_in_hand(Workbench(base.records, DAY), FRAME, BLANK).ahead
    fit = next(n for n, stage in ahead if stage.kind == "fit")
    after = _note(base, Heard(weighed=(f"{fit}: 25.7",)))
    stages = dict(work_in_hand(Workbench(after.records, DAY), FRAME, BLANK).ahead)
    assert [s.piece.mass_g for s in stages.values() if s.piece and s.piece.part == "leather"] == [25.7]


def test_all_that_cannot_be_is_said_in_one_go(base: Base) -> None:
    """Steps that are not there, parts that cannot be weighed, readings of nothing: each named, nothing noted."""
    heard = Heard(read=("heavy", "4: 12 34 56 78"), did=("6: tape",))
    with pytest.raises(Misused) as refused:
        noted(
            base,
            frame=FRAME,
            blank=BLANK,
            heard=heard,
            bench_of=partial(Workbench, today=DAY, cut=5.0),
        )
    assert [line.split(":")[0].strip() for line in str(refused.value).splitlines()] == ["--read", "--read", "--did"]
    heard = Heard(read=("99: 300", "5: 300"), did=("10: leather @ along the handle",), weighed=("1: 3 g",), upto=77)
    with pytest.raises(Misused) as refused:
        noted(
            base,
            frame=FRAME,
            blank=BLANK,
            heard=heard,
            bench_of=partial(Workbench, today=DAY, cut=5.0),
        )
    said = str(refused.value)
    assert "there is no step 99" in said
    assert "there is no step 77" in said
    assert "step 1 fits no part" in said
    assert "step 10 puts nothing on" in said
    assert "nothing is read after step 5" in said


def test_a_blank_under_work_for_another_frame_is_refused(base: Base) -> None:
    """It names the frame, and how to forget the work."""
    path = base.records.root / FILE
    path.write_text(path.read_text() + "rebuild:\n  frame: 1002-3\n  steps:\n    - {date: 2026-11-25, did: check}\n")
    records = base_of(base.records.root).records
    with pytest.raises(Refused, match=r"(?s)being built for 1002-3.*--abandon"):
        work_in_hand(Workbench(records, DAY), FRAME, BLANK)
    assert under_work(records, [BLANK]) == ["'near' is being built for 1002-3 (1 step done): --resume goes on with it."]


def test_work_that_is_given_up_leaves_the_record_as_it_was(base: Base) -> None:
    """Abandoned, nothing of it is left; there must be some."""
    before = (base.records.root / FILE).read_text()
    after = _note(base, Heard(upto=2))
    assert abandoned(after, frame=FRAME, blank=BLANK).files == {FILE: before}
    with pytest.raises(Refused, match="Nothing is noted"):
        abandoned(base, frame=FRAME, blank=BLANK)


def test_what_cannot_be_worked_out_is_refused(tmp_path: Path) -> None:
    """A blank of another sport, and one that nobody weighed, end with what to do, not in the middle."""
    wren = "model: wren-5\nreadings:\n  - {state: bare, mass: 82 g, balance: 295 mm, swingweight: 80 kgcm2}\n"
    bench(tmp_path, blanks={"near": "mass: 289.3 g, balance: 327.6 mm", "wren": wren})
    base = base_of(tmp_path)
    with pytest.raises(Refused, match="another sport"):
        noted(base, frame=FRAME, blank="wren", heard=Heard(upto=1), bench_of=partial(Workbench, today=DAY, cut=5.0))
    with pytest.raises(Refused, match=r"(?s)no swingweight of near.*Measure it"):
        noted(base, frame=FRAME, blank=BLANK, heard=Heard(upto=1), bench_of=partial(Workbench, today=DAY, cut=5.0))
