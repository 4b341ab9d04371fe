"""The swing tag: a hole that both sides share, the recipe whole, as a code and in print."""

from dataclasses import replace

import pytest
from cardfacts import EXTREMES, FRAME, SHOP, part
from printed import made
from printread import MM, codes, inked, pages, text

from passport.records.exchange.tagtext import SHORTEST, read_tag_text, tag_text
from passport.render.pages.data import setup_data
from passport.render.print.recipe import beside_front, recipe, recipe_code
from passport.render.print.tag import HOLE, RECIPE_MM, TAG, tag_pdf
from passport.render.theme.address import public_address

CLEAR = 2.5 + 3.0
"""Nothing may stand nearer to the middle of the 5 mm hole, mm (common practice, no source: 3 mm round a hole)."""


def squeezed(words: str) -> str:
    """Words without any space."""
    return "".join(words.split())


@pytest.mark.parametrize("extreme", EXTREMES)
def test_nothing_stands_near_the_hole(extreme) -> None:
    """No letter is nearer to the hole than 3 mm, on either side."""
    for page in pages(made("tag", extreme)):
        x, y = HOLE[0] * MM, page.height - HOLE[1] * MM
        for char in page.chars:
            x0, x1, low, high = inked(char)
            across, up = max(x0 - x, x - x1, 0), max(low - y, y - high, 0)
            assert (across**2 + up**2) ** 0.5 > CLEAR * MM, char["text"]


def test_the_hole_is_drawn_at_one_place_on_both_sides() -> None:
    """A white disc of 5 mm marks the hole, and front and back have it at the same distance from the same edges."""
    found = []
    for page in pages(made("tag")):
        discs = [
            c for c in page.curves
            if abs(c["width"] - 5 * MM) < 0.05 and abs(c["height"] - 5 * MM) < 0.05 and set(c["non_stroking_color"]) == {1.0}
        ]  # fmt: skip
        assert len(discs) == 1
        found.append(((discs[0]["x0"] + discs[0]["x1"]) / 2 / MM, (discs[0]["top"] + discs[0]["bottom"]) / 2 / MM))
    assert found[0] == pytest.approx(HOLE, abs=0.02)
    assert (TAG.width - found[1][0], found[1][1]) == pytest.approx(HOLE, abs=0.02)


def test_front_says_whose_and_how_strung() -> None:
    """The front has shop, number, label, player, model, both strings with both units, limit, date and due date."""
    front = text(made("tag"), 0)
    for words in (
        "Halyard & Pine", "1042-9", "“Match 1”", "Mara T.", "Corvina Aria 130", "Tessera Soft", "27 lb", "12.2 kg",
        "25 lb", "11.3 kg", "Frame limit 30 lb / 13.6 kg", "Strung 12 Oct 2026", "Restring by 11 February 2027",
    ):  # fmt: skip
        assert words in front, words


def test_the_rule_without_a_day_is_as_large_as_a_day() -> None:
    """Where no day is known the rule on the strip takes two lines of at least 7 pt instead of one of small letters."""
    front = next(iter(pages(tag_pdf(replace(FRAME, due=None), SHOP))))
    strip = [c for c in front.chars if c["top"] > 115 * MM]
    assert "Restringatleast" in squeezed("".join(c["text"] for c in strip))
    assert min(c["size"] for c in strip) >= 7
    assert len({round(c["matrix"][5], 1) for c in strip}) == 2


def test_codes_lead_to_page_and_recipe() -> None:
    """The front's code is the page's address, the back's, which is large, the recipe as plain text; level Q or H, M for the recipe."""
    (link,) = codes(made("tag"), 0)
    (words,) = codes(made("tag"), 1)
    assert link.text == public_address(SHOP, FRAME.key)
    assert words.text in {tag_text(setup_data(FRAME), shorter) for shorter in range(SHORTEST + 1)}
    assert link.ec_level in ("Q", "H") and words.ec_level in ("M", "Q", "H")


def test_the_modules_of_every_demo_tag_are_large(demo_facts, record_property) -> None:
    """No module of the code of any tag of the demo is smaller than 0.62 mm, read back from the printed size."""
    sizes = {}
    for frame in demo_facts.frames:
        text_, code = recipe_code(frame, RECIPE_MM)
        assert code, frame.number
        sizes[frame.number] = code.module_mm(RECIPE_MM)
        assert read_tag_text(text_).number == frame.number
    record_property("counted", f"{len(sizes)} tags, the smallest module {min(sizes.values()):.3f} mm")
    assert min(sizes.values()) >= 0.62


@pytest.mark.parametrize("extreme", EXTREMES)
def test_the_recipe_stands_in_print_too(extreme) -> None:
    """Each row of the recipe stands in print on the back, or on the front, or in the code with a word in print that there is
    more."""
    frame, _ = EXTREMES[extreme]
    front, back = (squeezed(text(made("tag", extreme), side)).casefold() for side in (0, 1))

    def stands(row) -> bool:
        return squeezed(row.label + row.text.replace("\u00a0", "").replace("\u202f", "")).casefold() in back

    whole = any(all(map(stands, recipe(frame, shorter).rows)) for shorter in range(3))
    beside = {label for label, _ in beside_front(frame)}
    if not whole and all(stands(row) for row in recipe(frame, 2).rows if row.label in beside):
        bed = frame.stringing
        strings = (bed.mains, bed.crosses) if bed else ()
        said = (frame.label, frame.player, frame.model, *(string.name for string in strings))
        whole = all(squeezed(word).casefold() in front for word in said)
    # What there is no room for is in the code in any case, and the tag says that there is more.
    assert whole or ("more:onitspage" in back and codes(made("tag", extreme), 1))


def test_names_in_other_scripts_survive_the_code() -> None:
    """Names with accents come out of the code as they went in."""
    frame = replace(FRAME, label="Größe Å", parts=(part("Überzug für Griffe", "overgrip", "along the handle", 5.0),))
    (words,) = codes(tag_pdf(frame, SHOP), 1)
    assert "Überzug für Griffe" in words.text


def test_far_too_long_a_recipe_says_what_is_missing() -> None:
    """A recipe longer than the whole tag says how much of it stands elsewhere."""
    parts = tuple(part(f"Part with a rather long name, number {i}", "other", "throat", 0.1 * i) for i in range(1, 60))
    back = text(tag_pdf(replace(FRAME, parts=parts), SHOP), 1)
    assert "more: on its page" in back
