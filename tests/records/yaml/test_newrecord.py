"""New records: readable at once, with remarks that become sound lines."""

import re
from datetime import date

import overlay
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.schema.frame import Frame
from passport.records.schema.player import Player
from passport.records.yaml import yamltext
from passport.records.yaml.newrecord import frame_text, frame_values, player_text

DAY = date(2026, 11, 25)
KEY = "9R6S7T8V9W0X1Y2Z3A4B5C6D7E"
TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Cn", "Co")), min_size=1).filter(
    str.strip
)


def tree(text):
    """The data of a text that must be readable."""
    data, _, faults = yamltext.read(text, "x.yaml")
    assert not faults, [fault.text() for fault in faults]
    return data


@given(TEXTS, TEXTS, TEXTS)
def test_whatever_a_label_is(label, serial, grip):
    """Any label, serial and grip size is read back as it was typed."""
    values = frame_values("1003-1", KEY, model="larch-98", label=label, serial=serial, grip=grip, since=DAY)
    frame = Frame.model_validate(tree(frame_text(values)))
    assert (frame.label, frame.serial, frame.grip) == (label.strip(), serial.strip(), grip.strip())
    assert (frame.number, frame.key, frame.status, frame.since) == ("1003-1", KEY, "active", DAY)


@given(TEXTS, st.sampled_from(["", "fr"]))
def test_whatever_a_player_is_called(name, language):
    """Any name is read back as it was typed."""
    player = Player.model_validate(tree(player_text(name, KEY, language)))
    assert (player.name, player.key, player.language) == (name.strip(), KEY, language)


def test_what_is_not_known_is_left_out():
    """Empty values make no lines."""
    values = frame_values("1003-1", KEY, model="larch-98", label="Third", since=DAY)
    assert set(tree(frame_text(values))) == {"number", "key", "model", "label", "status", "since"}


@pytest.mark.parametrize("setup", ["", "setup:   # as it was\n  mass: 331 g\n  # note\n"])
def test_the_remarks_become_sound_lines(tmp_path, setup):
    """With the marks of the remarks taken away the record passes every check; a setup that is handed over stays whole."""
    values = frame_values("1003-1", KEY, model="larch-98", label="Third", since=DAY)
    text = frame_text(values, remark="Replaces 1001-5.", setup=setup)
    assert text.startswith("# Replaces 1001-5.\nnumber: 1003-1\n")
    assert setup in text
    lines = re.sub(r"^# (build:|  - |setup:|  [a-z])", r"\1", text, flags=re.MULTILINE).replace(
        "cushion-grip", "thin-overgrip"
    )
    assert "\n  - {part: thin-overgrip" in lines
    assert overlay.third(tmp_path, lines.replace("label: Third\n", "")) == []


def test_a_player_with_every_remark_taken_up():
    """The remarks of a player's record are sound lines once they are filled in."""
    text = player_text("Inés", KEY).replace("# full_name:", "full_name: Inés X").replace("# plays", "plays")
    text = text.replace(
        "# contact: {email: , phone: , address: }", "contact: {email: a@b.example, phone: '1', address: x}"
    )
    player = Player.model_validate(tree(text))
    assert (player.full_name, player.contact.email, player.plays_a_week) == ("Inés X", "a@b.example", 2)
