"""The text on a tag: read as a setup and written again it is the same text."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.exchange.setup import SetupData
from passport.records.exchange.tagtext import HEAD, SHORTEST, NotASetup, read_tag_text, tag_text
from passport.render.pages.data import setup_data

WORD = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=24)
NAME = WORD.map(lambda text: f"N{text}")
PLACES = st.sampled_from(["10 and 2", "12", "throat", "under the bumper", "20 mm to 60 mm", "352mm", "3 only", "5g"])
KINDS = st.sampled_from(["tape", "silicone", "base grip", "overgrip", "butt cap", "damper", "head tape", "other"])


def amount(low: float, high: float, places: int):
    """A number as a file has it: so many digits behind the point."""
    return st.floats(low, high).map(lambda value: round(value, places))


def figure(unit: str, high: float):
    """A target with or without a tolerance, or what was read with or without its uncertainty."""
    value, small = amount(1, high, 2), amount(0.01, 5, 3)
    target = st.fixed_dictionaries({f"target_{unit}": value}, optional={f"tolerance_{unit}": small})
    read = st.fixed_dictionaries({f"best_estimate_{unit}": value}, optional={f"uncertainty_{unit}": small})
    return target | read


POINTS = st.fixed_dictionaries(
    {"target_points_head_light": amount(-12, 12, 1)}, optional={"tolerance_mm": amount(0.5, 4, 1)}
)
FINISHED = st.fixed_dictionaries(
    {},
    optional={
        "mass": figure("g", 900), "balance": figure("mm", 700) | POINTS,
        "swingweight": figure("kgcm2", 600), "twistweight": figure("kgcm2", 30),
    },
)  # fmt: skip
PART = st.fixed_dictionaries(
    {"part": NAME | KINDS, "kind": KINDS, "place": PLACES},
    optional={
        "mass_g": amount(0, 50, 2),
        "length_mm": amount(1, 400, 1),
        "pieces": st.sampled_from([1, 2]),
        "note": WORD,
    },
)
STRUNG = st.fixed_dictionaries(
    {
        "string": NAME, "material": st.sampled_from(["nylon", "polyester", "gut", "aramid", "other"]),
        "pull_tension_lb": amount(10, 90, 2), "pull_tension_kg": amount(5, 40, 2),
    },
    optional={
        "maker": NAME, "gauge_mm": amount(0.5, 1.6, 3), "gauge_number": st.sampled_from(["17", "16 L"]),
        "mass_per_length_g_m": amount(0.3, 2.5, 4), "prestretch_percent": amount(1, 20, 1),
        "tension_written_in": st.sampled_from(["lb", "kg", "N"]),
    },
)  # fmt: skip
STRINGING = st.fixed_dictionaries(
    {"mains": STRUNG, "crosses": STRUNG},
    optional={
        "pieces": st.sampled_from([1, 2]), "knots": st.sampled_from([2, 3, 4]), "tie_offs": WORD, "skips": WORD,
        "mains_start": st.sampled_from(["throat", "head"]), "crosses_start": st.sampled_from(["throat", "head"]),
        "way": WORD, "stencil": WORD, "ink": WORD,
    },
)  # fmt: skip
GEOMETRY = st.fixed_dictionaries(
    {},
    optional={
        "head_length_mm": amount(200, 400, 1), "head_width_mm": amount(150, 300, 1), "head_area_cm2": amount(300, 900, 2),
        "form": st.sampled_from(["egg", "teardrop", "squarer"]), "rim_mm": amount(5, 20, 1),
        "handle_length_mm": amount(100, 250, 1), "handle_width_mm": amount(20, 40, 1),
        "main_spacing_mm": amount(5, 20, 2), "cross_spacing_mm": amount(5, 20, 2), "throat": st.sampled_from(["open", "shaft"]),
    },
)  # fmt: skip
SETUPS = st.fixed_dictionaries(
    {"format": st.just(3), "number": st.just("1042-9"), "sport": st.sampled_from(["tennis", "squash", "badminton"])},
    optional={
        "frame": st.fixed_dictionaries({"model": NAME}, optional={"maker": NAME, "grip": NAME}), "geometry": GEOMETRY,
        "length_mm": amount(500, 720, 1), "pattern": st.just({"mains": 16, "crosses": 19}), "strings": STRINGING,
        "finished": FINISHED, "build": st.lists(PART, max_size=6), "updated": st.just("2026-11-13"),
    },
).map(SetupData.model_validate)  # fmt: skip


@given(SETUPS, st.integers(0, SHORTEST))
def test_a_text_is_read_as_the_setup_that_writes_it(setup, shorter):
    """Whatever a setup holds, its text is read, and what was read writes the same text; again and again."""
    text = tag_text(setup, shorter)
    read = read_tag_text(text)
    assert tag_text(read) == text
    assert read_tag_text(tag_text(read)) == read


@given(SETUPS)
def test_the_shortest_text_keeps_what_a_rebuild_needs(setup):
    """Targets with their tolerances, what was read with its uncertainty, pulls, masses per length, the parts' masses."""
    read = read_tag_text(tag_text(setup, SHORTEST))
    for name in ("mass", "balance", "swingweight", "twistweight"):
        told, kept = getattr(setup.finished, name), getattr(read.finished, name)
        assert (told is None) == (kept is None)
        assert told is None or told == kept
    assert [(p.kind, p.mass_g, p.length_mm) for p in read.build or ()] == [
        (p.kind, p.mass_g, p.length_mm) for p in setup.build or ()
    ]
    assert (setup.build is None) == (read.build is None)
    assert (read.length_mm, read.sport, read.pattern) == (setup.length_mm, setup.sport, setup.pattern)
    if setup.strings:
        for mine, told in ((read.strings.mains, setup.strings.mains), (read.strings.crosses, setup.strings.crosses)):
            unit = "pull_tension_kg" if told.tension_written_in == "kg" else "pull_tension_lb"
            assert getattr(mine, unit) == getattr(told, unit)
            assert mine.mass_per_length_g_m == told.mass_per_length_g_m


def test_the_texts_of_the_demo(demo_facts):
    """The text of every frame of the demo, in every form, is read as what it was written from."""
    for frame in demo_facts.frames:
        for shorter in range(SHORTEST + 1):
            text = tag_text(setup_data(frame), shorter)
            assert tag_text(read_tag_text(text)) == text
            assert all(re.match(r"[A-Za-z0-9]", line) for line in text.splitlines())


def test_both_tensions_follow_from_the_one_that_is_told():
    """51 lb are 23.13 kg, and 24.5 kg 54.01 lb (1 lb = 0.45359237 kg exactly, NIST SP 811, appendix B.8)."""
    text = f"{HEAD} 1\n1042-9 tennis\nmains Oxbow / Reed, nylon, 51lb\ncrosses same, 24.5kg"
    bed = read_tag_text(text).strings
    assert (bed.mains.pull_tension_kg, bed.crosses.pull_tension_lb) == (23.13, 54.01)


@pytest.mark.parametrize(
    ("text", "line", "what", "do"),
    [
        ("", 1, "not the text of a tag", HEAD),
        (f"{HEAD} 1", 1, "ends after its first line", "Copy all"),
        (f"{HEAD} 2\n1042-9 tennis", 1, "version 2", "newest release"),
        (f"{HEAD}\n1042-9 tennis", 1, "which version", f"{HEAD} 1"),
        (f"{HEAD} 1\n1042-9 golf", 2, "not a number, a sport", "1042-9 tennis"),
        (f"{HEAD} 1\n1042-9 tennis\n\nmass 330+-1mm", 4, "nothing that belongs here", "330+-1g"),
        (f"{HEAD} 1\n1042-9 tennis\nmass 330g\nmass 331g", 4, "second line", "Keep"),
        (f"{HEAD} 1\n1042-9 tennis\nweight 330g", 3, "begins with 'weight'", "mass"),
        (f"{HEAD} 1\n1042-9 tennis\ncrosses same, 49lb", 3, "the same as", "mains first"),
        (f"{HEAD} 1\n1042-9 tennis\ntape 1.6g", 3, "where the tape is", "10 and 2"),
        (f"{HEAD} 1\n1042-9 tennis\nmains Reed, iron, 51lb", 3, "'iron'", "polyester"),
        (f"{HEAD} 1\n1042-9 tennis\nframe Larch, wide 5", 3, "'wide 5'", "16x19"),
        (f"{HEAD} 1\n1042-9 tennis\n" + "x" * 6000, 1, "characters", "alone"),
    ],
)
def test_what_is_no_text_of_a_tag_is_said_with_its_line(text, line, what, do):
    """Each fault names its line, what is wrong, and what to do."""
    with pytest.raises(NotASetup) as raised:
        read_tag_text(text)
    assert raised.value.line == line
    assert what in raised.value.what and do in raised.value.do
