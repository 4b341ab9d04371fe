"""Plans in the terminal."""

import io

import pytest
from rebuildshop import HEAVY_HEAD, NEAR, bench, strung_frame
from rich.console import Console

from passport.cli.shared.plantext import show_candidates, show_match, show_rebuild
from passport.workshop.rebuild.assign import choose
from passport.workshop.rebuild.match import match
from passport.workshop.rebuild.rebuild import rebuild


def shown(show, *what, width: int = 100) -> str:
    """What is printed on a terminal of so many columns."""
    out = io.StringIO()
    show(Console(file=out, width=width, highlight=False), *what)
    return out.getvalue()


def test_every_piece_is_shown(tmp_path):
    """Each piece with its place, its extent, how it is cut and what it weighs."""
    found = rebuild(bench(tmp_path), "ada/main", "near")
    text = shown(show_rebuild, found)
    for piece in found.plans[0].additions:
        assert piece.place in text and f"{piece.mass_g:.1f} g" in text
        if piece.length_mm:
            assert f"{piece.count} × {piece.length_mm:g} mm" in text


def test_why_not(tmp_path):
    """Where there is no plan, the reason and the nearest are shown."""
    found = rebuild(bench(tmp_path, {"heavy": HEAVY_HEAD}), "ada/main", "heavy")
    text = shown(show_rebuild, found)
    assert "out of reach" in text and "head is already" in text and "Nearest 1" in text


def test_candidates_of_several_frames_name_them(tmp_path):
    """For one frame the blanks alone are listed, for several the frames with them."""
    one = choose(bench(tmp_path, {"near": NEAR, "heavy": HEAVY_HEAD}), ["ada/main"], ["near", "heavy"])
    assert "Frame" not in shown(show_candidates, one.candidates)


def test_a_match_shows_its_spread(tmp_path):
    """Frames of a match are shown one by one, with what has to be added, or that nothing has to be."""
    same = "mass: 330.0 g, balance: 320.0 mm, swingweight: 318.0 kgcm2"
    work = bench(tmp_path, frames={n: strung_frame(n.title(), same) for n in ("one", "two")})
    text = shown(show_match, match(work, ["ada/one", "ada/two"]))
    assert "Spread" in text and text.count("nothing to add") == 2


@pytest.mark.parametrize("width", [60, 80, 140])
def test_no_line_is_wider_than_the_terminal(tmp_path, width):
    """Tables and sentences fit a narrow terminal."""
    text = shown(show_rebuild, rebuild(bench(tmp_path), "ada/main", "near"), width=width)
    assert max(len(line) for line in text.splitlines()) <= width
