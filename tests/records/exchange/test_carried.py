"""What somebody brings: a file, the text of a tag, a saved page; and what is none of them."""

import html
import json
import time

import pytest

from passport.records.exchange.carried import MOST_BYTES, NotCarried, carried, setup_of
from passport.records.exchange.setup import SetupData
from passport.records.exchange.tagtext import tag_text
from passport.render.pages.data import setup_json, setup_line


@pytest.fixture(scope="module")
def frame(demo_facts):
    """A frame with everything."""
    return next(f for f in demo_facts.frames if f.number == "1042-9")


def refused(text: str, name: str = "brought"):
    """The fault that a text is refused with."""
    with pytest.raises(NotCarried) as raised:
        setup_of(text, name)
    return raised.value.fault


def test_the_three_ways_bring_the_same(frame, tmp_path):
    """The page brings what the fullest text of the file says, the tag the same targets, strings and masses."""
    data = setup_json(frame, "W").decode()
    page = f'<p>x</p>\n<a href="s.json" data-setup="{html.escape(setup_line(frame, "W"))}">'
    by_file, kind = setup_of(data, "f")
    by_page, other = setup_of(page, "p")
    by_tag, third = setup_of(tag_text(by_file), "t")
    assert (kind, other, third) == ("file", "page", "tag")
    assert tag_text(by_file) == tag_text(by_page)
    assert by_tag.finished.mass.target_g == by_file.finished.mass.target_g
    assert [p.mass_g for p in by_tag.build] == [p.mass_g for p in by_file.build]
    (tmp_path / "x.json").write_text(data, encoding="utf-8-sig")
    assert carried(tmp_path / "x.json")[0] == by_file


def test_a_page_saved_in_one_file_is_read(frame):
    """What a browser saves as a single file (MHTML, RFC 2557: quoted-printable parts) holds the setup, too."""
    from email.message import EmailMessage

    message = EmailMessage()
    message["Subject"] = "Passport"
    page = f'<html><body><a data-setup="{html.escape(setup_line(frame))}">x</a></body></html>'
    message.set_content(page, subtype="html", cte="quoted-printable")
    message.add_related(b"body {}", "text", "css")
    found, kind = setup_of(message.as_string(), "saved.mhtml")
    assert kind == "page" and found.number == frame.number


def test_a_fault_stands_at_its_place(frame):
    """A wrong value is underlined in its own line of the file, and said with what it is and what to do."""
    text = setup_json(frame).decode().replace('"target_g": 330', '"target_g": -5')
    fault = refused(text)
    assert '"target_g": -5' in fault.place.excerpt and fault.place.line > 50
    assert "finished.mass.target_g" in fault.what and "passport's page" in fault.do


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("", "no-setup"),
        ("a letter", "no-setup"),
        ("<html><p>hello", "no-setup"),
        ("{", "json-syntax"),
        ('{"format": 3, "format": 3}', "duplicate-key"),
        ('{"format": 3, "x": NaN}', "json-syntax"),
        ('{"format": 2, "number": "1"}', "setup-format"),
        ('{"format": 4, "number": "1"}', "setup-format"),
        ('{"format": 3, "number": "1"}', "setup-value"),
        ('{"format": 3, "number": "1", "sport": "tennis", "secret": "x"}', "setup-value"),
        ('{"format": 3, "number": "\\u202e1", "sport": "tennis"}', "control-character"),
        ('{"format": 3, "number": "\\u001b[2J", "sport": "tennis"}', "control-character"),
        ('{"format": 3, "number": "1", "sport": "tennis", "length_mm": 1e999}', "setup-value"),
        ('{"format": 3, "number": "1", "sport": "tennis", "string_path": ' + '{"a":' * 300 + "1" + "}" * 301, "json-syntax"),
        ('{"a":' * 50_000, "json-syntax"),
        ('{"format": 3, "label": "' + "x" * 500_000 + '"}', "too-large"),
        ("Racquet setup 1\n1042-9 tennis\nmass 5000g", "tag-text"),
        ("Racquet setup 1\n1042-9 tennis\nmains Oxbow / Reed, nylon, 51lb", "tag-text"),
        ("Racquet setup 1\n1042-9 tennis\nframe \u202eLarch", "control-character"),
    ],
)  # fmt: skip
def test_b1_what_is_no_setup_is_a_fault(text, rule):
    """B1: whatever is brought becomes a setup or a fault with a rule, a cause and a remedy; never a traceback."""
    fault = refused(text)
    assert fault.rule == rule and fault.what and fault.do
    assert fault.text().isprintable() or "\n" in fault.text()


@pytest.mark.parametrize(
    "unit",
    ['data-setup="', "data-setup='", "<a ", "A: b\n", "A: b\n ", "<!--", "<!", "&amp", '{"a":[', "Racquet setup 1\n"],
)
def test_b1_reading_takes_time_as_the_text_is_long(unit):
    """B1: twice as much of anything takes about twice as long, not four times: measured as a ratio in one run."""

    def seconds(count: int) -> float:
        text = unit * count
        best = 9.0
        for _ in range(3):
            start = time.process_time()
            with pytest.raises(NotCarried):
                setup_of(text, "x")
            best = min(best, time.process_time() - start)
        return best

    small, large = seconds(4_000), seconds(32_000)
    assert large < max(8 * small * 3, 0.2)


def test_b1_many_keys_take_no_longer_than_few():
    """B1: an object of 35,000 keys is refused within seconds of the processor's time."""
    text = "{" + ",".join(f'"k{i}":0' for i in range(35_000)) + "}"
    start = time.process_time()
    assert refused(text).rule == "setup-value"
    assert time.process_time() - start < 5


def test_b1_files_are_bounded(tmp_path):
    """B1: a file that is too large, a folder and a link in a circle are refused before they are read."""
    large = tmp_path / "large"
    with large.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    for path in (large, tmp_path):
        with pytest.raises(OSError, match="file"):
            carried(path)
    (tmp_path / "binary").write_bytes(b"\x80\xff" * 50)
    with pytest.raises(NotCarried):
        carried(tmp_path / "binary")


def test_a_setup_of_nothing_but_its_sport_is_one():
    """Number and sport alone make a setup: what nobody recorded is not there."""
    found, _ = setup_of(json.dumps({"format": 3, "number": "1042-9", "sport": "squash"}), "x")
    assert found == SetupData.model_validate({"format": 3, "number": "1042-9", "sport": "squash"})
