"""What a device without contact data is shown: every screen that there is, with contact data in the records, in the history,
in records with faults, and in forms."""

import re

import pytest
import smallshop
from benchserver import RoomAsker, serving
from commandline import passport

from passport.acts.devices.reach import reached_by
from passport.browser.app import screens
from passport.browser.devices.room import RoomWish
from passport.browser.devices.veil import veiled
from passport.browser.who import VEIL

NOW = (
    "secret-mail@ada.example",
    "01632 960777",
    "SECRET-PHONE",
    "SECRET-ADDRESS",
    "new-mail@ada.example",
    "01632 960778",
)
BEFORE = ("old-mail@bo.example", "01632 960999")
FILLED = {
    "player": "ada", "frame": "main", "once": "none", "name": "icon.svg", "kind": "player", "record": "ada", "number": "1",
    "blank": "none", "step": "1", "file": "none",
}  # fmt: skip


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A bench whose records, past and faults are full of contact data."""
    content = smallshop.write(tmp_path_factory.mktemp("shop") / "content")
    passport("player", content, "bo", "--email", BEFORE[0], "--phone", BEFORE[1], "--yes", "--sure")
    passport("player", content, "bo", "--email", "new-mail@ada.example", "--phone", "01632 960778", "--yes", "--sure")
    passport(
        "take",
        content,
        "ada/main",
        "--again",
        "--note",
        "call 01632 960777 or secret-mail@ada.example",
        "--yes",
        "--sure",
    )
    torn = content / "players" / "torn" / "player.yaml"
    torn.parent.mkdir()
    torn.write_text(
        "name: Torn\ncontact: {email: torn-mail@torn.example, phone: 01632 960555, fax: 1}\n", encoding="utf-8"
    )
    with serving(content, RoomWish("127.0.0.1")) as asker:
        yield asker


@pytest.fixture(scope="module")
def phone(bench):
    """A paired device without contact data."""
    found = RoomAsker(bench.serving)
    found.pair(bench)
    return found


def places(bench, method: str) -> list[str]:
    """The address of every screen that there is, filled in for a player with contact data."""
    found = [route for route in screens(bench.serving.bench).routes if method in route.methods]
    return [re.sub(r"\{(\w+)(?::\w+)?\}", lambda part: FILLED.get(part[1], "none"), route.path) for route in found]


def telling(text: str) -> list[str]:
    """What of the contact data a text holds."""
    return [word for word in (*NOW, *BEFORE, "torn-mail", "960555") if word in text]


def test_no_screen_shows_contact_data(bench, phone):
    """D6: Every screen that the bench has, asked for by a device without contact data, tells none; by this computer some do."""
    asked = [*places(bench, "GET"), "/find?q=ada", "/find?q=secret-mail%40ada.example", "/find?q=01632+960777"]
    assert len(asked) > 10
    assert {path: found for path in asked if (found := telling(phone.ask(path).text))} == {}
    assert [path for path in asked if telling(bench.ask(path).text)]
    assert {path for path in asked if phone.ask(path).status == 200} >= {"/", "/history", "/frame/ada/main"}


def test_no_form_s_answer_shows_contact_data(bench, phone):
    """D6: Nor does what any form answers; the list of changes that an undo shows had some, of now and of before."""
    forms = [{}, {"act": "undo"}, {"act": "look"}, {"act": "undo", "change": "2"}, {"act": "undo", "change": "1"}]
    shown = {"here": "", "phone": ""}
    for path in places(bench, "POST"):
        for form in forms:
            shown["phone"] += phone.send(path, form).text
            shown["here"] += bench.send(path, form).text if path == "/history" else ""
    assert telling(shown["phone"]) == []
    assert set(BEFORE) <= set(telling(shown["here"]))
    assert VEIL in shown["phone"]


def test_what_is_asked_for_is_all_that_is_in_the_records(bench):
    """D6: What a player is reached by is found in each record, one with faults too, and anew where a record changed."""
    root = bench.serving.bench.root
    assert set(NOW[:2]) - {"01632 960777"} | {"SECRET-ADDRESS", "01632 960778"} <= reached_by(root)
    assert "torn-mail@torn.example" in reached_by(root)


@pytest.mark.parametrize(
    ("page", "shown"),
    [
        ("<p>call 0163 1 or a.b+c@mail.example now</p>", f"<p>call {VEIL} or {VEIL} now</p>"),
        (
            "<pre>-  phone: 555\n+  phone: 556\n   name: Ada</pre>",
            f"<pre>-  phone: {VEIL}\n+  phone: {VEIL}\n   name: Ada</pre>",
        ),
        ("contact: {email: x, phone: 5}", f"contact: {{email: {VEIL}, phone: {VEIL}}}"),
        (
            '<input id="e" name="contact.email" type="text" value="x">',
            f'<input id="e" name="contact.email" type="text" value="{VEIL}">',
        ),
        ('<textarea name="phone" rows="1">55</textarea>', f'<textarea name="phone" rows="1">{VEIL}</textarea>'),
        ("<b>O&#x27;Hara Lane 5</b>", f"<b>{VEIL}</b>"),
        ("880 g, 52 lb @ 3 and 9, 2026-11-25, 01631", "880 g, 52 lb @ 3 and 9, 2026-11-25, 01631"),
        ('<label for="phone">Phone</label>', '<label for="phone">Phone</label>'),
        ('<input name="mass" value="880">', '<input name="mass" value="880">'),
    ],
)
def test_what_is_veiled_and_what_is_not(page, shown):
    """D6: What is known, what looks like a mail address, and what stands in a field or line for it; and nothing else."""
    assert veiled(page, {"0163 1", "O'Hara Lane 5"}) == shown


def test_what_a_device_said_itself_comes_back_in_its_form():
    """D6: A walk-in's number and mail that were typed on the phone stand in the form that is shown again; nobody else's do."""
    page = '<input name="phone" value="0163 1"><input name="email" value="a@b.example"><pre>+ phone: 0163 1</pre> c@d.example'
    assert veiled(page, {"0163 1"}, "0163 1\na@b.example") == page.replace("c@d.example", VEIL)
    assert veiled(page, {"0163 1"}, "0163\nb.example").count(VEIL) == 4


def test_a_walk_in_is_typed_on_a_device_without_contact_data(bench, phone):
    """D6: What was typed of a new player stands in the form that answers it, so that it can be saved; a form that was kept
    half filled, on this device or another, shows it to none without contact data."""
    form = {"player": "Nell Quarrier", "reach": "01632 960444 nell@quarrier.example", "act": "look"}
    assert form["reach"] in phone.send("/walk-in", form).text
    phone.send("/walk-in/keep", form)
    assert form["reach"] in bench.ask("/walk-in").text
    shown = phone.ask("/walk-in").text
    assert "Nell Quarrier" in shown and VEIL in shown and not [w for w in ("960444", "nell@") if w in shown]
