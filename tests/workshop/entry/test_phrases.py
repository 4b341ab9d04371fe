"""What is said at the bench, read."""

from datetime import date

import pytest
import smallshop

from passport.records.schema.frame import Pendulum
from passport.records.schema.quantities import GAUGE, TENSION
from passport.workshop.entry.phrases import (
    Unclear,
    day_of,
    fitted_of,
    handle_of,
    known_as,
    minutes_of,
    pair,
    pendulum_of,
    reader,
    repair_of,
)


@pytest.mark.parametrize(
    ("text", "both"),
    [
        ("52 lb", ("52 lb", "52 lb")),
        ("52/50 lb", ("52 lb", "50 lb")),
        ("52 lb/50 lb", ("52 lb", "50 lb")),
        ("23.5 kg / 52 lb", ("23.5 kg", "52 lb")),
        ("24 1/2 lb", ("24 1/2 lb", "24 1/2 lb")),
        ("52", ("52", "52")),
        ("tight", ("tight", "tight")),
        ("/50 lb", ("/50 lb", "/50 lb")),
    ],
)
def test_a_tension_for_one_or_both(text, both):
    """One tension is for mains and crosses; two with a slash are for each, and lend each other their unit."""
    assert pair(text, TENSION) == both


def test_words_for_both_need_spaces_around_the_slash():
    """A batch may have a slash in its name."""
    assert pair("B23/41", None) == ("B23/41", "B23/41")
    assert pair("B23/41 / B24", None) == ("B23/41", "B24")
    assert pair("1.25/1.30 mm", GAUGE) == ("1.25 mm", "1.30 mm")


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("tungsten-tape @ 3 and 9", {}),
        ("tungsten-tape @ 3 and 9 = 2.2 g", {"mass": "2.2 g"}),
        ("tungsten-tape @ 3 and 9 = 2.2 g [55 mm]", {"length": "55 mm", "mass": "2.2 g"}),
        ("tungsten-tape@3 and 9=2.2 g 55 mm", {"length": "55 mm", "mass": "2.2 g"}),
        ("tungsten-tape @  3  and 9 = 55 mm, 2,2 g", {"length": "55 mm", "mass": "2,2 g"}),
        ("tungsten-tape @ 3 and 9 = [2 1/8 in]", {"length": "2 1/8 in"}),
        ('tungsten-tape @ 3 and 9 = 2 1/8" 2.2 g', {"length": '2 1/8"', "mass": "2.2 g"}),
    ],
)
def test_a_part_fitted(text, rest):
    """Part and place, then mass and length in any order or neither."""
    assert fitted_of(text) == {"part": "tungsten-tape", "place": "3 and 9", **rest}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tungsten-tape", "tungsten-tape @ 3 and 9 = 2.2 g"),
        ("@ 3 and 9", "does not say what"),
        ("tape @ 3 and 8 = 2 g", "mirror"),
        ("tape @ 3 and 9 = heavy", "neither a mass nor a length"),
        ("tape @ 3 and 9 = 2.2", "neither a mass nor a length"),
    ],
)
def test_a_part_that_is_not_clear(text, said):
    """What cannot be read is refused with how to write it."""
    with pytest.raises(Unclear, match=said):
        fitted_of(text)


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("grommets", {"what": "grommets"}),
        ("bumper = bumper-98", {"what": "bumper", "part": "bumper-98"}),
        ("butt cap: was loose", {"what": "butt cap", "note": "was loose"}),
        (
            "bumper = bumper-98 @ 1 o'clock: worn through: all of it",
            {"what": "bumper", "part": "bumper-98", "where": "1 o'clock", "note": "worn through: all of it"},
        ),
        ("other @ the throat", {"what": "other", "where": "the throat"}),
    ],
)
def test_a_repair(text, tree):
    """What was repaired, with which part, where, and a word on it."""
    assert repair_of(text) == tree


def test_a_repair_that_is_not_clear():
    """A repair begins with what it is."""
    with pytest.raises(Unclear, match="bumper = "):
        repair_of("= bumper-98")


@pytest.mark.parametrize("said", ["reed-125", "Reed", "reed", "OXBOW  reed", "Reed 125", "REED-125"])
def test_a_string_however_it_is_called(said, tmp_path):
    """A string is known by its name in the catalogue, the name on the packet, with or without its maker."""
    content, _ = smallshop.read(tmp_path)
    table = {name: entry.record for name, entry in content.strings.items()}
    assert known_as(said, table) == "reed-125"
    assert known_as("Ree", table) == "Ree"


def test_minutes():
    """A bare figure is minutes; anything else is left as it is."""
    assert [minutes_of(text) for text in ("15", " 7.5 ", "24 h", "soon")] == ["15 min", "7.5 min", "24 h", "soon"]


@pytest.mark.parametrize(
    ("name", "good", "bad"),
    [
        ("mass", "330 g", "330"),
        ("before_mass", "330 g", "330 lb"),
        ("balance", "4 pt HH", "4 pt"),
        ("swingweight", "318 kgcm2", "318"),
        ("ring", "580 Hz", "580"),
        ("minutes", "15", "soon"),
        ("tension", "52/50 lb", "52/50"),
        ("gauge", "1.25 mm", "1.25"),
        ("fit", "tape @ 12", "tape at 12"),
    ],
)
def test_each_field_has_its_reader(name, good, bad):
    """A field's text is read before it is taken, and refused in a sentence that says what to write."""
    read = reader(name)
    assert read
    read(good)
    with pytest.raises(Unclear, match=r"\w.*\."):
        read(bad)


def test_free_text_needs_no_reader():
    """Any text will do for a note."""
    assert reader("note") is None


def test_a_day_as_it_is_said():
    """A date, today or yesterday; anything else is refused with how to write it."""
    today = date(2026, 3, 1)
    assert [day_of(text, today) for text in ("2026-02-10", "today", " Yesterday ")] == [
        date(2026, 2, 10), today, date(2026, 2, 28),
    ]  # fmt: skip
    with pytest.raises(Unclear, match="2026-03-04"):
        day_of("10.2.26", today)


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        (
            "112 mm over the overgrip, 2 sleeves, wound right-handed from the butt, overlap 3 mm, covered 190 mm",
            {
                "circumference": "112 mm",
                "over": "overgrip",
                "sleeves": "2",
                "wound": "right-handed",
                "wound_from": "butt",
                "overlap": "3 mm",
                "covered": "190 mm",
            },
        ),
        ("4 3/8 in round; rectangular", {"circumference": "4 3/8 in", "shape": "rectangular"}),
        ("overgrip wound from the top, 1 sleeve", {"wound_from": "top", "sleeves": "1"}),
    ],
)
def test_a_handle(text, tree):
    """How the handle is built up, in any order, each thing once."""
    assert handle_of(text) == tree


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("112", "has no unit"),
        ("12 ducks", "not a unit"),
        ("112 mm, 113 mm", "says circumference twice"),
        ("wound 3 times round", "says nothing of a handle"),
        (" , ", "says nothing of a handle"),
    ],
)
def test_no_handle(text, why):
    """What cannot be read is asked back with an example, never kept as words."""
    with pytest.raises(Unclear, match=why):
        handle_of(text)


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("240 mm 14.3 s 10 swings 8 deg", {"pivot": "240 mm", "time": "14.3 s", "swings": 10, "amplitude": "8 deg"}),
        ("10 swings, 14,3 s, 24 cm", {"pivot": "24 cm", "time": "14.3 s", "swings": 10}),
        ("1.43 s, 240 mm, 8°", {"pivot": "240 mm", "period": "1.43 s", "amplitude": "8 °"}),
    ],
)
def test_a_pendulum_timed(text, tree):
    """The edge, the time and the swings in any order; a time without a number of swings is that of one."""
    assert pendulum_of(text) == tree
    Pendulum.model_validate(tree)


@pytest.mark.parametrize(
    "text",
    ["240 mm", "14.3 s 10 swings", "240 mm 14.3", "240 mm 14.3 s 1.5 swings", "240 mm 250 mm 1 s", "240 mm 14.3 s -"],
)
def test_a_timing_that_is_not_clear(text):
    """What lacks, stands twice or is no number is said with an example."""
    with pytest.raises(Unclear, match="10 swings 8 deg"):
        pendulum_of(text)
