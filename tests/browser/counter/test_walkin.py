"""A walk-in in one screen: the records that it writes are those of ``passport walk-in``, and what is lacking is told in place."""

import itertools
import re
from types import SimpleNamespace

import pytest
from benchserver import serving
from commandline import passport, tree
from places import DEMO

from passport.acts import drafts
from passport.browser.counter.newcomer import FIELDS
from passport.records.load import load
from passport.records.schema import numbers

MIRA = {"player": "Mira T.", "full_name": "Mira Tarrow", "reach": "01632 960155", "plays": "2"}
ALL_NEW = {
    **MIRA, "model": "Haldric, Fallowgate 98, tennis, 98 sq in", "mains": "Oxbow, Gorse, 1.30, polyester",
    "mains_tension": "52 lb", "crosses_tension": "50 lb", "asked": "softer than before", "promised": "friday",
}  # fmt: skip
COMMAND = (
    "Mira T., Mira Tarrow", "--reach", "01632 960155", "--plays", "2", "--frame", "Haldric, Fallowgate 98, tennis, 98 sq in",
    "--string", "Oxbow, Gorse, 1.30, polyester", "--tension", "52/50 lb",
)  # fmt: skip


@pytest.fixture
def same_keys(monkeypatch):
    """Call it, and the keys that are made from then on are the same ones again."""

    def begin() -> None:
        count = itertools.count()
        fresh = SimpleNamespace(token_bytes=lambda length: bytes([next(count)]) * length)
        monkeypatch.setattr(numbers, "secrets", fresh)

    return begin


def said(**words: str) -> dict[str, str]:
    """A form that says this, and nothing in its other fields."""
    return {**dict.fromkeys(FIELDS, ""), "done": "order", "once": "x", "act": "save", **words}


@pytest.mark.parametrize(
    ("form", "command"),
    [
        (ALL_NEW, (*COMMAND, "--asked", "softer than before", "--promised", "friday")),
        ({**ALL_NEW, "done": "done", "asked": "", "promised": "", "price": "£26", "note": "Play it in."},
         (*COMMAND, "--done", "--no-build", "--price", "£26", "--note", "Play it in.")),
        ({**MIRA, "model": "ostrevane-marlpit-98", "label": "Spare", "grip": "L2", "mains": "deep-petrol-125", "crosses": "Oxbow, Gorse, 1.30, poly",
          "mains_tension": "24 kg"},
         ("Mira T., Mira Tarrow", "--reach", "01632 960155", "--plays", "2", "--frame", "ostrevane-marlpit-98", "--called", "Spare, L2",
          "--string", "deep-petrol-125 / Oxbow, Gorse, 1.30, poly", "--tension", "24 kg")),
        ({"player": "quintaval", "which": "quintaval/tres", "mains_tension": "23 kg", "promised": "tomorrow"},
         ("quintaval", "--frame", "quintaval/tres", "--tension", "23 kg", "--promised", "tomorrow")),
    ],
    ids=["all new, wanted", "all new, done", "a known model, a hybrid", "a known frame"],
)  # fmt: skip
def test_the_records_are_those_of_the_command(shops, same_keys, form, command):
    """What the screen saves is byte for byte what the command writes for the same words."""
    bench, commands = shops
    with serving(bench) as asker:
        same_keys()
        got = asker.send("/walk-in", said(**form))
        if got.status == 409:
            same_keys()
            got = asker.send("/walk-in", said(**form, agreed=got.value("agreed")))
        assert got.status == 303, got.text
        assert "Take it back" in asker.follow(got).text
    same_keys()
    done = passport("walk-in", commands, *command, "--yes", "--sure")
    assert done.exit_code == 0, done.output
    assert tree(bench) == tree(commands)
    assert tree(bench) != tree(DEMO)


def test_what_is_lacking_is_asked_in_place_and_nothing_is_written(shops):
    """Of a new string known by its name alone, and a model of which the head size is not said, the missing parts are told
    at fields that are there now; the same form with them is saved."""
    bench, _ = shops
    with serving(bench) as asker:
        first = asker.ask("/walk-in")
        assert re.search(r'id="new-mains"[^>]* hidden', first.text)
        form = said(**MIRA, model="Haldric, Fallowgate 98, tennis", mains="Gorse", mains_tension="50 lb")
        got = asker.send("/walk-in", form)
        assert got.status == 409 and tree(bench) == tree(DEMO)
        assert not re.search(r'id="new-mains"[^>]* hidden', got.text) and 'placeholder="Gorse"' in got.text
        told = {
            name: "This is needed." in got.text.partition(f'id="field-{name}"')[2].partition('<div class="field')[0]
            for name in ("mains_maker", "mains_name", "mains_gauge", "mains_material", "model_maker", "model_head")
        }
        assert told == {"mains_maker": True, "mains_name": False, "mains_gauge": True, "mains_material": True,
                        "model_maker": False, "model_head": True}  # fmt: skip
        more = {"mains_maker": "Oxbow", "mains_gauge": "1,30", "mains_material": "polyester", "model_head": "98 sq in"}
        assert asker.send("/walk-in", {**form, **more}).status == 303
    records, faults = load(bench)
    assert not [fault for fault in faults if fault.severity == "error"]
    assert records.strings["gorse-130"].record.maker == "Oxbow" and records.frames["mira-t/1"].record.waiting


def test_who_is_meant_is_chosen_where_names_are_near(shops):
    """A name a letter off a known one is asked about; the known player is chosen by one press, or said to be somebody else."""
    bench, _ = shops
    with serving(bench) as asker:
        form = said(player="Junipr A.", model="ostrevane-marlpit-98", mains="deep-petrol-125", mains_tension="24 kg")
        got = asker.send("/walk-in", form)
        assert got.status == 409 and "Say which one is meant." in got.text and 'value="askwell"' in got.text
        known = asker.send("/walk-in", {**form, "player_meant": "askwell", "act": "look"})
        assert known.status == 200 and 'value="askwell/i"' in known.text
        assert "Say which frame it is." in asker.send("/walk-in", {**form, "player_meant": "askwell"}).text
        assert asker.send("/walk-in", {**form, "player_meant": "new"}).status == 303
    assert "junipr-a" in load(bench)[0].players


@pytest.mark.parametrize(
    ("words", "field", "told"),
    [
        ({"reach": "at the club"}, "reach", "is neither an e-mail address nor a telephone number"),
        ({"plays": "often"}, "plays", "often"),
        ({"mains_tension": "52 stone"}, "mains_tension", "stone"),
        ({"mains_tension": "90 lb"}, "mains_tension", "limit"),
        ({"promised": "someday"}, "promised", "someday"),
        ({"mains": "Oxbow, Gorse, poly", "mains_gauge": "thick"}, "mains_gauge", "is no gauge"),
        ({"player": ""}, "player", "This is needed."),
    ],
)
def test_what_is_wrong_is_told_at_its_field(shops, words, field, told):
    """Each at the field that it is about, in the words of the commands and of ``check``; what was typed stays."""
    bench, _ = shops
    with serving(bench) as asker:
        form = said(
            **{**MIRA, "model": "ostrevane-marlpit-98", "mains": "deep-petrol-125", "mains_tension": "24 kg", **words}
        )
        got = asker.send("/walk-in", form)
        assert got.status == 409
        about = got.text.partition(f'id="field-{field}"')[2].partition('<div class="field')[0]
        assert told in re.sub(r"<input[^>]*>", "", about)
        assert all(got.value(name) == text for name, text in words.items())
        assert tree(bench) == tree(DEMO)


def test_it_is_written_once_and_what_was_typed_is_kept_until_then(shops):
    """A half-filled form comes back after the program's end; the whole one, sent twice, is one walk-in; then it is empty."""
    bench, _ = shops
    with serving(bench) as asker:
        assert asker.send("/walk-in/keep", said(**MIRA)).status == 204
    with serving(bench) as asker:
        assert asker.ask("/walk-in").value("reach") == "01632 960155"
        first = asker.send("/walk-in", said(**ALL_NEW))
        after = tree(bench)
        again = asker.send("/walk-in", said(**ALL_NEW))
        assert (first.status, again.status) == (303, 303) and first.headers["location"] == again.headers["location"]
        assert tree(bench) == after
        assert asker.ask("/walk-in").value("player") == "" and not drafts.Draft(bench, "bench-walk-in").kept()
        asker.send("/walk-in/keep", said(**MIRA))
        asker.follow(asker.send("/walk-in", {"act": "clear"}))
        assert asker.ask("/walk-in").value("player") == ""
        assert asker.ask("/walk-in?player=Odo+V.").value("player") == "Odo V."
