"""What is on a frame before and after each job, from the jobs alone."""

from itertools import pairwise
from typing import Any

import pytest

from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Fitted, Frame
from passport.records.timeline import Holding, not_fitted, now, steps

PARTS = {
    name: Part.model_validate({"kind": kind, "name": name})
    for name, kind in {
        "tape": "tape",
        "heavy-tape": "tape",
        "putty": "putty",
        "thin": "overgrip",
        "thick": "overgrip",
        "leather": "base grip",
        "rubber": "base grip",
        "sleeve": "sleeve",
        "guard": "bumper",
        "button": "damper",
        "worm": "damper",
        "savers": "string savers",
    }.items()
}


def _frame(*jobs: dict[str, Any], build: tuple[tuple[str, str], ...] = ()) -> Frame:
    dated = [{"date": f"2026-{i + 1:02d}-01", **job} for i, job in enumerate(jobs)]
    return Frame.model_validate({"model": "m", "label": "l", "build": _parts(*build), "jobs": dated})


def _parts(*pairs: tuple[str, str]) -> list[dict[str, str]]:
    return [{"part": part, "place": place} for part, place in pairs]


def _on(parts: tuple[Fitted, ...]) -> list[tuple[str, str]]:
    return [(p.part, p.place.text) for p in parts]


def test_a_frame_without_jobs_has_its_first_build() -> None:
    """What a frame had on when it first came in is on it until a job says otherwise."""
    frame = _frame(build=(("tape", "12"),))
    assert steps(frame, PARTS) == ()
    assert _on(now(frame, PARTS).parts) == [("tape", "12")]


def test_fitted_parts_stay_until_they_are_removed() -> None:
    """A part is on the frame from the job that fits it to the job that removes it."""
    frame = _frame(
        {"fitted": _parts(("tape", "3 and 9"))}, {"note": "x"}, {"removed": _parts(("tape", "3 and 9"))}, {"note": "x"}
    )
    assert [len(step.after.parts) for step in steps(frame, PARTS)] == [1, 1, 0, 0]
    assert [len(step.before.parts) for step in steps(frame, PARTS)] == [0, 1, 1, 0]


def test_before_each_job_is_after_the_one_before() -> None:
    """Steps follow each other without a gap, and the last is what holds now."""
    frame = _frame({"fitted": _parts(("tape", "12"))}, {"fitted": _parts(("thin", "along the handle"))}, {})
    done = steps(frame, PARTS)
    assert all(one.after == two.before for one, two in pairwise(done))
    assert now(frame, PARTS) == done[-1].after
    assert [step.index for step in done] == [0, 1, 2]


def test_a_place_is_the_same_in_another_spelling() -> None:
    """What was fitted at '3 and 9' is removed at '9 & 3', and replaced there too."""
    frame = _frame({"fitted": _parts(("tape", "3 and 9"))}, {"removed": _parts(("tape", "9 & 3"))})
    assert now(frame, PARTS).parts == ()
    again = _frame({"fitted": _parts(("tape", "3 and 9"))}, {"fitted": _parts(("tape", "9 & 3"))})
    assert _on(now(again, PARTS).parts) == [("tape", "9 & 3")]


@pytest.mark.parametrize(
    ("old", "new", "stays"),
    [
        (("leather", "along the handle"), ("rubber", "along the handle"), False),
        (("sleeve", "along the handle"), ("sleeve", "top of the handle"), False),
        (("guard", "12"), ("guard", "under the bumper"), False),
        (("thin", "along the handle"), ("thin", "along the handle"), False),
        (("thin", "along the handle"), ("thick", "along the handle"), True),
        (("tape", "12"), ("tape", "3 and 9"), True),
        (("tape", "12"), ("heavy-tape", "12"), True),
        (("tape", "12"), ("unheard-of", "12"), True),
        (("leather", "along the handle"), ("thin", "along the handle"), True),
    ],
)
def test_what_gives_way(old: tuple[str, str], new: tuple[str, str], stays: bool) -> None:
    """A frame has one base grip, sleeve, butt cap, bumper and set of grommets; else only the same part gives way."""
    frame = _frame({"fitted": _parts(old)}, {"fitted": _parts(new)})
    assert _on(now(frame, PARTS).parts) == ([old, new] if stays else [new])


def test_two_layers_fitted_in_one_job_stay_together() -> None:
    """Two strips of one tape at one place in one job are two strips."""
    frame = _frame({"fitted": _parts(("tape", "12"), ("tape", "12"))}, {})
    assert _on(now(frame, PARTS).parts) == [("tape", "12"), ("tape", "12")]
    gone = _frame({"fitted": _parts(("tape", "12"), ("tape", "12"))}, {"removed": _parts(("tape", "12"))})
    assert now(gone, PARTS).parts == ()


def test_removed_and_fitted_in_one_job() -> None:
    """What a job takes off goes before what it puts on, so a part can be renewed in one job."""
    frame = _frame(
        {"fitted": _parts(("tape", "12"))}, {"removed": _parts(("tape", "12")), "fitted": _parts(("tape", "12"))}
    )
    assert _on(now(frame, PARTS).parts) == [("tape", "12")]


def test_strings_and_their_date_hold_until_the_next_ones() -> None:
    """The stringing in the frame is that of the last job that strung it."""
    first = {"strings": {"mains": {"string": "a", "tension": "24 kg"}}}
    second = {"strings": {"mains": {"string": "b", "tension": "25 kg"}}}
    done = steps(_frame(first, {}, second), PARTS)
    names = [step.after.stringing.mains.string if step.after.stringing else None for step in done]
    assert names == ["a", "a", "b"]
    assert [step.after.strung_on for step in done] == [done[0].job.date, done[0].job.date, done[2].job.date]
    assert done[0].before == Holding()


def test_a_stencil_goes_with_the_strings_it_is_inked_on() -> None:
    """Ink stays until the strings are cut out; new strings are plain unless they are inked too."""
    strung = {"strings": {"mains": {"string": "a", "tension": "24 kg"}}}
    ink = {"stencil": {"shape": "wave", "ink": "white"}}
    done = steps(_frame({**strung, **ink}, {}, strung, ink), PARTS)
    assert [step.after.stencil.shape if step.after.stencil else None for step in done] == ["wave", "wave", None, "wave"]


def test_removals_of_what_was_not_there_are_named() -> None:
    """A removal that names another part or place is returned with its index."""
    frame = _frame(
        {"fitted": _parts(("tape", "12"))}, {"removed": _parts(("tape", "12"), ("tape", "3 and 9"), ("putty", "12"))}
    )
    found = [(i, removed.part) for i, removed in not_fitted(steps(frame, PARTS)[1])]
    assert found == [(1, "tape"), (2, "putty")]


def test_savers_go_with_the_strings() -> None:
    """String savers fall when the strings are cut; a damper stays, and another one takes its place."""
    strings = {"mains": {"string": "s", "tension": "50 lb"}}
    put = _parts(("savers", "on the string bed"), ("button", "between the mains"))
    again = {"strings": strings, "fitted": _parts(("savers", "on the string bed"))}
    frame = _frame({"fitted": put}, {"strings": strings}, again, {"fitted": _parts(("worm", "between the mains"))})
    on = [[part for part, _ in _on(step.after.parts)] for step in steps(frame, PARTS)]
    assert on == [["savers", "button"], ["button"], ["button", "savers"], ["savers", "worm"]]


def test_the_handle_is_known_until_something_else_goes_on() -> None:
    """Each job says what it measured; another sleeve or grip makes a measured handle untrue, a like overgrip does not."""
    grips = (("leather", "along the handle"), ("thin", "along the handle"))
    first = {
        "fitted": _parts(*grips),
        "handle": {"circumference": "112 mm", "over": "overgrip", "wound": "left-handed"},
    }
    fresh = {"fitted": _parts(("thin", "along the handle"))}
    other = {"fitted": _parts(("thick", "along the handle")), "removed": _parts(("thin", "along the handle"))}
    sleeve = {"fitted": _parts(("sleeve", "along the handle")), "handle": {"sleeves": 1}}
    frame = _frame(first, fresh, other, sleeve, {"note": "x"}, {"removed": _parts(("sleeve", "along the handle"))})
    known = [{k: str(getattr(v, "text", v)) for k, v in step.after.handle if v} for step in steps(frame, PARTS)]
    both = {"circumference": "112 mm", "over": "overgrip", "wound": "left-handed"}
    assert known == [both, both, {}, {"sleeves": "1"}, {"sleeves": "1"}, {}]


def test_what_was_measured_over_the_base_grip_stays_with_it() -> None:
    """Another overgrip does not touch what lies under it."""
    first = {"fitted": _parts(("thin", "along the handle")), "handle": {"circumference": "108 mm", "over": "base grip"}}
    other = {"fitted": _parts(("thick", "along the handle")), "removed": _parts(("thin", "along the handle"))}
    frame = _frame(
        first, other, {"handle": {"circumference": "110 mm"}}, {"fitted": _parts(("rubber", "along the handle"))}
    )
    known = [{k: str(getattr(v, "text", v)) for k, v in step.after.handle if v} for step in steps(frame, PARTS)]
    over_grip = {"circumference": "108 mm", "over": "base grip"}
    assert known == [over_grip, over_grip, {"circumference": "110 mm"}, {}]
