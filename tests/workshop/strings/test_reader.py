"""The reader of string beds: its checks correct, its repeatability is one figure, and what is common cancels."""

import math
import random
from datetime import date

import pytest
from bedshop import LBF, frame, job, shop
from smallshop import FILES

from passport.physics.ageing import READING_U
from passport.records.schema.frame import Stringing
from passport.records.schema.quantities import RING, parse
from passport.records.schema.workshop import Instrument
from passport.workshop.strings.batches import Batch, Member, batches, judged
from passport.workshop.strings.beds import Bed, BedBook, Ring
from passport.workshop.strings.life import bed_life
from passport.workshop.strings.reader import UNCHECKED_U, BedReader, ReaderCorrection

DAY = date(2026, 1, 5)


def reader(*checks: tuple[str, str, str], resolution: str = "1 Hz", repeatability: str | None = None) -> BedReader:
    """A reader with checks: day, what was known, what it read."""
    lines = [{"date": date.fromisoformat(day), "known": known, "reads": reads} for day, known, reads in checks]
    record = {"kind": "ring reader", "name": "Reader", "resolution": resolution, "checks": lines}
    return BedReader(Instrument.model_validate(record | ({"repeatability": repeatability} if repeatability else {})))


def seen(found: BedReader, text: str, day: date = DAY) -> ReaderCorrection:
    """What is known of the reader when it showed something."""
    return found.correction(parse(text, RING), day)


def test_a_fork_corrects_hertz():
    """A reader that shows 444 Hz for a fork of 440 Hz reads 0.9 % high, from the day of the check on."""
    found = reader(("2026-01-02", "440.0 Hz", "444 Hz"))
    assert seen(found, "585 Hz").factor == pytest.approx(440 / 444)
    assert seen(found, "585 Hz", date(2026, 1, 1)) == ReaderCorrection(
        1.0, UNCHECKED_U, seen(found, "585 Hz").digits, READING_U, None
    )
    assert seen(found, "52 lb").factor == 1


def test_a_reference_bed_corrects_what_is_shown_in_pounds_and_kilogrammes():
    """A bed kept as a reference corrects readings in any unit of tension, and none in Hz."""
    found = reader(("2026-01-02", "50.0 lb", "51.0 lb"), resolution="0.1 lb")
    assert seen(found, "52.0 lb").factor == pytest.approx(50 / 51)
    assert seen(found, "23.5 kg").factor == pytest.approx(50 / 51)
    assert seen(found, "585 Hz").factor == 1
    kilos = reader(("2026-01-02", "22.0 kg", "22.4 kg"), resolution="0.1 kg")
    assert seen(kilos, "52.0 lb").factor == pytest.approx(22 / 22.4)


def test_a_check_is_as_sure_as_digits_and_repeatability_make_it():
    """u of the factor by JCGM 100, F.2.4.5 and 4.3.7: digits of the known pitch, of the display, and one repetition."""
    found = reader(("2026-01-02", "440 Hz", "440 Hz"), repeatability="0.5 Hz")
    digit = 1 / math.sqrt(12) / 440
    assert seen(found, "585 Hz").u == pytest.approx(2 * math.hypot(digit, digit, 0.5 / 440))
    assert seen(found, "500 Hz").repeatability == pytest.approx(2 * 0.5 / 500)
    assert seen(found, "52 lb").repeatability == READING_U


def test_a_coarse_display_limits_more_than_the_digits_written():
    """A display in steps of 5 Hz leaves 5/√12 Hz (JCGM 100, F.2.2.1), however the reading is written."""
    assert seen(reader(resolution="5 Hz"), "585 Hz").digits == pytest.approx(2 * 5 / math.sqrt(12) / 585)


def test_what_is_common_cancels():
    """One check corrects two readings alike: nothing of it stands between them; two checks leave both their parts."""
    found = reader(("2026-01-02", "440 Hz", "444 Hz"), ("2026-03-02", "440 Hz", "442 Hz"))
    one, same, other = (seen(found, "585 Hz", day) for day in (DAY, date(2026, 2, 1), date(2026, 4, 1)))
    assert one.apart(same) == 0
    assert one.apart(other) == pytest.approx(math.hypot(one.u, other.u))


WORKSHOP = FILES["workshop.yaml"].replace("private_note", """\
  - kind: ring reader
    name: Reader
    resolution: 1 Hz
    checks: [{date: 2025-12-01, known: 440.0 Hz, reads: 444 Hz}]
private_note""")  # fmt: skip


def test_a_correction_reaches_the_bed_tension(tmp_path):
    """A reader 0.9 % high in Hz makes the bed tension 1.8 % high, since the tension goes with the square; what is left
    of the fresh tension is the same."""
    jobs = (job("2026-01-05", "ring: 600 Hz, age: 15 min"), job("2026-02-04", "ring: 570 Hz, age: 30 d", strung=False))
    plain, checked = (
        BedBook(shop(tmp_path / name, {"one": frame(*jobs)}, changes=changes))
        for name, changes in (("a", {}), ("b", {"workshop.yaml": WORKSHOP}))
    )
    lives = [bed_life(book.current("cy/one"), book) for book in (plain, checked)]
    assert lives[1].held.mains / lives[0].held.mains == pytest.approx((440 / 444) ** 2)
    assert lives[1].held.hz == pytest.approx(570 * 440 / 444)
    assert lives[1].rate == pytest.approx(lives[0].rate)
    assert [p.amount for p in lives[1].points] == [600, 570]


_BED = Bed("cy/f", 0, DAY, None, Stringing.model_validate({"mains": {"string": "reed-125", "tension": "50 lb"}}))


def simulated(dice: random.Random, step: float, repeatability: float, low: float = 0.0, frames: int = 3) -> Batch:
    """Frames that hold 50 lb, one of them ``low`` lb less, as a reader shows them; lb throughout."""
    truth = 50 + dice.random()  # where a step begins is chance
    shown = [
        round((truth - (low if i == 1 else 0) + dice.gauss(0, repeatability)) / step) * step for i in range(frames)
    ]
    members = []
    for amount in shown:
        digits = step / math.sqrt(12) / amount
        correction = ReaderCorrection(digits=digits, repeatability=repeatability / amount)
        u = amount * LBF * math.hypot(digits, correction.repeatability)
        ring = Ring(DAY, parse(f"{amount:.3f} lb", RING), 15.0, False, 0, 0, correction)
        members.append(Member(_BED, ring, amount * LBF, u))
    return judged(members, 15.0, 0.2 * LBF)


READERS = [(0.1, 0.05), (0.1, 0.1), (0.1, 0.2), (0.1, 0.4), (0.5, 0.1), (1.0, 0.1), (0.02, 0.1)]


@pytest.mark.parametrize("frames", [2, 3, 5])
@pytest.mark.parametrize(("step", "repeatability"), READERS)
def test_equal_frames_are_hardly_questioned(step, repeatability, frames):
    """Of 1,000 batches of equal frames at most 5 % (and three deviations of the count) are called uneven."""
    dice = random.Random(f"equal {step} {repeatability}")
    odd = sum(simulated(dice, step, repeatability, frames=frames).verdict == "outside" for _ in range(1000))
    assert odd <= 1000 * 0.05 + 3 * math.sqrt(1000 * 0.05 * 0.95)


@pytest.mark.parametrize(("step", "repeatability"), READERS)
def test_a_low_frame_is_found_where_it_says_so(step, repeatability):
    """A frame as low as the batch says that it finds is found in 95 % (less three deviations of the count) of 1,000."""
    dice = random.Random(f"low {step} {repeatability}")
    finds = simulated(dice, step, repeatability).finds / LBF
    found = [simulated(dice, step, repeatability, finds) for _ in range(1000)]
    assert sum(b.verdict == "outside" for b in found) >= 1000 * 0.95 - 3 * math.sqrt(1000 * 0.05 * 0.95)
    named = sum(b.odd is not None and b.odd is b.members[1] and b.odd_by < 0 for b in found)
    assert named >= 1000 * 0.95**2 - 3 * math.sqrt(1000 * 0.95 * 0.05)  # the two others are held against each other


def test_half_a_pound_is_found_where_the_reader_allows_it():
    """A reader that repeats within 0.08 lb at 50 lb finds a frame 0.5 lb low; one of 0.2 lb says that it finds 1.1 lb."""
    dice = random.Random("half a pound")
    assert simulated(dice, 0.1, 0.08).finds <= 0.5 * LBF
    found = sum(simulated(dice, 0.1, 0.08, 0.5).verdict == "outside" for _ in range(1000))
    assert found >= 1000 * 0.95 - 3 * math.sqrt(1000 * 0.05 * 0.95)
    assert simulated(dice, 0.1, 0.2).finds == pytest.approx(1.05 * LBF, rel=0.05)


def test_frames_of_one_batch_share_the_check(tmp_path):
    """What a check leaves open does not make three frames read under it less comparable."""
    frames = {f"f{i}": frame(job("2026-01-05", "ring: 600.0 Hz, age: 15 min"), label=f"F{i}") for i in range(3)}
    content = shop(tmp_path, frames, changes={"workshop.yaml": WORKSHOP})
    (batch,) = batches(BedBook(content), content)
    levels = {m.level for m in batch.members}
    assert len(levels) == 1
    assert batch.members[0].u / batch.members[0].level == pytest.approx(
        math.hypot(2 / 600 / math.sqrt(12), READING_U), rel=1e-6
    )
