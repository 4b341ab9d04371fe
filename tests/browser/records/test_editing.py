"""Records as forms: each field as it is described, errors at the field, the lines that change, and nobody's work lost."""

import re
from html import unescape

import pytest
from benchserver import serving
from commandline import passport, tree
from places import DEMO

from passport.acts.amending.described import shape_of
from passport.browser.records.forms import _UNSEEN, SHAPES
from passport.browser.records.labels import label
from passport.records.jsonschemas import CATALOGUE, FILES, schemas
from passport.records.load import load
from passport.render.theme.formats import BenchFormats

PLAYER = {"kind": "player", "name": "askwell"}
RECORD = "players/askwell/player.yaml"
HIDDEN = ("once", "kind", "name", "at", "was", "among")


def address(**asked: str) -> str:
    """Where a form is."""
    return "/record?" + "&".join(f"{key}={value}" for key, value in asked.items())


def filled(page, **said: str) -> dict[str, str]:
    """A form as it is offered, all its fields, with what somebody types into it; ``at_`` stands before a field."""
    inputs = dict(re.findall(r'<input id="[^"]*" name="(at\.[^"]*)" value="([^"]*)"', page.text))
    texts = dict(re.findall(r'<textarea id="[^"]*" name="(at\.[^"]*)"[^>]*>([^<]*)</textarea>', page.text))
    chosen = {
        name: found[1] if (found := re.search(r'<option value="([^"]*)"[^>]* selected>', rest)) else ""
        for name, rest in re.findall(r'<select id="[^"]*" name="(at\.[^"]*)"[^>]*>(.*?)</select>', page.text, re.DOTALL)
    }
    there = {name: unescape(value) for name, value in {**inputs, **texts, **chosen}.items()}
    new = {
        f"at.{name.removeprefix('at_').replace('__', '.')}" if name.startswith("at_") else name: value
        for name, value in said.items()
    }
    return {**{name: page.value(name) for name in HIDDEN}, **there, "act": "save", **new}


def test_every_field_of_every_record_is_described_as_in_its_schema():
    """What a form is made from has the fields of the JSON Schema of each kind of file, private and needed ones marked."""
    for kind, made in schemas().items():
        table = made if kind in FILES else made["$defs"][CATALOGUE[kind].__name__]
        shape = shape_of(kind)
        assert [one.name for one in shape.inner] == list(table["properties"])
        assert {one.name for one in shape.inner if one.required} == set(table.get("required", ()))
        told = {n for n, one in table["properties"].items() if one.get("description", "").startswith("Private")}
        assert {one.name for one in shape.inner if one.private} == told
    assert shape_of("parts").field("kind").choices[:2] == ("tape", "silicone")
    assert shape_of("frames").field("pattern").brief == "16x19"
    assert shape_of("frame").field("jobs").field("readings").field("mass").example == "312.4 g"


@pytest.mark.parametrize(
    ("asked", "said", "command"),
    [
        (PLAYER, {"at_plays_a_week": "4"}, ("player", "askwell", "--plays", "4")),
        (PLAYER, {"at_shows__history": "no"}, ("player", "askwell", "--history", "no")),
        (
            {"kind": "frame", "name": "askwell/i", "at": "jobs.1"},
            {"at_jobs__1__note": "Nothing new."},
            ("correct", "askwell/i", "--job", "1", "--set", "note=Nothing new."),
        ),
        (
            {"kind": "part", "name": "silicone"},
            {"at_price": "4.20"},
            ("correct", "silicone", "--part", "--set", "price=4.20"),
        ),
        (
            {"kind": "workshop", "name": "workshop"},
            {"at_tagline": "Strung as it was."},
            ("correct", "--workshop", "--set", "tagline=Strung as it was."),
        ),
    ],
    ids=["a player", "a group", "a job", "a part", "the shop"],
)
def test_a_value_is_changed_as_by_the_command(shops, asked, said, command):
    """The lines of the record are those that the command writes; all else is as it was, and what was left is not touched."""
    bench, commands = shops
    with serving(bench) as asker:
        form = filled(asker.ask(address(**asked)), **said)
        got = asker.send("/record", form)
        assert got.status == 303, got.text
        page = asker.follow(got)
        assert "Take it back" in page.text and next(iter(said.values())) in page.text
        after = tree(bench)
        assert asker.send("/record", form).headers["location"] == got.headers["location"] and tree(bench) == after
    done = passport(command[0], commands, *command[1:], "--yes", "--sure")
    assert done.exit_code == 0
    assert tree(bench) == tree(commands) != tree(DEMO)


def test_nothing_typed_changes_nothing(shops):
    """A form that is sent as it was offered writes no line, whatever kind of record it is of."""
    bench, _ = shops
    kinds = [PLAYER, {"kind": "frame", "name": "askwell/i"}, {"kind": "frame", "name": "askwell/i", "at": "jobs.1.strings"},
             {"kind": "workshop", "name": "workshop"}, {"kind": "workshop", "name": "workshop", "at": "instruments.1"},
             {"kind": "model", "name": "haldric-fallowgate-100"}, {"kind": "blank", "name": "fallowgate-a", "at": "readings.1"}]  # fmt: skip
    with serving(bench) as asker:
        for asked in kinds:
            got = asker.send("/record", filled(asker.ask(address(**asked))))
            assert got.status == 409 and "Nothing to change" in got.text, asked
    assert tree(bench) == tree(DEMO)


def test_what_is_wrong_stands_at_its_field_and_the_lines_on_request(shops):
    """An error in the words of ``check`` at the field that it is of; the lines that would change, before they do."""
    bench, _ = shops
    with serving(bench) as asker:
        page = asker.ask(address(**PLAYER))
        wrong = asker.send("/record", filled(page, at_plays_a_week="lots"))
        about = wrong.text.partition('id="about-f-plays_a_week"')[2].partition('<div class="field')[0]
        assert wrong.status == 409 and "is not a number" in about and 'value="lots"' in wrong.text
        looked = asker.send("/record", filled(page, at_plays_a_week="4", act="look"))
        assert looked.status == 200 and re.search(r"- plays_a_week: .+\n  \+ plays_a_week: 4", looked.text)
        frame = asker.ask(address(kind="frame", name="askwell/i"))
        unknown = asker.send("/record", filled(frame, at_model="no-such-frame"))
        about = unknown.text.partition('id="about-f-model"')[2].partition('<div class="field')[0]
        assert unknown.status == 409 and "no-such-frame" in about
        assert tree(bench) == tree(DEMO)


def test_what_does_not_touch_is_merged_and_what_does_is_shown(shops):
    """A value that somebody else wrote meanwhile stays beside another one; the same value is shown with both, nothing is
    written, and what was typed is still there, to be written knowingly."""
    bench, _ = shops
    record = bench / RECORD
    with serving(bench) as asker:
        form = filled(asker.ask(address(**PLAYER)), at_plays_a_week="4")
        record.write_text(record.read_text() + "hoop: bare\n")
        assert asker.send("/record", form).status == 303
        text = record.read_text()
        assert "hoop: bare" in text and "plays_a_week: 4" in text
        late = asker.send("/record", {**form, "once": "another", "at.plays_a_week": "6"})
        assert late.status == 409 and "Meanwhile changed to “4”" in late.text and record.read_text() == text
        again = {**form, "once": "third", "was": late.value("was"), "at.plays_a_week": "6"}
        assert asker.send("/record", again).status == 303 and "plays_a_week: 6" in record.read_text()


def test_an_entry_of_a_list_is_known_again_where_the_list_became_another(shops):
    """A job that was put in before the one that a form is of does not take the form's values."""
    bench, _ = shops
    asked = {"kind": "frame", "name": "askwell/i", "at": "jobs.1"}
    with serving(bench) as asker:
        form = filled(asker.ask(address(**asked)), at_jobs__1__note="Meant for the first job.")
        earlier = passport(
            "log", bench, "askwell/i", "--date", "2020-01-01", "--note", "older", "--yes", "--sure", "--no-build"
        )
        assert earlier.exit_code == 0
        after = tree(bench)
        got = asker.send("/record", form)
        assert got.status == 409 and "Nothing was written" in got.text and tree(bench) == after


def test_entries_are_added_and_taken_out(shops):
    """A check of an instrument as by ``check-instrument``; a new string gets the name that a walk-in's gets, a blank that of
    its model; what is taken out is asked first; what others name is not taken out."""
    bench, commands = shops
    with serving(bench) as asker:
        new = asker.ask(address(kind="workshop", name="workshop", at="instruments.1.checks.new"))
        said = {"at_instruments__1__checks__new__date": "2026-11-25", "at_instruments__1__checks__new__known": "200.0 g",
                "at_instruments__1__checks__new__reads": "200.1 g", "at_instruments__1__checks__new__against": "class M1 weight"}  # fmt: skip
        assert asker.send("/record", filled(new, **said)).status == 303
        done = passport(
            "check-instrument",
            commands,
            "scale",
            "--known",
            "200.0 g",
            "--reads",
            "200.1 g",
            "--against",
            "class M1 weight",
            "--yes",
            "--sure",
        )
        assert done.exit_code == 0 and tree(bench) == tree(commands)
        page = asker.ask(address(kind="string"))
        string = filled(page, at_maker="Ostrava Lines", at_name="Sable", at_material="nylon", at_gauge="1.25 mm")
        got = asker.send("/record", string)
        assert got.status == 303 and "name=sable-125" in got.headers["location"]
        lacking = asker.send("/record", filled(page, at_maker="Ostrava Lines", at_name="Sable"))
        assert lacking.status == 409
        blank = asker.send(
            "/record", filled(asker.ask(address(kind="blank")), at_model="haldric-fallowgate-100", at_serial="HW-1")
        )
        assert "name=haldric-fallowgate-100" in blank.headers["location"]
        assert load(bench)[0].blanks["haldric-fallowgate-100"].record.serial == "HW-1"
        form = {**filled(asker.follow(got)), "act": "remove"}
        asks = asker.send("/record", form)
        assert asks.status == 409 and "to be taken out" in asks.text and "sable-125" in load(bench)[0].strings
        assert asker.send("/record", {**form, "agreed": asks.value("agreed")}).status == 303
        assert "sable-125" not in load(bench)[0].strings
        model = {**filled(asker.ask(address(kind="model", name="haldric-fallowgate-100"))), "act": "remove"}
        assert asker.send("/record", model).status == 409
        assert "haldric-fallowgate-100" in load(bench)[0].models


def test_a_lot_is_begun_as_by_the_command(shops):
    """A new lot with what was bought of it is written as by ``passport stock``; one that is there is not begun twice, and an
    amount that cannot be read is told at its field."""
    bench, commands = shops
    said = {"at_of": "softmere-135", "at_batch": "LS26-2", "at_bought__1__date": "2026-11-24"}
    with serving(bench) as asker:
        assert 'href="/record?kind=lot"' in asker.ask("/records?kind=lot").text
        page = asker.ask(address(kind="lot"))
        wrong = asker.send("/record", filled(page, **said, at_bought__1__amount="a lot"))
        assert wrong.status == 409 and "amount" in wrong.text.partition('id="field-f-bought-1-amount"')[2][:900]
        got = asker.send("/record", filled(page, **said, at_bought__1__amount="200 m"))
        assert got.status == 303 and "name=softmere-135-ls26-2" in got.headers["location"]
        again = asker.send("/record", {**filled(page, **said, at_bought__1__amount="200 m"), "once": "again"})
        assert again.status == 409 and "in stock already" in again.text
    said = ("--buy", "softmere-135", "--batch", "LS26-2", "--amount", "200 m", "--date", "2026-11-24")
    done = passport("stock", commands, *said, "--yes")
    assert done.exit_code == 0 and tree(bench) == tree(commands)


def test_every_field_and_every_form_has_a_name_in_the_language_of_the_shop(shops):
    """No field of a form is called by its key, and what stands above a form is no English in a German shop."""
    words = BenchFormats("de")

    def names(shape) -> set[str]:
        return {name for one in shape.inner for name in ({one.name} | names(one))}

    shown = set[str]().union(*(names(shape_of(kind)) for kind in SHAPES.values())) - _UNSEEN
    assert len(shown) > 200 and {name for name in shown if label(name, words)[1] == "en"} == set()
    bench, _ = shops
    shop = bench / "workshop.yaml"
    shop.write_text(re.sub(r"^(language: ).*\n|\Z", "", shop.read_text(), flags=re.MULTILINE) + "\nlanguage: de\n")
    with serving(bench) as asker:
        for asked, head in (
            ({"kind": "frame", "name": "askwell/i", "at": "jobs.1"}, "Arbeiten 1 Rahmen 1042-9 I"),
            ({"kind": "lot"}, "Posten im Lager: "),
            ({"kind": "workshop", "name": "workshop", "at": "instruments.new"}, "Messgeräte: "),
        ):
            text = asker.ask(address(**asked)).text
            found = " ".join(re.sub(r"<[^>]+>", "", re.search(r"<h1>(.*?)</h1>", text)[1]).split())
            assert found.startswith(head) and "lang" not in text.partition("<h1")[2][:40]


def test_what_is_half_typed_survives_and_keys_are_not_shown(shops):
    """What was typed comes back after the program's end, unless the record is another by then; no form shows a key or a
    secret, or leads out of the records."""
    bench, _ = shops
    with serving(bench) as asker:
        form = filled(asker.ask(address(**PLAYER)), at_private_note="half a sen")
        assert asker.send("/record/keep", form).status == 204
    with serving(bench) as asker:
        page = asker.ask(address(**PLAYER))
        assert "half a sen" in page.text
        key = load(bench)[0].players["askwell"].record.key
        assert key and key not in page.text
        (bench / RECORD).write_text((bench / RECORD).read_text() + "hoop: bare\n")
        assert "half a sen" not in asker.ask(address(**PLAYER)).text
        for wrong in ("kind=frame&name=../workshop", "kind=frame&name=askwell/i&at=key", "kind=frame&name=askwell/i&at=jobs.99",
                      "kind=nothing&name=x", "kind=frame&name=askwell/i&at=number", "kind=player&name=nobody"):  # fmt: skip
            assert asker.ask(f"/record?{wrong}").status == 409, wrong
        assert asker.send("/record", {**form, "was": "nonsense", "once": "w"}).status == 409
        for shown in ("/records", "/records?kind=player&said=ask", "/records?kind=lot", "/records?kind=frame"):
            assert asker.ask(shown).status == 200
