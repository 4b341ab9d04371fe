"""The setup as data: all that is needed to build the same racquet again, in named units."""

import json

import pytest
from smallshop import NUMBERS, facts, frame, of

from passport.render.pages.data import FORMAT, setup_json


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop."""
    return facts(tmp_path_factory.mktemp("small"))


def data_of(found):
    """The file as a program reads it."""
    return json.loads(setup_json(found))


def test_the_strings_can_be_strung_from_it(small):
    """Strings, gauges, pull tensions in both units, pieces, knots and starts are all there."""
    strings = data_of(of(small, "ada/main"))["strings"]
    assert strings == {
        "date": "2026-03-02",
        "mains": {
            "string": "Reed",
            "maker": "Oxbow",
            "material": "nylon",
            "gauge_mm": 1.25,
            "pull_tension_lb": 52.91,  # 24 kgf / 0.45359237 kg/lb, exact by definition
            "pull_tension_kg": 24,
            "tension_written_in": "kg",
            "prestretch_percent": None,
            "mass_per_length_g_m": 1.42,
            "mass_per_length_uncertainty_g_m": 0.0284,  # 2 % of a weighed one (common practice, no source)
            "source": {"gauge_mm": "model", "material": "model", "mass_per_length_g_m": "model"},
        },
        "crosses": {
            "string": "Flint",
            "maker": "Oxbow",
            "material": "polyester",
            "gauge_mm": 1.2,
            "pull_tension_lb": 50.71,  # 23 kgf / 0.45359237 kg/lb, exact by definition
            "pull_tension_kg": 23,
            "tension_written_in": "kg",
            "prestretch_percent": None,
            "mass_per_length_g_m": 1.56,
            "mass_per_length_uncertainty_g_m": 0.0312,
            "source": {"gauge_mm": "model", "material": "model", "mass_per_length_g_m": "model"},
        },
        "pieces": 2,
        "knots": 4,
        "skips": "mains 8 throat",
        "fingerprint": {"reading": 585, "unit": "Hz", "age_min": 15, "taken": "2026-03-02"},
        "stencil": "Ring",
        "ink": "red",
        "source": {"knots": "worked out", "skips": "model"},
    }


def test_figures_carry_their_unit_in_their_name(small):
    """Each measured quantity has its reading, target and tolerance in a key that names the unit."""
    finished = data_of(of(small, "ada/main"))["finished"]
    mass = dict(finished["mass"])
    assert 0 < mass.pop("uncertainty_g") < 1
    taken, target = {"measured_g": 331.1, "taken": "2026-03-02"}, {"target_g": 330, "tolerance_g": 2}
    source = {"measured_g": "recorded", "best_estimate_g": "recorded", "target_g": "recorded"}
    assert mass == {**taken, "best_estimate_g": 331.1, **target, "source": source}
    names = ("measured", "best_estimate", "uncertainty", "target", "tolerance")
    assert set(finished["balance"]) == {"taken", "source", *(f"{name}_mm" for name in names)}
    assert set(finished["swingweight"]) == {"taken", "source", *(f"{name}_kgcm2" for name in names)}
    assert "twistweight" not in finished


def test_parts_have_place_and_mass(tmp_path):
    """A pair on the hoop has its hour, its two pieces and the mass of both; 12 o'clock is 12, not 0."""
    found = frame(
        tmp_path,
        "build:\n  - {part: lead-tape, place: 3 and 9, length: 40 mm}\n  - {part: lead-tape, place: 12, length: 50 mm}\n",
    )
    pair, top = data_of(found)["build"]
    assert (pair["clock"], pair["pieces"], pair["length_mm"], pair["mass_g"]) == (3, 2, 40, 1.6)
    assert (top["clock"], top["pieces"], top["length_mm"], top["mass_g"]) == (12, 1, 50, 1)
    assert top["from_mm"] > pair["from_mm"] > 0
    assert (pair["place"], pair["kind"], pair["part"]) == ("3 and 9", "tape", "Lead tape")


def test_who_it_is(small):
    """Number, label, model and dimensions say which racquet it is."""
    found = data_of(of(small, "ada/main"))
    assert found["format"] == FORMAT
    assert (found["number"], found["label"], found["sport"]) == (NUMBERS["main"], "Main", "tennis")
    assert found["frame"] == {"maker": "Tarn", "model": "Larch 98", "serial": "TL-1", "grip": "L3"}
    assert (found["length_mm"], found["updated"]) == (685, "2026-04-02")
    assert found["pattern"] == {"mains": 16, "crosses": 19, "source": {"mains": "model", "crosses": "model"}}


def test_a_frame_that_was_never_strung(small):
    """Without a stringing the strings are null, and nothing else is made up."""
    found = data_of(of(small, "ada/fresh"))
    assert (found["strings"], found["finished"], found["build"], found["updated"]) == (None, {}, None, None)


def test_neither_the_player_nor_the_address_is_in_it(small):
    """The file may be passed on: it names no player and leads to no page."""
    for found in small.frames:
        text = setup_json(found).decode()
        assert found.key not in text
        assert f'"{found.player}"' not in text
    assert "serial" not in data_of(of(small, "bo/only"))["frame"]


def test_readable_by_people_too(small):
    """The file is indented UTF-8 text that ends with a line break."""
    text = setup_json(of(small, "ada/main"))
    assert text.endswith(b"}\n")
    assert b'\n  "number"' in text


def test_zones_give_the_pull_of_each_string(demo_facts):
    """Zones stand as they were told, and every main from the centre and cross from the head has its pull in lb.

    The demo's frame: 21 lb on the mains, 22 on the crosses from the throat, the first six rising from 21, the last two a
    pound less.
    """
    frame = next(f for f in demo_facts.frames if f.stringing and f.stringing.zones)
    strings = data_of(frame)["strings"]
    assert [(z["of"], z["which"], z["count"]) for z in strings["zones"]] == [
        ("crosses", "first", 6),
        ("crosses", "last", 2),
    ]
    assert strings["pulls_lb"]["mains_from_centre"] == [21] * 11
    rising = [21, 21.2, 21.4, 21.6, 21.8, 22]
    assert strings["pulls_lb"]["crosses_from_head"] == [21, 21, *[22] * 14, *reversed(rising)]
    head = strings["method"]["tension_head_check"]
    assert (head["date"], head["set_lb"], head["pulled_lb"]) == ("2026-07-01", 25, 25)
