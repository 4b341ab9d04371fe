"""Jobs from what is said, with the last recipe to go by."""

from datetime import date

import overlay
import pytest
import smallshop
from hypothesis import given
from hypothesis import strategies as st

from passport.records.schema.frame import Job
from passport.records.yaml import yamltext
from passport.workshop.entry.job_from_text import FIELDS, STRING_FIELDS, Names, Past, job_of, past_of
from passport.workshop.entry.phrases import Unclear

DAY = date(2026, 11, 25)
ONE = {"mains": {"string": "reed-125", "tension": "24 kg", "batch": "B1"}, "pieces": "1"}
TWO = {
    "mains": {"string": "reed-125", "gauge": "1.25 mm", "tension": "52 lb", "prestretch": "10 %", "batch": "B1"},
    "crosses": {"string": "reed-125", "tension": "50 lb", "batch": "B1"},
    "knots": "2",
    "crosses_start": "throat",
}
PAST = Past(TWO, {"shape": "Ring", "ink": "red"}, date(2026, 9, 16), (("tape", "3 and 9"), ("overgrip", "butt cap")))


def strings(said, past=PAST, *, again=False):
    """The stringing of a job."""
    return job_of(said, DAY, past, Names(), again=again).get("strings")


def test_again_is_the_last_recipe_with_the_days_date():
    """Nothing but the date differs; strings, tensions, knots and stencil are as they were, in the words of the record."""
    job = job_of({}, DAY, PAST, Names(), again=True)
    assert job == {"date": "2026-11-25", "strings": {**TWO, "knots": 2}, "stencil": {"shape": "Ring", "ink": "red"}}


@pytest.mark.parametrize(
    ("said", "mains", "crosses"),
    [
        ({"tension": "51 lb"}, {"tension": "51 lb"}, {"tension": "51 lb"}),
        ({"tension": "51/49 lb"}, {"tension": "51 lb"}, {"tension": "49 lb"}),
        ({"mains_tension": "51 lb"}, {"tension": "51 lb"}, {}),
        ({"tension": "51/49 lb", "crosses_tension": "48 lb"}, {"tension": "51 lb"}, {"tension": "48 lb"}),
        ({"batch": "B2"}, {"batch": "B2"}, {"batch": "B2"}),
        ({"prestretch": "5 %"}, {"prestretch": "5 %"}, {"prestretch": "5 %"}),
        ({"supply": "reel / set"}, {"supply": "reel"}, {"supply": "set"}),
    ],
)
def test_what_is_said_changes_and_the_rest_stays(said, mains, crosses):
    """Only what is named differs from the last recipe."""
    assert strings(said) == {**TWO, "mains": TWO["mains"] | mains, "crosses": TWO["crosses"] | crosses, "knots": 2}


def test_zones_are_repeated_and_go_with_their_tension():
    """Differences stay with any tension; pulls of their own are said anew where the tension of their side changes."""
    beside = Past({**ONE, "zones": "mains last 2 -1 kg"})
    assert strings({"tension": "25 kg"}, beside)["zones"] == "mains last 2 -1 kg"
    own = Past({**ONE, "zones": "crosses first 4 at 23 kg"})
    assert strings({}, own, again=True)["zones"] == "crosses first 4 at 23 kg"
    with pytest.raises(Unclear, match="The crosses were pulled by zone, 'crosses first 4 at 23 kg', at 24 kg"):
        strings({"tension": "25 kg"}, own)
    assert strings({"mains_tension": "25 kg"}, own)["zones"] == "crosses first 4 at 23 kg"
    assert "zones" not in strings({"tension": "25 kg", "zones": "-"}, own)
    assert (
        strings({"tension": "25 kg", "zones": "crosses first 4 at 24 kg"}, own)["zones"] == "crosses first 4 at 24 kg"
    )


def test_a_jobs_own_method_is_repeated():
    """What was done otherwise than the workshop does it is done so again, said anew, or left out."""
    past = Past({**ONE, "method": {"machine": "drop weight", "dwell": "5 s"}})
    assert strings({}, past, again=True)["method"] == {"machine": "drop weight", "dwell": "5 s"}
    assert strings({"tension": "25 kg"}, past)["method"] == {"machine": "drop weight", "dwell": "5 s"}
    assert strings({"method": "tie-offs: 5 %; crosses: one by one"}, past)["method"] == {
        "tie_offs": "5 %", "crosses": "one by one",
    }  # fmt: skip
    assert "method" not in strings({"method": "-"}, past)
    for text in ("drop weight", "motor: strong", "dwell: 3 s; dwell: 5 s", ";"):
        with pytest.raises(Unclear):
            strings({"method": text}, past)


def test_another_string_does_not_come_from_the_old_batch():
    """A new string keeps tension and pre-stretch, and loses the gauge, supply and batch of the old one."""
    assert strings({"string": "flint-120"}) == {
        "mains": {"string": "flint-120", "tension": "52 lb", "prestretch": "10 %"},
        "crosses": {"string": "flint-120", "tension": "50 lb"},
        "knots": 2,
        "crosses_start": "throat",
    }


def test_what_is_left_out():
    """A dash takes out what the last stringing had, the stencil too."""
    job = job_of({"batch": "-", "prestretch": "- / 5 %", "knots": "-", "stencil": "-"}, DAY, PAST, Names(), again=True)
    assert job["strings"]["mains"] == {"string": "reed-125", "gauge": "1.25 mm", "tension": "52 lb"}
    assert job["strings"]["crosses"] == {"string": "reed-125", "tension": "50 lb", "prestretch": "5 %"}
    assert "knots" not in job["strings"]
    assert "stencil" not in job


def test_two_strings_are_two_pieces():
    """A hybrid is strung in two pieces, and the knots of one piece are not kept for it."""
    past = Past(TWO | {"pieces": "1"})
    hybrid = strings({"crosses": "flint-120"}, past)
    assert hybrid["pieces"] == 2
    assert "knots" not in hybrid
    assert hybrid["mains"] == TWO["mains"]
    assert Job.model_validate({"date": "2026-11-25", "strings": hybrid}).strings.worked_out == (2, 4)
    assert strings({"crosses": "flint-120", "knots": "4"}, past)["knots"] == 4


def test_back_to_one_piece():
    """Said pieces are taken, and knots that do not fit them are not kept."""
    assert strings({"pieces": "1"}, Past({**TWO, "pieces": "2", "knots": "4"})) == {
        "mains": TWO["mains"], "crosses": TWO["crosses"], "pieces": 1, "crosses_start": "throat",
    }  # fmt: skip


def test_crosses_like_the_mains_stay_unsaid():
    """Where the record names mains only, crosses are named when they differ."""
    past = Past(ONE)
    assert strings({}, past, again=True) == {"mains": ONE["mains"], "pieces": 1}
    assert strings({"tension": "25 kg"}, past) == {"mains": ONE["mains"] | {"tension": "25 kg"}, "pieces": 1}
    assert strings({"crosses_tension": "23 kg"}, past)["crosses"] == ONE["mains"] | {"tension": "23 kg"}
    assert strings({"mains": "flint-120"}, past)["crosses"] == ONE["mains"]


def test_the_first_stringing():
    """Without an earlier one string and tension are said; crosses follow the mains."""
    nothing = Past()
    assert strings({"mains": "reed-125", "tension": "24 kg"}, nothing) == {
        "mains": {"string": "reed-125", "tension": "24 kg"}
    }
    assert strings({"string": "reed-125", "tension": "24/23 kg"}, nothing)["crosses"] == {
        "string": "reed-125", "tension": "23 kg",
    }  # fmt: skip
    hybrid = strings({"mains": "reed-125", "crosses": "flint-120", "tension": "24 kg", "batch": "B1 / B2"}, nothing)
    assert hybrid["crosses"] == {"string": "flint-120", "tension": "24 kg", "batch": "B2"}
    assert hybrid["pieces"] == 2


@pytest.mark.parametrize(
    ("said", "again", "words"),
    [
        ({}, True, "nothing to repeat"),
        ({"tension": "24 kg"}, False, "Name the string"),
        ({}, False, "Nothing was said"),
        ({"stencil": "Ring"}, False, "its ink is not said"),
        ({"ink": "red"}, False, "its shape is not said"),
        ({"minutes": "15"}, False, "say what it was"),
        ({"remove": ["tape"]}, False, "On the frame: nothing"),
        ({"fit": ["tape"]}, False, "tungsten-tape @ 3 and 9"),
    ],
)
def test_what_is_not_clear_is_refused(said, again, words):
    """Nothing is guessed: what is missing is asked for."""
    with pytest.raises(Unclear, match=words):
        job_of(said, DAY, Past(), Names(), again=again)


def test_a_stencil_takes_what_is_not_said_from_the_last_one():
    """A new ink keeps the shape."""
    assert job_of({"ink": "white"}, DAY, PAST, Names())["stencil"] == {"shape": "Ring", "ink": "white"}


def test_parts_and_repairs():
    """What was fitted, removed and repaired; a removed part's place is known where there is only one."""
    said = {
        "fit": ["Lead tape @ 3 and 9 = 2 g [20 mm]", "overgrip @ butt cap"],
        "remove": ["tape"],
        "repair": "bumper = bumper-98: worn",
    }
    parts = {"lead-tape": smallshop_part("Lead tape")}
    job = job_of(said, DAY, PAST, Names(parts=parts))
    assert job == {
        "date": "2026-11-25",
        "fitted": [
            {"part": "lead-tape", "place": "3 and 9", "length": "20 mm", "mass": "2 g"},
            {"part": "overgrip", "place": "butt cap"},
        ],
        "removed": [{"part": "tape", "place": "3 and 9"}],
        "repairs": [{"what": "bumper", "part": "bumper-98", "note": "worn"}],
    }


def smallshop_part(name):
    """A part of the catalogue."""
    from passport.records.schema.catalogue import Part

    return Part(kind="tape", name=name)


def test_readings_before_and_after():
    """Readings before the work stand first; the age of the old strings is counted from the day they were strung."""
    said = {
        "tension": "52 lb",
        "mass": "330 g",
        "ring": "580 Hz",
        "minutes": "15",
        "before_ring": "541 Hz",
        "before_bare": "yes",
        "without": "overgrip, sleeve",
    }
    assert job_of(said, DAY, PAST, Names())["readings"] == [
        {"when": "before", "state": "bare", "ring": "541 Hz", "age": "70 d"},
        {"without": ["overgrip", "sleeve"], "mass": "330 g", "ring": "580 Hz", "age": "15 min"},
    ]


def test_the_age_of_a_bed_that_was_not_restrung():
    """A reading alone is as old as the strings, in days, unless the minutes are said."""
    assert job_of({"ring": "550 Hz"}, DAY, PAST, Names())["readings"] == [{"ring": "550 Hz", "age": "70 d"}]
    assert job_of({"ring": "550 Hz", "minutes": "24 h"}, DAY, PAST, Names())["readings"][0]["age"] == "24 h"
    assert job_of({"ring": "550 Hz"}, DAY, Past(), Names())["readings"] == [{"ring": "550 Hz"}]
    same_day = Past(strung_on=DAY)
    assert job_of({"ring": "550 Hz"}, DAY, same_day, Names())["readings"] == [{"ring": "550 Hz"}]
    assert "age" not in job_of({"ring": "580 Hz"}, DAY, PAST, Names(), again=True)["readings"][0]


def test_what_a_record_says_of_the_past(tmp_path):
    """The last stringing is taken as it is written, the parts and the stencil as they are on the frame now."""
    content, _ = smallshop.read(tmp_path)
    entry = content.frames["ada/main"]
    data, _, _ = yamltext.read((tmp_path / "players/ada/main.yaml").read_text(), "x")
    parts = {name: e.record for name, e in content.parts.items()}
    assert past_of(data, entry.record, parts) == Past(
        strings={
            "mains": {"string": "reed-125", "tension": "24 kg"},
            "crosses": {"string": "flint-120", "tension": "23 kg"},
            "pieces": "2",
        },
        stencil={"shape": "Ring", "ink": "red"},
        strung_on=date(2026, 3, 2),
        fitted=(("thin-overgrip", "along the handle"), ("lead-tape", "3 and 9")),
    )
    new = content.frames["ada/new"].record
    assert past_of({}, new, parts) == Past()


SAID = {
    **dict.fromkeys(["tension", "mains_tension"], st.sampled_from(["52 lb", "23.5 kg"])),
    "string": st.sampled_from(["reed-125", "Flint"]),
    "crosses": st.sampled_from(["reed-125", "flint-120"]),
    "gauge": st.just("1.20/1.25 mm"),
    "batch": st.text(st.characters(codec="ascii", exclude_categories=("Cc",)), max_size=6),
    "stencil": st.just("Crossed quills"),
    "mass": st.just("330 g"),
    "ring": st.just("580 Hz"),
    "before_ring": st.just("541 Hz"),
    "fit": st.just(["lead-tape @ 12 = 1 g"]),
    "note": st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp", "Cn", "Co"))),
}


@given(
    st.fixed_dictionaries({}, optional=SAID),
    st.booleans(),
    st.sampled_from([PAST, Past(ONE, {"shape": "R", "ink": "x"})]),
)
def test_every_job_is_one_that_a_record_takes(said, again, past):
    """Whatever is said and can be read makes a job that the record type accepts, with what was said in it."""
    try:
        job = job_of(said, DAY, past, Names(), again=again)
    except Unclear:
        assert not again
        assert not any(text and str(text).strip() for text in said.values())
        return
    record = Job.model_validate(job)
    assert bool(record.strings) == (again or any(str(said.get(name) or "").strip() for name in STRING_FIELDS))
    if "mass" in said:
        assert record.readings[-1].mass.value == 330
    assert record.date == overlay.TODAY


def test_the_fields_have_each_name_once():
    """No name stands for two things."""
    assert len(set(FIELDS)) == len(FIELDS)


def test_a_path_takes_the_place_of_what_it_says():
    """One answer says how the string runs; what of an old path is said anew leaves the rest of it standing."""
    path = "two pieces, mains from the throat, crosses from the head"
    old = {"mains": ONE["mains"], "path": path, "knots": "4", "tie_offs": "mains 6 throat"}
    again = strings({}, Past(old), again=True)
    assert (again["path"], again["knots"], again["tie_offs"]) == (path, 4, "mains 6 throat")
    other = strings({"path": "one piece, mains from the head"}, Past(old))
    assert other == {"mains": ONE["mains"], "path": "one piece, mains from the head"}
    turned = strings({"crosses_start": "throat"}, Past(old))
    assert "path" not in turned
    assert (turned["pieces"], turned["mains_start"], turned["crosses_start"]) == (2, "throat", "throat")
    one = {"mains": ONE["mains"], "path": "one piece, mains from the throat", "knots": "2"}
    hybrid = strings({"crosses": "flint-120"}, Past(one))
    assert (hybrid["pieces"], hybrid["mains_start"]) == (2, "throat") and "knots" not in hybrid
    assert Job.model_validate({"date": "2026-11-25", "strings": hybrid}).strings.worked_out == (2, 4)
