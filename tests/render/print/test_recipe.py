"""The recipe: all that the bench needs, short, in signs that any telephone shows."""

from dataclasses import replace

import pytest
from cardfacts import BARE, BED, CROWDED, DAY, EXTREMES, FRAME, LONG, part
from hypothesis import given
from hypothesis import strategies as st

from passport.records.exchange.tagtext import read_tag_text
from passport.records.schema.places import parse_place
from passport.render.drawing.qr import LEAST_MODULE_MM
from passport.render.print.recipe import SHORTEST, printed_forms, recipe, recipe_code
from passport.workshop.facts.facts import FingerprintFacts, ZoneFacts


def test_plain_text_of_an_ordinary_racquet() -> None:
    """An ordinary racquet's recipe reads like this: plain signs, a line a subject, nothing but what is needed."""
    assert recipe(FRAME, SHORTEST).plain == "\n".join(
        [
            '1042-9: "Match 1"; 12 Oct 2026',
            "Frame: Aria 130",
            "Mains: Tessera Soft; 1.20mm; 27lb/12.2kg",
            "Crosses: same string; 25lb/11.3kg",
            "Pattern: 14x18; 1 piece; 2 knots; start: mains throat, crosses head",
            "Skips: 7T 9T, 7H 9H",
            "Tie-offs: 8T, 5H",
            "Stencil: fan, white",
            "Target: Mass 152+-1g; Balance 352+-2mm (2.8pt HH); Swingweight 164+-1.5kgcm2",
            "Fitted: 2.4g Lead-free tape 6 mm, 2x90mm, 10 and 2 o'clock; 1.6g Tungsten tape, 2x60mm, 3 and 9 o'clock; "
            "5.5g Dry overgrip; 4.0g Handle silicone, inside the handle",
        ]
    )


@pytest.mark.parametrize("shorter", range(SHORTEST + 1))
@pytest.mark.parametrize("frame", [LONG, CROWDED], ids=["long", "crowded"])
def test_nothing_that_is_needed_is_left_out(frame, shorter) -> None:
    """Even the shortest form has strings, gauges, tensions in both units, pre-stretch, pattern, targets, parts, places."""
    plain, bed = recipe(frame, shorter).plain, frame.stringing
    for words in (
        frame.number, frame.label, frame.model, frame.grip, bed.mains.name, bed.crosses.name, "1.25mm", "1.30mm",
        "23.6kg/52lb", "24.5kg/54lb", "pre-stretch 10 %", "pre-stretch 5 %", "16x19", "2 pieces", "4 knots",
        "mains throat, crosses head", bed.skips, bed.tie_offs, bed.stencil, bed.ink, "318+-1g", "320+-2mm",
        "322+-1.5kgcm2", "14+-0.5kgcm2", "12 Oct 2026",
    ):  # fmt: skip
        assert words in plain, words
    for each in frame.parts:
        assert f"{each.mass:.1f}g {each.name}" in plain
    for where in ("2x90mm, 10 and 2 o'clock", "2x60mm, 3 and 9 o'clock", "inside the handle", "butt cap"):
        assert where in plain


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("de", ("Übersprungene Löcher: längs 8 Herz und Kopf", "Knotenlöcher: längs 6 Herz; quer 5 Kopf")),
        ("fr", ("Trous sautés: montants 8 cœur et tête", "Trous de nœud: montants 6 cœur; travers 5 tête")),
        (
            "es",
            ("Agujeros saltados: verticales 8 corazón y cabeza", "Nudos: verticales 6 corazón; horizontales 5 cabeza"),
        ),
    ],
)
def test_holes_are_named_in_the_players_language(language, said) -> None:
    """Skips and tie-offs that are written in the usual words are read in the player's language."""
    bed = replace(FRAME.stringing, skips="mains 8 at throat and head", tie_offs="mains 6 throat; crosses 5 head")
    plain = recipe(replace(FRAME, language=language, stringing=bed)).plain
    for words in said:
        assert words in plain


def test_forms_get_shorter() -> None:
    """The note goes first, then player and makers; no form is longer than the one before."""
    long, middle, short = (recipe(LONG, shorter).plain for shorter in range(3))
    assert len(long) > len(middle) > len(short)
    assert LONG.note.strip()[:20] in long and "Balance first" not in middle
    assert LONG.player in middle and LONG.player not in short
    assert LONG.stringing.mains.maker in middle and LONG.stringing.mains.maker not in short


def test_the_same_string_is_named_once() -> None:
    """Where mains and crosses are the same in all the crosses say so."""
    same = replace(FRAME, stringing=replace(FRAME.stringing, crosses=FRAME.stringing.mains))
    assert "Crosses: the same\n" in recipe(same).plain


def test_a_gauge_in_the_name_is_not_said_twice() -> None:
    """A string whose name carries its gauge is not followed by the gauge."""
    mains = replace(FRAME.stringing.mains, name="Tessera 1.20")
    assert "Tessera 1.20; 27lb" in recipe(replace(FRAME, stringing=replace(FRAME.stringing, mains=mains))).plain


def test_a_bare_frame() -> None:
    """A frame that was never strung has a recipe that says so, without empty rows."""
    plain = recipe(BARE).plain
    assert plain == '0003-6: "3"; Li\nFrame: Swift\nPattern: 14x18; no stringing recorded'


def test_without_a_target_the_measured_value_stands() -> None:
    """A quantity that has no target is given as it was measured."""
    specs = tuple(replace(s, target=None, tolerance=None) if s.quantity == "mass" else s for s in FRAME.specs)
    assert "Measured: Mass 152.4g\n" in recipe(replace(FRAME, specs=specs)).plain


def test_parts_of_one_name_are_named_once() -> None:
    """Two strips of the same tape, one after the other, are named once."""
    strips = (
        part("Tape", "tape", "12", 0.5, hour=0.0, length=25),
        part("Tape", "tape", "10 and 2", 1.6, hour=2.0, length=40),
    )
    plain = recipe(replace(FRAME, parts=strips)).plain
    assert "0.5g Tape, 2x25mm, 12 o'clock; 1.6g, 2x40mm, 10 and 2 o'clock" in plain


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=60))
def test_only_names_bring_other_signs(name) -> None:
    """Whatever a player is called, all else in the text is ASCII, and a row stays on its line."""
    plain = recipe(replace(FRAME, player=name)).plain
    rest = recipe(replace(FRAME, player="")).plain
    assert rest.isascii()
    assert plain.count("\n") == rest.count("\n")


@pytest.mark.parametrize("size", [40.0, 48.5, 56.0, 90.0])
def test_a_code_holds_the_fullest_text_that_reads_well(size) -> None:
    """A code's modules are never below the least size, and a larger square never leaves more out."""
    text, code = recipe_code(FRAME, size)
    fuller, other = recipe_code(FRAME, size + 10)
    if code:
        assert code.module_mm(size) >= LEAST_MODULE_MM
        assert code.level in ("M", "Q")
        assert other and len(fuller) >= len(text)
    else:
        assert not text


def test_a_code_is_read_as_the_setup_that_it_was_made_of() -> None:
    """What the code of an ordinary racquet says is its number, its targets, its strings and its parts."""
    text, _ = recipe_code(FRAME, 56.0)
    setup, bed = read_tag_text(text), FRAME.stringing
    assert (setup.number, setup.sport, setup.frame.model) == (FRAME.number, FRAME.sport, FRAME.model)
    assert {s.quantity: s.target for s in FRAME.specs} == {
        "mass": setup.finished.mass.target_g,
        "balance": setup.finished.balance.target_mm,
        "swingweight": setup.finished.swingweight.target_kgcm2,
        "twistweight": None,
    }
    assert setup.strings.mains.string == bed.mains.name and setup.strings.crosses.pull_tension_lb == 25
    assert [p.mass_g for p in setup.build] == [p.mass for p in FRAME.parts]


def test_too_long_for_a_code() -> None:
    """Where no form fits there is no code, and the rows are whole."""
    frame, _ = EXTREMES["crowded"]
    assert recipe_code(frame, 20.0) == ("", None)


def test_forms_for_print() -> None:
    """The printed forms begin with the one that the code holds, and end with the shortest."""
    forms = printed_forms(LONG, 1)
    assert len(forms) == 2
    assert forms[0] == tuple((row.label, row.phrases) for row in recipe(LONG, 1).rows)


def test_what_was_noted_of_a_part_is_printed():
    """Every part has its length where one was written down, and what was noted of it; a grip needs no place."""
    grip = replace(
        FRAME.parts[0],
        kind="overgrip",
        name="Dry overgrip",
        place=parse_place("along the handle"),
        length=180.0,
        count=1,
        note="from the butt, clockwise",
        sources=(),
    )
    text = recipe(replace(FRAME, parts=(grip,))).plain
    assert "Dry overgrip, 180mm, from the butt, clockwise" in text.replace(" mm", "mm")
    assert "along the handle" not in text


def test_zones_and_the_fresh_reading_are_in_the_recipe() -> None:
    """What is pulled otherwise stands with both units; the fresh reading with its age and what counts as the same.

    49 lb are 22.2 kg, 24 and 25 kg are 52.9 and 55.1 lb (1 lb = 0.45359237 kg, NIST SP 811, appendix B.8).
    """

    def newtons(kg: float) -> float:
        return kg * 9.80665

    zones = (
        ZoneFacts("mains", "last", 1, 2, (newtons(22.226), newtons(22.226)), "49 lb"),
        ZoneFacts("crosses", "numbered", 1, 6, (newtons(24), newtons(25)), "24 kg"),
        ZoneFacts("crosses", "outer", 1, 1, (newtons(24), newtons(24)), "24 kg"),
    )
    print_of = FingerprintFacts(612, "Hz", 1440, DAY, within=2.94)
    bed = replace(BED, zones=zones, fingerprint=print_of)
    said = recipe(replace(FRAME, stringing=bed)).plain
    assert (
        "By zone: last 2 mains each side 49lb/22.2kg; crosses 1-6 from the head from 24.0kg/52.9lb to 25.0kg/55.1lb; "
        "outermost cross at each end 24.0kg/52.9lb" in said
    )
    assert "Fresh reading: 612Hz, 24h after stringing, the same if within +-3Hz" in said
    assert "By zone" not in recipe(FRAME).plain
