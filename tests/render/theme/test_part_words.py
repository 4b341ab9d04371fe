"""Fitted parts in words."""

from dataclasses import replace

from cardfacts import PARTS, part

from passport.records.schema.places import parse_place
from passport.render.theme.formats import Formats
from passport.render.theme.wording import handle, part_text, place
from passport.workshop.facts.facts import HandleFacts

F = Formats("en")


def test_a_pair_of_strips() -> None:
    """A pair on the hoop has its mass, the length of each strip, and its hours."""
    said = part_text(PARTS[0], F)
    assert (said.mass.replace("\u202f", " "), said.name) == ("2.4 g", "Lead-free tape 6 mm")
    assert said.where.replace("\u202f", " ").replace("\u00a0", " ") == "2 × 90 mm, 10 and 2 o’clock"


def test_a_single_strip() -> None:
    """One strip says its length once."""
    single = replace(part("Tape", "tape", "under the bumper", 0.5, length=25), count=1)
    assert part_text(single, F).where.replace("\u202f", " ") == "25 mm, under the bumper"


def test_a_length_that_was_written_down_is_said() -> None:
    """What a grip covers is said where somebody wrote it down; what its place spans is no length of its own."""
    grip = part("Dry overgrip", "overgrip", "along the handle", 5.5, length=180)
    assert part_text(grip, F).where.replace("\u202f", " ") == "180 mm, along the handle"
    assert part_text(replace(grip, sources=(("length", "assumed"),)), F).where == "along the handle"


def test_what_was_noted_is_said() -> None:
    """A note stands behind the place; without its place a grip still says the rest."""
    grip = replace(part("Dry overgrip", "overgrip", "along the handle", 5.5), note="clockwise", sources=())
    assert part_text(grip, F).where.endswith("along the handle, clockwise")
    assert part_text(grip, F, grips_placed=False).where.endswith("clockwise")
    assert "handle" not in part_text(grip, F, grips_placed=False).where


def test_an_unknown_mass() -> None:
    """A part that nobody weighed says no mass."""
    assert part_text(part("Cap", "butt cap", "butt cap", None), F).mass == ""


def test_one_side_only_is_told_apart_from_a_pair() -> None:
    """An hour that stands for a pair is printed with its mirror image, a strip alone as such."""
    said = {text: place(parse_place(text), F) for text in ("3", "9", "3 only", "10:30 only", "12", "12 only")}
    assert said == {
        "3": "3 and 9 o’clock",
        "9": "9 and 3 o’clock",
        "3 only": "3 o’clock only",
        "10:30 only": "10:30 o’clock only",
        "12": "12 o’clock",
        "12 only": "12 o’clock",
    }


def test_a_handle_says_what_was_written_down() -> None:
    """Each thing that was recorded stands in the line, and nothing else."""
    whole = HandleFacts(112.5, "overgrip", "rectangular", 2, "right-handed", "butt", 3, 190)
    assert handle(whole, F).replace("\u202f", " ") == (
        "112.5 mm round over the overgrip, rectangular, 2 sleeves, overgrip wound right-handed, wound from the butt, "
        "overlap 3 mm, covered to 190 mm from the butt"
    )
    assert handle(HandleFacts(sleeves=0), F) == "0 sleeves"
    assert handle(HandleFacts(circumference=112), F).replace("\u202f", " ") == "112 mm round"
    assert handle(None, F) == ""
