"""A frame is taken in, in one screen: the records that it writes are those of ``passport take``."""

import re

import pytest
from benchserver import serving
from commandline import passport, tree
from places import DEMO

from passport.browser.counter.intake import FIELDS

OFFERED = ("once", "basis", "mains", "mains_tension", "crosses", "crosses_tension", "prestretch")
ONE, RACKED = "/frame/askwell/i", "/frame/quintaval/dos"


def filled(asker, frame: str, **said: str) -> dict[str, str]:
    """The form of a frame as it is offered, with what somebody says in it."""
    return {**dict.fromkeys(FIELDS, ""), **asker.offered(f"{frame}/order", OFFERED, **said)}


@pytest.mark.parametrize(
    ("frame", "said", "command"),
    [
        (ONE, {"promised": "friday"}, ("1042-9", "--again", "--promised", "friday")),
        (ONE, {"tension": "2 lb looser", "asked": "softer"}, ("1042-9", "--again", "--tension", "2 lb looser", "--asked", "softer")),
        (ONE, {"crosses_tension": "48", "mains": "cobblestone-130"},
         ("1042-9", "--again", "--mains", "cobblestone-130", "--crosses-tension", "48 lb")),
        (ONE, {"work": "none", "fit": "overgrip @ along the handle", "crack": "none", "grommets": "worn", "grommets_at": "9T 10H",
               "ring": "515 Hz", "seen": "scratched", "advised": "new grommets", "decided": "not now"},
         ("1042-9", "--fit", "overgrip @ along the handle", "--condition", "crack none, grommets worn 9T 10H, ring 515 Hz, scratched",
          "--advised", "new grommets", "--decided", "not now")),
        (RACKED, {"price": "24"}, ("0967-1", "--price", "24")),
        (RACKED, {"work": "none", "asked": "a new grip"}, ("0967-1", "--no-strings", "--asked", "a new grip")),
        (RACKED, {"act": "withdraw"}, ("0967-1", "--withdraw")),
    ],
    ids=["again", "looser", "a hybrid", "a grip, and looked at", "joins what waits", "not to be strung", "withdrawn"],
)  # fmt: skip
def test_the_records_are_those_of_the_command(shops, frame, said, command):
    """What the screen saves is byte for byte what the command writes for the same words, and can be taken back."""
    bench, commands = shops
    with serving(bench) as asker:
        form = filled(asker, frame, **said)
        got = asker.send(f"{frame}/order", form)
        if got.status == 409:
            got = asker.send(f"{frame}/order", {**form, "agreed": got.value("agreed")})
        assert got.status == 303, got.text
        assert asker.send(f"{frame}/order", form).status == 303, "sent again it leads to what was saved"
        assert "Take it back" in asker.follow(got).text
    done = passport("take", commands, *command, "--yes", "--sure")
    assert done.exit_code == 0, done.output
    assert tree(bench) == tree(commands)
    assert tree(bench) != tree(DEMO)


@pytest.mark.parametrize(
    ("said", "field", "told"),
    [
        ({"mains_tension": "90 lb"}, "mains_tension", "limit"),
        ({"tension": "a bit"}, "tension", "a bit"),
        ({"promised": "someday"}, "promised", "someday"),
        ({"fit": "overgrip"}, "fit", "overgrip"),
        ({"crack": "none", "crack_at": "3 o'clock"}, "crack_at", "no crack is said to be found"),
        ({"ring": "515"}, "ring", "515"),
    ],
)
def test_what_is_wrong_is_told_at_its_field(shops, said, field, told):
    """Each at its field, in the words of the commands and of ``check``; nothing is written and what was typed stays."""
    bench, _ = shops
    with serving(bench) as asker:
        got = asker.send(f"{ONE}/order", filled(asker, ONE, **said))
        assert got.status == 409
        about = got.text.partition(f'id="field-{field}"')[2].partition('<div class="field')[0]
        assert told in re.sub(r"<(?:input|textarea)[^>]*>", "", about)
        assert tree(bench) == tree(DEMO)


def test_a_record_that_was_changed_meanwhile_is_not_written_over(shops):
    """Somebody else's change is shown with what was said; saved again, both are in the record."""
    bench, _ = shops
    record = bench / "players/askwell/i.yaml"
    with serving(bench) as asker:
        form = filled(asker, ONE, promised="friday")
        record.write_text(record.read_text() + "private_note: changed in an editor\n")
        got = asker.send(f"{ONE}/order", form)
        assert got.status == 409 and "+ private_note: changed in an editor" in got.text
        assert asker.send(f"{ONE}/order", {**form, "basis": got.value("basis")}).status == 303
    assert "changed in an editor" in record.read_text() and "promised: 2026-11-27" in record.read_text()


def test_what_is_typed_is_kept_until_it_is_saved(shops):
    """What was said comes back after the program's end, and goes when the frame is taken in."""
    bench, _ = shops
    with serving(bench) as asker:
        assert asker.send(f"{ONE}/order/keep", filled(asker, ONE, asked="half a sentence")).status == 204
    with serving(bench) as asker:
        assert "half a sentence" in asker.ask(f"{ONE}/order").text
        assert asker.send(f"{ONE}/order", filled(asker, ONE, promised="friday")).status == 303
        assert "half a sentence" not in asker.ask(f"{ONE}/order").text
