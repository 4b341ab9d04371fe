"""The way in which a player asks for a restring: what the workshop chose, filled in, and nothing that was not recorded."""

from dataclasses import replace
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from smallshop import KEYS, NUMBERS, facts, of

from passport.render.pages.restring_request import felt_message, restring_request


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop."""
    return facts(tmp_path_factory.mktemp("small"))


def test_mail_is_the_usual_way(small):
    """Without a choice it is mail (RFC 6068): number and label in the subject, strings and tensions in the text, no key."""
    found = restring_request(of(small, "ada/main"), small.shop)
    assert found
    parts = urlsplit(found.href)
    asked = parse_qs(parts.query, strict_parsing=True)
    assert (found.by, parts.scheme, parts.path) == ("mail", "mailto", small.shop.email)
    assert asked["subject"] == [f"Restring Main ({NUMBERS['main']})"]
    text = asked["body"][0].replace("\u202f", " ")
    assert text.split("\r\n") == [
        f"Please restring my racquet “Main” ({NUMBERS['main']}), Tarn Larch 98, as the last time:",
        "",
        "Mains: Oxbow Reed, 1.25 mm, 24.0 kg (52.9 lb)",
        "Crosses: Oxbow Flint, 1.20 mm, 23.0 kg (50.7 lb)",
        "",
        "Ada",
    ]
    assert KEYS["main"] not in unquote(found.href)


@pytest.mark.parametrize(
    ("ask", "by", "start"),
    [
        ("mail", "mail", "mailto:"),
        ("sms", "sms", "sms:01632960001?body=Please%20restring"),  # RFC 5724
        ("phone", "phone", "tel:01632960001"),
        ("https://book.bench-nine.example/?for=strings", "booking", "https://book.bench-nine.example/?for=strings"),
    ],
)
def test_the_workshop_chooses(small, ask, by, start):
    """Mail, SMS, telephone or the address of a booking, as the workshop's record says."""
    found = restring_request(of(small, "ada/main"), replace(small.shop, ask=ask))
    assert found
    assert found.by == by
    assert found.href.startswith(start)


def test_what_the_workshop_does_not_have_is_not_offered(small):
    """Without mail it is the telephone, without either nothing; and nothing for a frame that is out of play."""
    main = of(small, "ada/main")
    only_phone = restring_request(main, replace(small.shop, email=""))
    assert only_phone
    assert only_phone.by == "phone"
    assert restring_request(main, replace(small.shop, email="", phone="")) is None
    assert restring_request(of(small, "ada/split"), small.shop) is None


def test_strings_that_nobody_recorded_are_not_said(small):
    """A frame without a recorded stringing is asked to be strung, with no recipe."""
    found = restring_request(replace(of(small, "ada/main"), stringing=None), small.shop)
    assert found
    text = unquote(found.href)
    assert "Please string my racquet" in text
    assert "kg" not in text


def test_signs_in_a_name_stay_in_the_text(small):
    """Names with the signs of an address do not add a field or a receiver to the message."""
    odd = replace(of(small, "ada/main"), label="A&bcc=x@y.example?#", player="B&cc=z@y.example")
    found = restring_request(odd, small.shop)
    assert found
    parts = urlsplit(found.href)
    assert set(parse_qs(parts.query)) == {"subject", "body"}
    assert not parts.fragment


def test_how_it_felt_is_asked_with_the_racquet_filled_in(small):
    """The message names racquet and stringing, asks whether the words may stand on the page, and holds no key (RFC 6068); by
    SMS where the workshop chose that (RFC 5724); none for a frame out of play or without strings."""
    main = of(small, "ada/main")
    parts = urlsplit(felt_message(main, small.shop))
    asked = parse_qs(parts.query, strict_parsing=True)
    assert (parts.scheme, parts.path) == ("mailto", small.shop.email)
    (subject,), (text,) = asked["subject"], asked["body"]
    assert "Main" in subject
    assert NUMBERS["main"] in subject
    assert "2 March 2026" in subject
    assert "May stand on my page: yes / no" in text.split("\r\n")
    assert KEYS["main"] not in unquote(parts.query)
    assert felt_message(main, replace(small.shop, ask="sms")).startswith("sms:01632960001?body=How%20")
    assert felt_message(main, replace(small.shop, email="", phone="")) == ""
    assert felt_message(replace(main, stringing=None), small.shop) == ""
    assert felt_message(of(small, "ada/split"), small.shop) == ""
