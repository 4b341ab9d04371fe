"""The set card: all frames side by side, how equal they are, a recipe for each."""

import re
from dataclasses import replace

import pytest
from cardfacts import EXTREMES, LONG, LONG_SHOP, SHOP
from printed import made, twins
from printread import codes, text

from passport.records.exchange.tagtext import SHORTEST, tag_text
from passport.render.pages.data import setup_data
from passport.render.print.recipe import recipe, recipe_code
from passport.render.print.setcard import RECIPE_MM, set_pdf, set_pieces
from passport.render.theme.address import public_address


def test_front_says_how_equal_they_are() -> None:
    """The front has player, set, each number and label, each value, how far apart they are and the tolerance."""
    front = text(made("set"), 0)
    for words in (
        "Mara T.", "Match set · 3 racquets", "2001-0", "2002-1", "2003-2", "“Match 1 0”", "“Match 1 2”", "152.4", "152.6",
        "0.2 of 2.0", "0.0 of 4.0", "1.0 of 3.0", "164.9", "163.9", "Restring by 11 February 2027",
    ):  # fmt: skip
        assert words in front, words
    assert "Twistweight" not in front


def test_the_same_stringing_is_said_once() -> None:
    """Frames that are strung alike share a line for mains and one for crosses; others have a line each."""
    assert text(made("set"), 0).count("Tessera Soft") == 2
    player, group = twins(2)
    bed = group.frames[1].stringing
    frames = (group.frames[0], replace(group.frames[1], stringing=replace(bed, crosses=bed.mains)))
    front = text(set_pdf(player, replace(group, frames=frames), SHOP), 0)
    assert "“Match 1 0”: Mains Tessera Soft" in front
    assert "“Match 1 1”: Mains and crosses Tessera Soft" in front


@pytest.mark.parametrize("count", [2, 3, 4])
def test_each_frame_has_its_recipe(count) -> None:
    """The back has a code for each frame, which is its recipe; the front's code is the player's page."""
    player, group = twins(count)
    data = set_pdf(player, group, SHOP)
    (link,) = codes(data, 0)
    assert link.text == public_address(SHOP, player.key)
    found = {code.text for code in codes(data, 1)}
    assert len(found) == count
    for frame in group.frames:
        assert found & {tag_text(setup_data(frame), shorter) for shorter in range(SHORTEST + 1)}


def test_a_large_set_takes_several_cards() -> None:
    """Six frames take two cards: four and two, each with the spread of the whole set."""
    player, group = twins(6)
    pieces = set_pieces(player, group, SHOP)
    assert [piece.number for piece in pieces] == ["2001-0", "2005-4"]
    for piece in pieces:
        assert "6 racquets" in piece.sides[0] and "2.5<span" in piece.sides[0]
    assert "2004-3" in pieces[0].sides[0] and "2004-3" not in pieces[1].sides[0]


def test_a_recipe_too_long_for_a_code_stands_in_print_as_far_as_it_goes() -> None:
    """Where a recipe is too long for a code it is printed in its place; what has no room there is counted, and is on the
    racquet's page. Every recipe of the crowded frame without more parts still has its code."""
    assert all(recipe_code(frame, RECIPE_MM)[1] for frame in twins(3, replace(LONG, note=""))[1].frames)
    many = tuple(replace(LONG.parts[i % 6], name=f"{LONG.parts[i % 6].name}, number {i}") for i in range(21))
    player, group = twins(3, replace(LONG, note="", parts=many))
    assert recipe_code(group.frames[0], RECIPE_MM)[1] is None
    back = "".join(text(set_pdf(player, group, LONG_SHOP), 1).split())
    phrases = [phrase for row in recipe(group.frames[0], 2).rows[1:] for phrase in row.phrases]
    missing = [phrase for phrase in phrases if "".join(phrase.split()) not in back]
    told = re.findall(r"(\d+)more:onitspage", back)
    assert len(phrases) > 2 * len(missing) > 0
    assert [int(number) for number in told] == [len(missing)] * 3


def test_no_common_target() -> None:
    """Frames that aim at different figures, and frames without a reading, are still laid side by side."""
    player, group = twins(3)
    first, second, third = group.frames
    other = replace(second, specs=tuple(replace(s, target=150.0) if s.quantity == "mass" else s for s in second.specs))
    bare = replace(third, specs=EXTREMES["bare"][0].specs)
    values = tuple(
        replace(e, values=tuple((n, None if n == third.number else v) for n, v in e.values)) for e in group.equality
    )
    assert set_pdf(player, replace(group, frames=(first, other, bare), equality=values), SHOP).startswith(b"%PDF")
