"""An order in words, and what a job did otherwise, in English and in the shop's language."""

import pytest

from passport.records.language.worded import speaking
from passport.records.schema.frame import Job, Order
from passport.render.voice.bench_voice import voice_of
from passport.workshop.orders.wanted import condition_words, differences, findings, ordered_lines, work_wanted

ORDER = Order.model_validate(
    {
        "taken": "2026-11-20",
        "promised": "2026-11-24",
        "asked": "softer",
        "strings": {
            "mains": {"string": "reed", "tension": "24.5 kg", "prestretch": "5 %"},
            "crosses": {"string": "flint", "tension": "23 kg"},
        },
        "fitted": [{"part": "overgrip", "place": "along the handle"}],
        "repairs": [{"what": "grommets", "where": "9T"}],
        "condition": {"crack": "none", "hoop": "dull", "grommets": "worn", "grommets_at": "9T", "grip": "sound"},
        "price": "20 €",
    }
)
JOB = Job.model_validate(
    {
        "date": "2026-11-25",
        "strings": {
            "mains": {"string": "reed", "tension": "24 kg"},
            "crosses": {"string": "flint", "tension": "23 kg"},
        },
    }
)


def test_an_order_in_english():
    """Every line as a person reads it at the bench; 2026-11-24 is a Tuesday."""
    assert ordered_lines(ORDER, {}) == [
        "Ordered: restring, reed at 24.5 kg, crosses flint at 23 kg, pre-stretch 5 % / none; fit overgrip along the "
        "handle; repair: grommets 9T, promised for Tuesday 2026-11-24, taken 2026-11-20",
        "Asked: softer",
        "Seen: no crack found, tapped hoop sounds dull, grommets worn 9T, grip sound",
        "Price: 20 €",
    ]
    assert findings(ORDER.condition) == ["tapped hoop sounds dull", "grommets worn 9T"]


def test_the_same_in_german():
    """Values of fields that stand in the sentences are German too; what a person wrote stays as it was written."""
    with speaking(voice_of("de")):
        head, asked, seen, price = ordered_lines(ORDER, {})
        assert findings(ORDER.condition) == ["Rahmen klingt beim Klopfen dumpf", "Ösen abgenutzt 9T"]
    assert head.startswith("Bestellt: neu bespannen, reed mit 24.5 kg, quer flint mit 23 kg, Vordehnung 5 % / keine; ")
    assert "anbringen: overgrip entlang dem Griff; Reparatur: Ösenband 9T" in head
    assert "versprochen für Dienstag, 24.11.2026, angenommen 20.11.2026" in head
    assert asked == "Gewünscht: softer" and price == "Preis: 20 €"
    assert seen == "Gesehen: kein Riss gefunden, Rahmen klingt beim Klopfen dumpf, Ösen abgenutzt 9T, Griffband heil"


def test_what_a_job_did_otherwise():
    """Each difference is a sentence, in either language."""
    assert differences(ORDER, JOB, {}) == [
        "Wanted on the mains: 24.5 kg. Strung: 24 kg.",
        "Wanted on the mains: pre-stretch 5 %. Done: none.",
        "Wanted but not fitted: overgrip along the handle.",
        "Wanted but not repaired: grommets 9T.",
    ]
    with speaking(voice_of("de")):
        assert differences(ORDER, JOB, {}) == [
            "Gewünscht (längs): 24.5 kg. Bespannt: 24 kg.",
            "Gewünscht (längs): Vordehnung 5 %. Gemacht: keine.",
            "Gewünscht, aber nicht angebracht: overgrip entlang dem Griff.",
            "Gewünscht, aber nicht repariert: Ösenband 9T.",
        ]


@pytest.mark.parametrize(
    ("mains", "crosses", "said"),
    [
        ("5 %", "5 %", "pre-stretch 5 %"),
        ("5 %", "10 %", "pre-stretch 5 % / 10 %"),
        ("5 %", None, "pre-stretch 5 % / none"),
        (None, "10 %", "pre-stretch none / 10 %"),
        (None, None, ""),
    ],
)
def test_pre_stretch_of_both_sides(mains, crosses, said):
    """What mains and crosses have alike is said once; a side without is said to have none."""
    sides = {
        side: {"string": "reed", "tension": "24 kg"} | ({"prestretch": amount} if amount else {})
        for side, amount in (("mains", mains), ("crosses", crosses))
    }
    (work,) = work_wanted(Order.model_validate({"strings": sides}), {})
    assert work == ", ".join(filter(None, ("restring, reed at 24 kg", said)))


def test_a_crack_is_told_in_a_language_that_somebody_has_read():
    """The warning is German in German, and English where the words of a language were read by nobody."""
    cracked = Order.model_validate({"condition": {"crack": "found", "crack_at": "at 2"}}).condition
    assert condition_words(cracked) == ["CRACK FOUND at 2"]
    for language, said in (("de", "RISS GEFUNDEN at 2"), ("it", "CRACK FOUND at 2"), ("zh", "CRACK FOUND at 2")):
        with speaking(voice_of(language)):
            assert condition_words(cracked) == [said]
