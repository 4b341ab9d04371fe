"""Messages as addresses, held against the standards' own examples."""

from urllib.parse import parse_qs, unquote, urlsplit

import pytest

from passport.acts.telling.addressed import mailto, sms


def test_a_mail_address_is_encoded_as_the_standard_has_it():
    """RFC 6068: spaces are %20, line ends %0D%0A (section 5), '&' and '?' in a value are encoded, 'ç' by its UTF-8
    (section 6.2 has café as caf%C3%A9)."""
    link = mailto("list@example.org", "café & co?", "line 1\nline 2")
    assert link == "mailto:list@example.org?subject=caf%C3%A9%20%26%20co%3F&body=line%201%0D%0Aline%202"
    # the address of section 6.1's example: a percent sign and a question mark in it are encoded
    assert mailto("gorby%kremvax@example.com", "a", "b").startswith("mailto:gorby%25kremvax@example.com?")
    assert mailto("unlikely?address@example.com", "a", "b").startswith("mailto:unlikely%3Faddress@example.com?")


def test_a_text_message_is_encoded_as_the_standard_has_it():
    """RFC 5724's own example, ``sms:+15105550101?body=hello%20there``, from a number as people write it."""
    assert sms("+1 (510) 555-0101", "hello there") == "sms:+15105550101?body=hello%20there"


@pytest.mark.parametrize("text", ["Straße: 5 % & mehr? #1 + 'x' \"y\"", "王小明\n您好", "a=b;c"])
def test_what_is_encoded_reads_back(text):
    """Python's own reader of addresses finds subject and text again, letter for letter."""
    parts = urlsplit(mailto("a@b.example", text.replace("\n", " "), text))
    found = parse_qs(parts.query.replace("+", "%2B"))
    assert (found["subject"], found["body"]) == ([text.replace("\n", " ")], [text.replace("\n", "\r\n")])
    assert unquote(urlsplit(sms("01632 960155", text)).query.removeprefix("body=")) == text
