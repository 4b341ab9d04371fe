"""What stands in sentences for the technician is in the shop's language; what is packed, compared or data is not."""

from datetime import date

import pytest
from places import DEMO

from passport.records.language.worded import speaking
from passport.records.load import load
from passport.records.schema.places import parse_place
from passport.render.voice import bench_voice
from passport.render.voice.bench_voice import BenchVoice, voice_of
from passport.workshop.facts.decided import Decided
from passport.workshop.facts.spoken_names import all_of, name_said, place_said, weekday_said
from passport.workshop.facts.wire import packed, unpacked
from passport.workshop.gathering.gather import Gatherer


def test_names_of_the_trade_and_names_of_ones_own():
    """A quantity, a tool and a place are said in German; a part's own name, hours and millimetres stay."""
    with speaking(voice_of("de")):
        assert [name_said(one) for one in ("swingweight", "scale", "Leather")] == ["Schwunggewicht", "Waage", "Leather"]
        places = [parse_place(text) for text in ("throat", "3 and 9", "at 40 mm")]
        assert [place_said(one) for one in places] == ["Herz", "3 and 9", "at 40 mm"]
        assert weekday_said(date(2026, 12, 1)) == "Dienstag"
        assert all_of(["a", "b", "c"]) == "a, b und c"
    assert name_said("swingweight") == "swingweight" and weekday_said(date(2026, 12, 1)) == "Tuesday"
    assert (all_of([]), all_of(["a"]), all_of(["a", "b", "c"])) == ("", "a", "a, b and c")


def test_a_sentence_is_in_one_language(tmp_path):
    """A language that has words for a name, but none for the sentences, says the name in English as well."""
    path = tmp_path / "xx.po"
    path.write_text('msgid "throat"\nmsgstr "cuore"\n', encoding="utf-8")
    with speaking(BenchVoice((("it", path),))):
        assert name_said("throat") == "throat"
    path.write_text(
        'msgid "throat"\nmsgstr "cuore"\n\nmsgid "{words} and {last}"\nmsgstr "{words} e {last}"\n', "utf-8"
    )
    bench_voice._read.cache_clear()
    with speaking(BenchVoice((("it", path),))):
        assert name_said("throat") == "cuore"


def test_every_day_of_the_week():
    """2026-11-30 is a Monday (Gregorian calendar); English days are those of the C locale."""
    days = [date(2026, 11, 30 - 6 + i) for i in range(7)]
    assert [weekday_said(day) for day in days] == [f"{day:%A}" for day in days]


@pytest.mark.parametrize("decidable", [True, False])
def test_what_settles_a_verdict_is_put_into_words_when_it_is_shown(decidable):
    """The plain value is one in every language; its sentence follows the language."""
    found = Decided(decidable, "", "", "the last digit and the scatter of one look ({thing})", "mass", 0.6)
    english = found.text
    with speaking(voice_of("de")):
        german = found.text
    assert english.startswith("As things are measured, no ") and "60 % of its uncertainty is the last digit" in english
    assert german.startswith("So, wie gemessen wird, ") and "60 % der Unsicherheit" in german and "(Gewicht)" in german
    assert ("could be called inside" in english) == (not decidable)


def test_facts_are_the_same_bytes_in_every_language():
    """What a build keeps and compares does not hang on the language that the technician is spoken to."""
    made = []
    for language in ("en", "de"):
        with speaking(voice_of(language)):
            gatherer = Gatherer(load(DEMO)[0])
            made.append([packed(gatherer.frame(name)) for name in sorted(gatherer.content.frames)])
    assert made[0] == made[1]


def test_an_open_verdict_survives_being_packed():
    """Facts that were read back say the same."""
    gatherer = Gatherer(load(DEMO)[0])
    frames = [gatherer.frame(name) for name in gatherer.content.frames]
    opens = [frame for frame in frames if any(spec.settled for spec in frame.specs)]
    assert opens, "the demo has a verdict that is too close to call"
    back = unpacked(type(opens[0]), packed(opens[0]))
    assert [spec.settled for spec in back.specs] == [spec.settled for spec in opens[0].specs]
