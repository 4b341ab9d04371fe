"""Frames strung in one go: compared at one age, with the odd one named."""

import pytest
from bedshop import LBF, frame, hz, job, shop

from passport.workshop.strings.batches import HIGH_CAUSES, LOW_CAUSES, batch_facts, batches, batches_of, worth_showing
from passport.workshop.strings.beds import BedBook

DAY = 1440.0


def found(tmp_path, *readings: str, mains: str = "reed-125, tension: 50 lb", **options):
    """The batches of frames strung on one day with one reading each."""
    frames = {f"f{i}": frame(job("2026-01-05", text, mains=mains), label=f"F{i}") for i, text in enumerate(readings)}
    content = shop(tmp_path, frames, **options)
    return batches(BedBook(content), content)


def at_15(*amounts: str) -> list[str]:
    """A reading at a quarter of an hour for each frame."""
    return [f"ring: {amount}, age: 15 min" for amount in amounts]


def test_equal_readings_agree(tmp_path):
    """Three frames that read the same have no spread."""
    (batch,) = found(tmp_path, *at_15("600 Hz", "600 Hz", "600 Hz"))
    assert (batch.spread, batch.verdict, batch.odd) == (pytest.approx(0, abs=1e-9), "inside", None)
    assert len(batch.members) == 3
    assert batch.worked_out


@pytest.mark.parametrize(("odd", "below"), [("592 Hz", True), ("608 Hz", False)])
def test_the_odd_one_is_named_with_likely_causes(tmp_path, odd, below):
    """The one frame without which the others agree is the odd one; what to look for depends on the side."""
    (batch,) = found(tmp_path, *at_15("600 Hz", odd, "601 Hz"))
    assert batch.verdict == "outside"
    assert batch.odd.bed.frame == "cy/f1"
    assert (batch.odd_by < 0) == below
    assert batch.causes == (LOW_CAUSES if below else HIGH_CAUSES)


def test_the_spread_is_that_of_the_bed_tensions(tmp_path):
    """The tensions go with the squares of the frequencies (Rayleigh, Theory of Sound I, ch. IX, from memory)."""
    (batch,) = found(tmp_path, *at_15("600 Hz", "590 Hz"))
    high, low = (m.level for m in batch.members)
    assert low / high == pytest.approx((590 / 600) ** 2)
    assert batch.spread == pytest.approx(high - low)


def test_of_two_neither_is_the_odd_one(tmp_path):
    """Two frames that differ cannot tell which of them is wrong."""
    (batch,) = found(tmp_path, *at_15("600 Hz", "590 Hz"))
    assert (batch.verdict, batch.odd, batch.causes) == ("outside", None, ())


def test_where_all_differ_none_is_odd(tmp_path):
    """Where the others do not agree either, nobody is singled out."""
    (batch,) = found(tmp_path, *at_15("600 Hz", "590 Hz", "580 Hz"))
    assert (batch.verdict, batch.odd) == ("outside", None)


def test_readings_of_different_ages_are_brought_to_one(tmp_path):
    """Frames that follow one law of loss agree, though their raw readings are far apart."""
    ages = (15, 60, 240)
    texts = [f"ring: {hz(600, 0.041, age):.0f} Hz, age: {age} min" for age in ages]
    (batch,) = found(tmp_path, *texts)
    raw = [float(text.split()[1]) for text in texts]
    assert max(raw) - min(raw) > 10
    assert batch.age == 60
    assert batch.verdict != "outside"
    assert batch.spread < 0.3 * LBF


def test_pounds_are_compared_as_the_reader_showed_them(tmp_path):
    """0.2 lb within a batch is allowed (common practice, no source); lb and kg of one reader compare."""
    (batch,) = found(tmp_path, *at_15("27.0 lb", "27.2 lb", "12.25 kg"))
    assert not batch.worked_out
    assert batch.members[0].level == pytest.approx(27 * LBF)
    assert (batch.tolerance, batch.verdict) == (pytest.approx(0.2 * LBF), "inside")
    (batch,) = found(tmp_path / "b", *at_15("27.0 lb", "27.0 lb", "26.2 lb"))
    assert (batch.verdict, batch.odd.bed.frame) == ("outside", "cy/f2")
    assert batch.odd_by == pytest.approx(-0.8 * LBF)


def test_hertz_and_pounds_are_never_compared(tmp_path):
    """Of mixed readings those in the unit that more frames were read in are compared, the others stay out."""
    (batch,) = found(tmp_path, *at_15("27.0 lb", "600 Hz", "601 Hz"))
    assert [m.bed.frame for m in batch.members] == ["cy/f1", "cy/f2"]
    assert found(tmp_path / "b", *at_15("27.0 lb", "600 Hz")) == ()


def test_too_close_for_the_last_digit_is_undecided(tmp_path):
    """A spread just over the tolerance that the reader's last digit could have made is not called."""
    (batch,) = found(tmp_path, *at_15("27 lb", "28 lb"))
    assert batch.verdict == "undecided"
    (batch,) = found(tmp_path / "b", *at_15("27.0 lb", "28.0 lb"))
    assert batch.verdict == "outside"


def test_the_workshops_tolerance_counts(tmp_path):
    """A workshop may state its own tolerance for a batch."""
    stated = "tolerances: {batch: 1 lb}\n"
    shown = {"workshop.yaml": "name: Bench\naddress: https://b.example\n" + stated}
    (batch,) = found(tmp_path, *at_15("27.0 lb", "27.9 lb"), changes=shown)
    assert (batch.tolerance, batch.verdict) == (pytest.approx(LBF), "inside")


@pytest.mark.parametrize(
    "other",
    [
        job("2026-01-06", "ring: 600 Hz, age: 15 min"),
        job("2026-01-05", "ring: 600 Hz, age: 15 min", mains="reed-125, tension: 51 lb"),
        job("2026-01-05", "ring: 600 Hz, age: 15 min", mains="reed-125, gauge: 1.30 mm, tension: 50 lb"),
        job("2026-01-05", "ring: 600 Hz, age: 15 min", mains="reed-125, tension: 50 lb, prestretch: 10 %"),
        job("2026-01-05", "ring: 600 Hz, age: 15 min", mains="flint-120, tension: 50 lb"),
        job("2026-01-05"),
        job("2026-01-05", "ring: 600 Hz"),
    ],
    ids=["day", "tension", "gauge", "prestretch", "string", "unread", "no age"],
)
def test_another_recipe_or_day_is_no_batch(tmp_path, other):
    """Only the same job on the same day, read at a known age, is compared."""
    content = shop(tmp_path, {"a": frame(job("2026-01-05", "ring: 600 Hz, age: 15 min")), "b": frame(other)})
    assert batches(BedBook(content), content) == ()


def test_crosses_spelled_out_are_the_same_recipe(tmp_path):
    """Crosses written like the mains are the same as crosses left out."""
    one = job("2026-01-05", "ring: 600 Hz, age: 15 min")
    other = one.replace("50 lb}}", "50 lb}, crosses: {string: reed-125, tension: 50 lb}}")
    assert one != other
    content = shop(tmp_path, {"a": frame(one), "b": frame(other)})
    assert len(batches(BedBook(content), content)) == 1


def test_each_players_frames_are_a_batch_of_their_own(tmp_path):
    """The same job on the same day for another player is no part of a batch: it would show on that player's page."""
    text = frame(job("2026-01-05", "ring: 600 Hz, age: 15 min"))
    content = shop(
        tmp_path, {"a": text}, changes={"players/dee/player.yaml": "name: Dee\n", "players/dee/a.yaml": text}
    )
    assert batches(BedBook(content), content) == ()


def test_only_what_is_still_strung(tmp_path):
    """A batch of which every bed was cut out is left out where only the current ones are asked for."""
    later = job("2026-02-05", mains="flint-120, tension: 50 lb")
    jobs = job("2026-01-05", "ring: 600 Hz, age: 15 min")
    content = shop(tmp_path, {"a": frame(jobs, later), "b": frame(jobs, later)})
    book = BedBook(content)
    assert len(batches(book, content)) == 1
    assert batches(book, content, still_in=True) == ()


def test_facts_name_the_odd_frame_and_until_when(tmp_path):
    """The facts carry what the page and the sheet show: the readings, who is odd, by how much, until when."""
    good, odd = job("2026-01-05", "ring: 600 Hz, age: 15 min"), job("2026-01-05", "ring: 590 Hz, age: 15 min")
    again = job("2026-01-06", "ring: 600 Hz, age: 15 min")
    content = shop(
        tmp_path, {"a": frame(good, label="A"), "b": frame(odd, again, label="B"), "c": frame(good, label="C")}
    )
    facts = [batch_facts(b, content) for b in batches(BedBook(content), content)]
    assert len(facts) == 1
    assert facts[0].odd.label == "B"
    assert [(m.label, m.amount, m.unit, m.age) for m in facts[0].members] == [
        ("A", 600, "Hz", 15),
        ("B", 590, "Hz", 15),
        ("C", 600, "Hz", 15),
    ]
    assert facts[0].odd_until.isoformat() == "2026-01-06"
    assert facts[0].odd_by < -0.2 * LBF
    assert facts[0].causes == LOW_CAUSES


def test_what_a_page_shows(tmp_path):
    """A page shows the newest batch, and of the earlier ones those that did not agree, newest first."""
    days, second = ("2026-01-05", "2026-02-05", "2026-03-05"), ("600 Hz", "590 Hz", "600 Hz")
    jobs = [[job(d, f"ring: {r}, age: 15 min") for d, r in zip(days, rings, strict=True)] for rings in
            (("600 Hz",) * 3, second)]  # fmt: skip
    content = shop(tmp_path, {"a": frame(*jobs[0]), "b": frame(*jobs[1])})
    all_of_them = batches(BedBook(content), content)
    assert [b.day.month for b in all_of_them] == [1, 2, 3]
    shown = worth_showing(all_of_them, {"cy/a", "cy/b"}, past=True)
    assert [b.day.month for b in shown] == [3, 2]
    assert [b.day.month for b in worth_showing(all_of_them, {"cy/a", "cy/b"}, past=False)] == [3]
    assert worth_showing(all_of_them, {"cy/a"}, past=True) == ()


def test_the_demo_has_one_odd_frame(demo_content):
    """Of all frames strung in one go in the demo one did not belong: a clamp had slipped, and it was strung again."""
    odd = [b for b in batches(BedBook(demo_content), demo_content) if b.verdict != "inside"]
    assert [(b.day.isoformat(), b.odd.bed.frame, b.odd_by < 0) for b in odd] == [("2025-07-03", "askwell/ii", True)]
    note = next(j for j in demo_content.frames["askwell/ii"].record.jobs if j.date == odd[0].day).note
    assert "clamp had slipped" in note
    assert LOW_CAUSES[0] == "a clamp that slipped"


def test_what_a_sheet_says(demo_content):
    """A sheet for the demo's set has its newest batch, then the one that did not agree."""
    found = batches_of(demo_content, ["askwell/i", "askwell/ii", "askwell/iii"])
    assert [(b.day.isoformat(), b.verdict) for b in found] == [("2026-11-12", "inside"), ("2025-07-03", "outside")]
    assert batches_of(demo_content, ["askwell/i"]) == ()
