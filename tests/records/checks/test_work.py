"""The work itself: removals, stringing, string bed readings, and the build against the mass that was gained."""

from pathlib import Path

import pytest
from overlay import checked, rules, third, underlined

from passport.records.faults import Fault


def _strings(text: str) -> str:
    return f"jobs: [{{date: 2026-05-01, strings: {{{text}}}}}]\n"


MAINS = "mains: {string: reed-125, tension: 24 kg}"
CROSSES = "crosses: {string: flint-120, tension: 23 kg}"


@pytest.mark.parametrize(
    "text",
    [
        MAINS,
        f"{MAINS}, pieces: 2",
        f"{MAINS}, pieces: 2, knots: 4",
        f"{MAINS}, pieces: 1, knots: 2",
        f"{MAINS}, crosses: {{string: reed-125, tension: 23 kg}}",
        f"{MAINS}, {CROSSES}, pieces: 2",
        f"{MAINS}, {CROSSES}",
        f"{MAINS}, knots: 4",
        f"{MAINS}, pieces: unknown, knots: unknown, mains_start: unknown",
    ],
)
def test_pieces_that_fit_together(tmp_path: Path, text: str) -> None:
    """One piece and two knots, two pieces and four; two pieces have four without being told."""
    assert third(tmp_path, _strings(text)) == []


@pytest.mark.parametrize(
    ("text", "under"),
    [
        (f"{MAINS}, {CROSSES}, pieces: 1", "1"),
        (f"{MAINS}, pieces: 2, knots: 2", "2"),
        (f"{MAINS}, pieces: 2, knots: 3", "3"),
        (f"{MAINS}, pieces: 1, knots: 4", "4"),
    ],
)
def test_pieces_that_do_not(tmp_path: Path, text: str, under: str) -> None:
    """Two different strings are two pieces, and every end has its knot."""
    (fault,) = third(tmp_path, _strings(text))
    assert (fault.rule, underlined(fault)) == ("pieces", under)


def test_what_is_removed_was_on_the_frame(tmp_path: Path) -> None:
    """A removal that fits the history is no fault; a second one of the same part is."""
    text = """\
        build: {part: lead-tape, place: 3 and 9, mass: 2 g}
        jobs:
          - {date: 2026-05-01, removed: {part: lead-tape, place: 9 & 3}}
          - {date: 2026-06-01, removed: {part: lead-tape, place: 3 and 9}}
    """
    (fault,) = third(tmp_path, text)
    assert (fault.rule, fault.place.line) == ("not-fitted", 6)
    assert "On it: nothing." in fault.what


def test_the_fault_says_what_is_on_the_frame(tmp_path: Path) -> None:
    """Who looks for the right place finds it in the message."""
    (fault,) = third(
        tmp_path,
        "build: {part: lead-tape, place: 12, mass: 2 g}\njobs: [{date: 2026-05-01, removed: {part: lead-tape, place: throat}}]\n",
    )
    assert "On it: lead-tape at 12." in fault.what


@pytest.mark.parametrize(
    ("reading", "count"),
    [
        ("ring: 580 Hz", 1),
        ("ring: 580 Hz, age: 15 min", 0),
        ("ring: 580 Hz, when: before", 0),
        ("mass: 330 g", 0),
    ],
)
def test_a_reading_of_fresh_strings_needs_its_age(tmp_path: Path, reading: str, count: int) -> None:
    """Only a bed that was strung in this very job loses tension by the minute."""
    faults = third(tmp_path, f"jobs: [{{date: 2026-05-01, strings: {{{MAINS}}}, readings: [{{{reading}}}]}}]\n")
    assert rules(faults) == ["no-age"] * count
    assert all(fault.severity == "warning" for fault in faults)


def test_a_reading_without_restringing_needs_no_age(tmp_path: Path) -> None:
    """A bed of some weeks is dated by its job."""
    assert third(tmp_path, "jobs: [{date: 2026-05-01, readings: [{ring: 560 Hz}]}]\n") == []


def _gain(tmp_path: Path, *jobs: str, build: str = "") -> list[Fault]:
    lines = [f"  - {{date: 2026-{i + 1:02d}-01, {job}}}\n" for i, job in enumerate(jobs)]
    return third(tmp_path, f"{build}jobs:\n{''.join(lines)}")


TAPE = "fitted: [{part: lead-tape, place: 12, length: 40 mm}]"  # 4 g of the workshop's 100 g/m tape


@pytest.mark.parametrize(("after", "count"), [("314 g", 0), ("313 g", 0), ("312.9 g", 1), ("310 g", 1), ("320 g", 0)])
def test_the_build_weighs_no_more_than_the_frame_gained(tmp_path: Path, after: str, count: int) -> None:
    """4 g of tape must be seen on the scale, within the workshop's tolerance of 1 g; what else came on is not asked."""
    faults = _gain(
        tmp_path, "readings: [{state: bare, mass: 310 g}]", f"{TAPE}, readings: [{{state: bare, mass: {after}}}]"
    )
    assert rules(faults) == ["build-over-gain"] * count
    assert all((fault.severity, underlined(fault)) == ("warning", after) for fault in faults)


def test_before_and_after_in_one_job(tmp_path: Path) -> None:
    """A job with a reading before and one after its work is judged by itself, in whichever order they are written."""
    readings = "readings: [{state: bare, mass: 310 g}, {when: before, state: bare, mass: 310 g}]"
    (fault,) = _gain(tmp_path, f"{TAPE}, {readings}")
    assert fault.what == "Since 2026-01-01 parts of 4.0 g came on, but the frame gained nothing."


def test_a_part_that_came_off(tmp_path: Path) -> None:
    """A frame that loses more than the parts that were taken off has lost something else."""
    build = "build: {part: lead-tape, place: 12, length: 40 mm}\n"
    off = "removed: {part: lead-tape, place: 12}"
    first, last = "readings: [{state: bare, mass: 314 g}]", "readings: [{{state: bare, mass: {}}}]"
    assert _gain(tmp_path / "sound", first, f"{off}, {last.format('310 g')}", build=build) == []
    (fault,) = _gain(tmp_path / "lost", first, f"{off}, {last.format('307 g')}", build=build)
    assert fault.what == "Since 2026-01-01 parts of 4.0 g came off, but the frame lost 7.0 g."


def test_bare_and_strung_readings_are_followed_apart(tmp_path: Path) -> None:
    """Cutting the strings out is no loss of parts: the strings outside the head are in no claim."""
    strung = f"strings: {{{MAINS}}}, readings: [{{mass: 330 g}}]"
    assert _gain(tmp_path, strung, "readings: [{when: before, state: bare, mass: 311 g}]") == []


def test_an_overgrip_left_off_is_not_missed(tmp_path: Path) -> None:
    """A reading without the overgrip is compared with what was really on the frame."""
    build = "build: {part: thin-overgrip, place: along the handle}\n"
    with_it, without = (
        "readings: [{state: bare, mass: 315 g}]",
        "readings: [{state: bare, without: overgrip, mass: 310 g}]",
    )
    assert _gain(tmp_path, with_it, without, with_it, build=build) == []


def test_nothing_is_claimed_where_a_mass_is_unknown(tmp_path: Path) -> None:
    """A part of unknown mass makes no claim, so there is nothing to contradict."""
    unknown = "fitted: [{part: lead-tape, place: 12}]"
    assert (
        _gain(
            tmp_path, "readings: [{state: bare, mass: 310 g}]", f"{unknown}, readings: [{{state: bare, mass: 310 g}}]"
        )
        == []
    )


def test_the_workshops_tolerance_counts(tmp_path: Path) -> None:
    """A workshop with a finer scale asks more."""
    shop = "name: A\naddress: https://a.example\ntolerances: {mass: 0.2 g}\n"
    frame = f"model: larch-98\nlabel: T\njobs:\n  - {{date: 2026-01-01, readings: [{{state: bare, mass: 310 g}}]}}\n  - {{date: 2026-02-01, {TAPE}, readings: [{{state: bare, mass: 313.5 g}}]}}\n"
    assert rules(checked(tmp_path / "coarse", {"players/ines/third.yaml": frame})[1]) == []
    _, faults = checked(tmp_path / "fine", {"players/ines/third.yaml": frame, "workshop.yaml": shop})
    assert rules(faults) == ["build-over-gain"]


@pytest.mark.parametrize(("mass", "found"), [("313.1 g", 0), ("312.9 g", 1)])
def test_without_a_workshop_a_gramme_is_let_pass(tmp_path: Path, mass: str, found: int) -> None:
    """Where the workshop's own record cannot be read, 4.0 g of tape may be 1.0 g more than was gained, and no more."""
    job = f"{{date: 2026-02-01, {TAPE}, readings: [{{state: bare, mass: {mass}}}]}}"
    frame = f"model: larch-98\nlabel: T\njobs:\n  - {{date: 2026-01-01, readings: [{{state: bare, mass: 310 g}}]}}\n  - {job}\n"
    _, faults = checked(tmp_path, {"players/ines/third.yaml": frame, "workshop.yaml": "nome: A\n"})
    assert rules(faults).count("build-over-gain") == found
