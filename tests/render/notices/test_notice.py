"""The words of a message to a player."""

from datetime import date

import pytest

from passport.render.notices.notice import Noticed, Sender, notice

DAY = date(2026, 11, 25)
SHOP = Sender("Bench Nine", "9 Weir Lane", "Tuesday to Friday", "01632 960001")


def about(what, **more):
    """What a message is about."""
    return Noticed(what, "Ada", "Main (Tarn Larch 98)", DAY, **more)


def test_a_mail_says_what_the_records_do():
    """Greeting, what it is about, where to come, and nothing else."""
    words = notice([about("done")], SHOP, "en")
    assert words.subject == "Bench Nine: your racquet is done"
    assert words.text.splitlines() == [
        "Hello Ada,", "", "Your racquet Main (Tarn Larch 98) is done. You can collect it.", "",
        "Bench Nine", "9 Weir Lane", "Tuesday to Friday", "01632 960001",
    ]  # fmt: skip
    assert words.short == "Your racquet Main (Tarn Larch 98) is done. You can collect it. Bench Nine"


def test_a_day_that_is_over_is_told_so():
    """Strings were due, or are going to be; a reminder says how to be left alone."""
    over = notice([about("due", due=date(2026, 11, 1))], Sender("Bench Nine"), "en").text
    ahead = notice([about("due", due=date(2026, 12, 1))], Sender("Bench Nine"), "en").text
    assert "have been due for renewal since 1 November 2026." in over
    assert "are due for renewal on 1 December 2026." in ahead
    assert "no more messages" in over
    assert "no more messages" not in notice([about("done")], SHOP, "en").text


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("de", "seit dem 1. November 2026"),
        ("fr", "depuis le 1er novembre 2026"),
        ("es", "a partir del 1 de noviembre de 2026"),
        ("de-AT", "seit dem"),
        ("tlh", "since 1 November"),
    ],
)
def test_a_message_is_in_the_language_of_the_player(language, words):
    """The same languages as on the pages, days too; an unknown one gets English. No sign that a telephone does not know."""
    found = notice([about("due", due=date(2026, 11, 1))], SHOP, language)
    assert words in found.text
    assert not {"\u202f", "\xa0"} & set(found.text + found.short + found.subject)


def test_several_racquets_are_one_message():
    """A player with two frames that are due gets one message with both."""
    two = [about("due", due=date(2026, 12, 1)), Noticed("due", "Ada", "Twin", DAY, due=date(2026, 12, 3))]
    words = notice(two, SHOP, "en")
    assert "1 December" in words.short
    assert "racquet Twin are due for renewal on 3 December 2026." in words.short
    old = notice([about("replacement", old="Torn (Tarn Larch 98)")], SHOP, "en")
    assert "It takes the place of Torn (Tarn Larch 98)." in old.text
