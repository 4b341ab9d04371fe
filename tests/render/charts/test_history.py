"""The history: steps for tensions as set, both units, years or dates, a band for the swingweight's target."""

import re
import xml.etree.ElementTree as ET
from datetime import date
from itertools import pairwise

import pytest

from passport.render.charts.history import WIDTH, HistoryPoint, SwingTarget, decimal_text, history_chart
from passport.render.charts.labels import ChartWords
from passport.render.charts.plot import text_width
from passport.render.theme.palette import CSS_PAINT

LBF = 4.4482216152605  # N, exact: NIST Special Publication 811, appendix B


def point(year: int, month: int, mains: float | None, crosses: float | None, swing: float | None) -> HistoryPoint:
    """A job on the fifth of a month, tensions in lb."""
    day = date(year, month, 5)
    tensions = [None if t is None else t * LBF for t in (mains, crosses)]
    return HistoryPoint(day, day.strftime("%d.%m."), tensions[0], tensions[1], swing)


JOBS = (
    point(2022, 3, 25, 24, 161.5),
    point(2023, 3, 26, 25, None),
    point(2024, 3, 28, 25, 164.0),
)


def chart(points: tuple[HistoryPoint, ...], **options) -> list[ET.Element]:
    """The elements of a history."""
    return list(ET.fromstring(history_chart(points, key="k", paint=CSS_PAINT, **options)))


def texts(found: list[ET.Element]) -> list[str]:
    """All text in the picture."""
    return [e.text or "" for e in found if e.tag.endswith("}text")]


def corners(found: list[ET.Element], ink: str) -> list[tuple[float, float]]:
    """The corners of the line of one colour."""
    path = next(e for e in found if e.get("class") == f"s-{ink}" and not e.get("stroke-linecap"))
    here, out = [0.0, 0.0], []
    for letter, numbers in re.findall(r"([MLHV])([\d. ]+)", path.get("d", "")):
        values = [float(v) for v in numbers.split()]
        if letter in "ML":
            here = values
        else:
            here["HV".index(letter)] = values[0]
        out.append((here[0], here[1]))
    return out


def heights(found: list[ET.Element]) -> dict[str, float]:
    """Baseline of each text that is a number, with or without unit."""
    return {e.text or "": float(e.get("y", 0)) for e in found if re.match(r"[\d.,]+( \w+)?$", e.text or "")}


def test_tension_holds_until_the_next_job() -> None:
    """The line runs level from each job to the next and only then steps, to the day asked for."""
    line = corners(chart(JOBS, until=date(2024, 12, 31)), "petrol")
    assert len(line) == 6
    for (x0, y0), (x1, y1) in pairwise(line):
        assert x0 == x1 or y0 == y1
    assert line[0][1] > line[2][1] > line[4][1]


def test_left_is_pounds_and_right_is_the_same_in_kilogrammes() -> None:
    """A mark in kg stands at the height of as many pounds, by the exact factor 0.45359237."""
    found = chart(JOBS)
    at = heights(found)
    pounds = sorted((float(t.split()[0]), y) for t, y in at.items() if y < 130 and float(t.split()[0]) > 20)
    slope = (pounds[-1][1] - pounds[0][1]) / (pounds[-1][0] - pounds[0][0])
    kilos = [(float(t.split()[0]), y) for t, y in at.items() if y < 130 and float(t.split()[0]) < 20]
    assert len(kilos) >= 2
    for kilo, y in kilos:
        assert pounds[0][1] + (kilo / 0.45359237 - pounds[0][0]) * slope == pytest.approx(y, abs=0.2)
    assert any(t.endswith(" lb") for t in at)
    assert any(t.endswith(" kg") for t in at)


def test_years_or_dates() -> None:
    """Years mark a long history, the first and last job's dates a short one."""
    assert {"2023", "2024"} <= set(texts(chart(JOBS)))
    short = texts(chart((point(2024, 2, 27, 27, 90.0), point(2024, 8, 28, 28, 91.0))))
    assert "05.02." in short
    assert "05.08." in short
    assert "2024" not in short


def test_one_job_alone() -> None:
    """A single job is a picture too: one line, one date."""
    found = chart((point(2024, 2, 27.5, 27.5, 91.0),))
    assert "mains and crosses" in texts(found)
    assert texts(found).count("05.02.") == 1


def test_equal_tensions_are_one_line() -> None:
    """Mains and crosses at the same tension are named together; apart they have a line each."""
    together = texts(chart((point(2022, 1, 27, 27, None), point(2024, 1, 28, 28, None))))
    assert "mains and crosses" in together
    assert {"mains", "crosses"} <= set(texts(chart(JOBS)))


def test_swingweight_alone_or_tension_alone() -> None:
    """A panel without values is left out and the picture shrinks."""
    both, swing, tension = (
        float(re.search(r'viewBox="0 0 350 ([\d.]+)"', history_chart(points, key="k", paint=CSS_PAINT))[1])  # type: ignore[index]
        for points in (JOBS, (point(2022, 1, None, None, 160.0),), (point(2022, 1, 27, 27, None),))
    )
    assert swing < both
    assert tension < both


def test_target_band_has_the_tolerance_width() -> None:
    """The band reaches from target − tolerance to target + tolerance on the swingweight's scale."""
    found = chart(JOBS, target=SwingTarget(164, 2))
    at = {float(t): y for t, y in heights(found).items() if re.match(r"1[56]\d$", t)}
    per_unit = (at[min(at)] - at[max(at)]) / (max(at) - min(at))
    band = next(e for e in found if e.get("class") == "f-band")
    top, foot = (float(v) for v in re.findall(r"M[\d.]+ ([\d.]+)H[\d.]+V([\d.]+)", band.get("d", ""))[0])
    assert foot - top == pytest.approx(4 * per_unit, abs=0.3)


def test_jobs_may_come_in_any_order() -> None:
    """The chart sorts its jobs by date."""
    assert history_chart(JOBS[::-1], key="k", paint=CSS_PAINT) == history_chart(JOBS, key="k", paint=CSS_PAINT)


def test_nothing_to_show_is_an_error() -> None:
    """A history without any tension or swingweight is refused."""
    with pytest.raises(ValueError, match="at least one"):
        history_chart((point(2024, 1, None, None, None),), key="k", paint=CSS_PAINT)


@pytest.mark.parametrize(("word", "free"), [("target", True), ("obiettivo", False)])
def test_a_long_word_for_the_target_ends_on_the_chart(word, free) -> None:
    """The word beside the target's line keeps clear of the panel where it can, and runs over no edge where it is long."""
    found = chart(JOBS, target=SwingTarget(163.0, 1.5), words=ChartWords(target=word))
    start = next(float(e.get("x", "")) for e in found if e.text == word)
    assert start + text_width(word, 12) <= WIDTH + 0.06  # as written, to a tenth
    assert (start == 313) == free


def test_decimal_mark_is_the_languages() -> None:
    """Numbers take the decimal mark of the words."""
    assert decimal_text(12.25, 1, ChartWords(decimal=",")) == "12,2"
