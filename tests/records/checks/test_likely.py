"""Values that were once taken without a word: each is asked about, refused or warned of, and says what was meant."""

import pytest
import smallshop
from pydantic_core import PydanticCustomError

from passport.records.checks.likely import frame_doubts
from passport.records.checks.likely_frame import blank_weighed_doubts, model_doubts, setup_doubts
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame, Setup
from passport.records.schema.quantities import MASS, TENSION, parse

TENNIS = FrameModel(maker="Corvane", name="Aubier", sport="tennis", head="100 sq in", tension="50-60 lb")
SOFT = FrameModel(maker="Corvane", name="Aubier", sport="tennis", head="100 sq in", tension="45-57 lb")
BADMINTON = FrameModel(
    maker="Corvane", name="Liseron", sport="badminton", head="350 cm²", tension="20-28 lb", mass="4U"
)
STRINGS = {
    "thick": StringType(maker="Brisevent", name="Sablier", material="polyester", gauge="1.25 mm"),
    "thin": StringType(maker="Brisevent", name="Plume", material="nylon", gauge="0.68 mm"),
}
PARTS = {"lead": Part(kind="tape", name="Lead", per_length="20 g/m")}


def bed(tension: str, string: str = "thick", crosses: str = "") -> dict:
    """A stringing."""
    both = {"mains": {"string": string, "tension": tension}}
    return both | ({"crosses": {"string": string, "tension": crosses}} if crosses else {})


def asked(model: FrameModel, *jobs: dict) -> list[str]:
    """What is asked about the last of some jobs, a day apart."""
    dated = [{"date": f"2026-03-{i:02}", **job} for i, job in enumerate(jobs, 1)]
    frame = Frame.model_validate({"model": "m", "label": "L", "jobs": dated})
    doubts = frame_doubts(frame, model, PARTS, STRINGS)
    return [f"{doubt.what} {doubt.meant}".strip() for doubt in doubts if doubt.path[1] == len(jobs) - 1]


SEEN = [
    (BADMINTON, [{"strings": bed("24 lb", "thin"), "readings": {"mass": "88 g"}}, {"readings": {"mass": "880 g"}}], "no mass"),
    (BADMINTON, [{"strings": bed("24 lb", "thin"), "readings": {"balance": "2 in"}}], "no balance"),
    (BADMINTON, [{"strings": bed("24 lb", "thin"), "readings": {"ring": "56 Hz", "age": "5 min"}}], "rings at 56 Hz"),
    (TENNIS, [{"strings": bed("24 kg")}, {"strings": bed("24 lb")}], "Did you mean 24 kg? Its last was 24 kg."),
    (TENNIS, [{"strings": bed("24 lb")}], "Did you mean 24 kg?"),
    (TENNIS, [{"strings": bed("55 lb", "thin")}], "no string for tennis"),
    (SOFT, [{"strings": bed("30 lb")}], "far below the maker's range"),
    (SOFT, [{"strings": bed("51 lb", "thick", "36 lb")}], "far"),
    (TENNIS, [{"strings": bed("55 lb"), "readings": {"ring": "32.2 Hz", "age": "5 min"}}], "say so in lb or kg"),
    (TENNIS, [{"strings": bed("55 lb"), "readings": {"mass": "330 g"}}, {"readings": {"mass": "303 g"}}], "far from the 330.0 g"),
]  # fmt: skip


@pytest.mark.parametrize(("model", "jobs", "said"), SEEN, ids=[said for _, _, said in SEEN])
def test_what_was_taken_without_a_word(model, jobs, said):
    """Each value is asked about, with what was probably meant."""
    assert any(said in what for what in asked(model, *jobs)), asked(model, *jobs)


def test_the_same_job_twice_on_a_day():
    """A second stringing on one day is asked about."""
    job = {"date": "2026-03-01", "strings": bed("55 lb")}
    assert "the same strings" in asked(TENNIS, job, job)[0]


def test_what_is_usual_is_left_in_peace():
    """Two pounds less, an overgrip more, a bed that went down: nobody asks."""
    first = {
        "strings": bed("55 lb"),
        "readings": {"mass": "325 g", "balance": "322 mm", "ring": "590 Hz", "age": "15 min"},
    }
    then = {
        "strings": bed("53 lb", "thick", "51 lb"),
        "readings": {"mass": "329.4 g", "balance": "320 mm", "ring": "575 Hz"},
    }
    assert asked(TENNIS, first) == asked(TENNIS, first, then) == []


def test_mains_and_crosses_far_apart_are_asked_about_once():
    """Both usual in themselves, but 60 lb beside 50; where one of them is strange alone, only that is asked."""
    (what,) = asked(TENNIS, {"strings": bed("60 lb", "thick", "50 lb")})
    assert what == "60 lb on the mains and 50 lb on the crosses are far apart."
    (what,) = asked(SOFT, {"strings": bed("51 lb", "thick", "36 lb")})
    assert "far apart" not in what


@pytest.mark.parametrize(("model", "name", "unit", "last", "near", "far"), [
    (BADMINTON, "mass", "g", 86.0, 91.9, 92.1),
    (TENNIS, "mass", "g", 330.0, 338.2, 338.3),
    (TENNIS, "balance", "mm", 320.0, 326.9, 327.1),
    (BADMINTON, "swingweight", "kgcm2", 90.0, 95.9, 96.1),
    (TENNIS, "swingweight", "kgcm2", 320.0, 334.3, 334.5),
    (TENNIS, "twistweight", "kgcm2", 14.0, 15.1, 15.2),
])  # fmt: skip
def test_how_far_from_the_last_figure_is_asked_about(model, name, unit, last, near, far):
    """6 g or 2.5 %, 7 mm, 6 kg·cm² or 4.5 %, 0.6 kg·cm² or 8 %, whichever is more (common practice, no source)."""
    first = {"readings": {name: f"{last} {unit}"}}
    assert asked(model, first, {"readings": {name: f"{near} {unit}"}}) == []
    (what,) = asked(model, first, {"readings": {name: f"{far} {unit}"}})
    assert "is far from the" in what


def test_a_part_of_unknown_mass_that_was_there_before_hides_nothing():
    """Its mass is in both figures; one that came on in between leaves nothing to compare with."""
    unknown = {"part": "lead", "place": "12"}
    on = {"fitted": unknown, "readings": {"mass": "325 g"}}
    assert "far from the 325.0 g" in asked(TENNIS, on, {"readings": {"mass": "352 g"}})[0]
    assert asked(TENNIS, {"readings": {"mass": "325 g"}}, {"fitted": unknown, "readings": {"mass": "352 g"}}) == []


def test_a_limit_that_was_always_passed_is_no_slip():
    """A frame that was always strung below its maker's range is strung so again."""
    low = {"strings": bed("40 lb")}
    assert asked(TENNIS, low) and not asked(TENNIS, low, low | {"date": "2026-05-05"})


def test_what_the_record_says_came_on_is_counted():
    """Ten grams more are no question where ten grams of tape were fitted."""
    first = {"strings": bed("55 lb"), "readings": {"mass": "325 g", "swingweight": "320 kgcm2"}}
    tape = {"part": "lead", "place": "12", "mass": "10 g"}
    read = {"mass": "335 g", "swingweight": "354 kgcm2"}
    assert asked(TENNIS, first, {"readings": read})
    assert not asked(TENNIS, first, {"fitted": tape, "readings": read})


@pytest.mark.parametrize("text", ["52/5 lb", "25/12 kg", "52/4 lb", "4/4 in"])
def test_two_values_are_no_fraction(text):
    """Only what a ruler or a scale shows is a fraction: halves to sixty-fourths, below one."""
    with pytest.raises(PydanticCustomError) as caught:
        parse(text, TENSION)
    assert caught.value.context["rule"] == "bad-value"
    assert parse("11 1/2 oz", MASS).amount == 11.5


def test_who_is_who(tmp_path):
    """Another frame's serial, a second player of one name and label, and a telephone without a digit are warned of."""
    twin = smallshop.FILES["players/ada/twin.yaml"] + "\nserial: TL-1\n"
    only = smallshop.FILES["players/bo/only.yaml"].replace("label: Only", "label: Main")
    bo = "name: Ada\nkey: BBBBBBBBBBBBBBBBBBBBBBBBBB\ncontact: {phone: not a mail, email: bo at home}\n"
    changes = {"players/ada/twin.yaml": twin, "players/bo/only.yaml": only, "players/bo/player.yaml": bo}
    _, faults = smallshop.read(tmp_path, changes)
    rules = [fault.rule for fault in faults]
    assert rules.count("bad-contact") == 2
    assert {"serial-twice", "name-twice"} <= set(rules)


@pytest.mark.parametrize(
    ("model", "build", "job", "questions"),
    [
        (BADMINTON, None, {"readings": {"mass": "74.0 g", "state": "bare"}}, 1),  # two classes below its 4U
        (BADMINTON, None, {"readings": {"mass": "82.1 g", "state": "bare"}}, 0),
        (BADMINTON, None, {"readings": {"mass": "91.5 g", "state": "bare"}}, 0),  # it may have anything on
        (BADMINTON, [], {"readings": {"mass": "91.5 g", "state": "bare"}}, 1),
        (
            BADMINTON,
            [{"part": "lead", "place": "12", "mass": "6 g"}],
            {"readings": {"mass": "88 g", "state": "bare"}},
            0,
        ),
        (BADMINTON, [], {"strings": bed("24 lb", "thin"), "readings": {"mass": "88 g"}}, 0),  # 3 g of it are string
        (TENNIS, [], {"readings": {"mass": "250 g", "state": "bare"}}, 0),  # nothing is printed
    ],
)
def test_a_mass_is_held_against_what_the_maker_prints(model, build, job, questions):
    """4U is 80 to 84.9 g for the bare frame (from memory); frames spread by a few in a hundred (common practice)."""
    record = {"model": "m", "label": "L", "jobs": [{"date": "2026-03-01", **job}]}
    frame = Frame.model_validate(record if build is None else record | {"build": build})
    found = [doubt.what for doubt in frame_doubts(frame, model, PARTS, STRINGS)]
    assert len(found) == questions, found
    assert all("4U (80 to 84.9 g) that the maker prints" in what for what in found)


def test_a_blank_and_a_target_are_asked_about():
    """A blank is held against its print too, and a target against its sport."""
    blank = Blank.model_validate({"model": "m", "readings": {"mass": "58 g", "state": "bare"}})
    assert [doubt.path for doubt in blank_weighed_doubts(blank, BADMINTON, PARTS, STRINGS)] == [("readings", 0, "mass")]
    setup = Setup.model_validate({"mass": "880 g", "balance": "2 in"})
    assert [doubt.path for doubt in setup_doubts(setup, BADMINTON)] == [("setup", "mass"), ("setup", "balance")]


@pytest.mark.parametrize(
    ("said", "path"),
    [
        ({"tension": "9-13 kg"}, ("tension", "low")),
        ({"mass": "30.0 g"}, ("mass",)), ({"mass": "300 g", "tension": "22-27 kg"}, None),
    ],
)  # fmt: skip
def test_a_model_is_asked_about(said, path):
    """A maker's range in the wrong unit, or a printed mass that no frame has."""
    model = FrameModel.model_validate(
        {"maker": "Corvane", "name": "Aubier", "sport": "tennis", "head": "100 sq in", **said}
    )
    assert [doubt.path for doubt in model_doubts(model)] == ([path] if path else [])
