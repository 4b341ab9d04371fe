"""The layout of a bench sheet: the room it counts with is the room there is."""

from dataclasses import replace

import pytest
from markupsafe import Markup
from sheetfacts import SHOP, crowded, hopeless, long, ordinary

from passport.render.sheets.drawing import aspect
from passport.render.sheets.room import HEIGHT, LINE, LaidOut, _rows
from passport.render.sheets.sheet import _templates
from passport.render.sheets.view import WIDTH
from passport.render.theme.textfit import text_width


def view(found) -> LaidOut:
    """The layout of a rebuild."""
    say, _, f = _templates("sheet", found, SHOP)
    return LaidOut(found, say, f, "k")


@pytest.mark.parametrize("found", [ordinary, hopeless, long, crowded])
def test_the_front_is_as_high_as_the_paper(found):
    """The drawing takes no more than what the other parts of the front leave."""
    shown = view(found())
    assert aspect(shown.drawing, shown.drawing_width) <= shown.front_rest
    assert 72 <= shown.drawing_width <= WIDTH


@pytest.mark.parametrize("found", [ordinary, hopeless, long, crowded])
def test_the_back_is_as_high_as_the_paper(found):
    """All lines of the work together with what else is on the back fit its height, and none is too low to write in."""
    shown = view(found())
    rows = sum(shown.row_height(row) for row in shown.work if row.expected)
    clear = sum(7.9 for row in shown.work if not row.expected)
    others = 0.0 if shown.split else shown.middle_height
    end = 0.0 if shown.ends_later else 29.0
    assert rows + clear + others + end < HEIGHT
    assert all(5.2 <= shown.row_height(row) <= 9.0 for row in shown.work if row.expected)


def test_notes_go_where_there_is_room():
    """A few notes stand on the front; more of them beside the table of grams; very many on a page of their own."""
    assert view(ordinary()).notes_at == "front"
    assert view(long()).notes_at == "back"
    flood = replace(ordinary(), notes=tuple(f"Note {i}, which is a sentence of some length. " * 3 for i in range(25)))
    assert view(flood).notes_at == "more"
    assert view(flood).overflows and not view(ordinary()).overflows


def test_a_name_that_takes_two_lines_has_room():
    """Names beside lines are as wide as their longest word, and a name of several lines takes their height."""
    short, tall = (
        _rows([(Markup("Mains"), "a")], 20.0),
        _rows([(Markup("Mains and all that is crossed"), "a")], 20.0),
    )
    assert tall == pytest.approx(short + LINE)
    shown = view(ordinary())
    assert shown.name_width == 20.0
    words = replace(shown, say=_Renamed(shown.say))
    assert words.name_width > text_width("Besaitungsanweisung", "text-400", 7.5)


class _Renamed:
    """The words of a sheet with a long name in front of a line."""

    def __init__(self, say):
        self._say = say

    def __getattr__(self, name):
        return getattr(self._say, name)

    def strings(self, _):
        """One line."""
        return Markup("Besaitungsanweisung für alle|24 kg|rest")


def test_without_all_three_targets_there_is_no_chart():
    """The chart needs a wanted mass, balance and swingweight; without one of them its place stays free."""
    found = ordinary()
    without = replace(found, aims=tuple(a for a in found.aims if a.quantity != "swingweight"))
    assert view(without).chart == "" and view(without).pictures == {}
    assert view(without).middle_height < view(found).middle_height
    assert 'src="picture:reach-k"' in view(found).chart and "<svg" in view(found).pictures["reach-k"]
    assert "<svg" in view(found).picture
