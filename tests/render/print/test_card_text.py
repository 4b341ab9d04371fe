"""Running text: all of it in the room there is, or a word on how much is missing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.render.print.card_text import Running, fullest, running
from passport.render.theme.textfit import text_width

WORDS = st.lists(st.text("abc Wi", min_size=1, max_size=30), min_size=1, max_size=12)


def more(count: int) -> str:
    """What stands for phrases that found no room."""
    return f"{count} more"


def said(block: Running) -> str:
    """All lines as one text without its spaces."""
    return "".join(line.text for line in block.lines).replace(" ", "").replace("\u00a0", "")


@given(WORDS, st.floats(12, 60), st.floats(5, 60))
def test_lines_keep_to_the_block(phrases, width, height) -> None:
    """No line is wider than the block or lower than its depth."""
    block = running([("Fitted", phrases)], width, height, more)
    for line in block.lines:
        assert line.left + text_width(line.text, "text-500", line.size) <= width + 1e-6
        assert line.down <= height + 1e-9


@given(WORDS, WORDS)
def test_all_words_are_there(first, second) -> None:
    """With room enough every phrase stands in the text, in its order."""
    block = running([("A", first), ("B", second)], 50, 500, more)
    assert block.left_over == 0
    assert said(block) == "".join(" · ".join(p) for p in (first, second)).replace(" ", "")


@given(WORDS, st.floats(5, 12))
def test_what_is_missing_is_counted(phrases, height) -> None:
    """Where phrases are missing their number is printed and the others are whole."""
    block = running([("Fitted", phrases)], 30, height, more)
    if block.left_over and block.lines:
        kept = phrases[: len(phrases) - block.left_over]
        assert said(block) == " · ".join([*kept, more(block.left_over)]).replace(" ", "")


def test_the_first_setting_that_fits_is_taken() -> None:
    """Text is set smaller, then closer, only as far as it must."""
    phrases, settings = ["one hundred grammes of something"] * 8, ((6.0, 2.25), (5.5, 2.25), (5.5, 1.97))
    made = [running([("", phrases)], 50, height, more, settings=settings) for height in (40.0, 10.0, 9.0)]
    assert [block.lines[1].size for block in made] == [6.0, 5.5, 5.5]
    depths = [block.lines[-1].down for block in made]
    assert depths == sorted(depths, reverse=True) and not any(block.left_over for block in made)


def test_the_order_of_giving_up() -> None:
    """Paragraphs give up phrases in the order that is asked for: by default the last one first."""
    blocks = [("A", [" ".join(["first"] * 9), " ".join(["second"] * 9)]), ("B", [" ".join(["third"] * 9)])]
    settings = ((5.5, 1.97),)
    last = running(blocks, 30, 8, more, settings=settings)
    first = running(blocks, 30, 8, more, give=(0, 1), settings=settings)
    assert last.left_over == first.left_over == 1
    assert "second" in said(last) and "third" not in said(last)
    assert "third" in said(first) and "second" not in said(first)


def test_air_between_paragraphs() -> None:
    """Air goes between paragraphs, never within, and never past the depth."""
    blocks = [("A", ["one"]), ("B", ["two " * 20]), ("C", ["three"])]
    tight, loose = (running(blocks, 30, 20, more, air) for air in (0.0, 0.8))
    gaps = [b.down - a.down for a, b in zip(tight.lines, loose.lines, strict=True)]
    assert gaps[0] == 0 and gaps[1] == pytest.approx(0.8) and gaps[-1] == pytest.approx(1.6)
    assert (
        running(blocks, 30, tight.lines[-1].down + 0.5, more, 0.8).lines[-1].down <= tight.lines[-1].down + 0.5 + 1e-9
    )


def test_a_word_wider_than_the_block_is_broken() -> None:
    """A word that fits no line goes over several."""
    block = running([("", ["W" * 60])], 20, 50, more)
    assert said(block) == "W" * 60
    assert len(block.lines) > 2


def test_the_fullest_form_is_taken() -> None:
    """Of several forms the first that fits whole; where none does the last, with what is missing counted."""
    forms = [[("A", ["long " * 40])], [("A", ["short"])]]
    assert said(fullest(forms, 30, 5, more)) == "short"
    assert said(fullest(forms, 30, 100, more)) == "long" * 40
    assert fullest([[("A", ["long " * 40, "b"])]], 30, 2, more).left_over == 2
