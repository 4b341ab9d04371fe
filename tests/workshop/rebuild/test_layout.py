"""Solutions laid out: pieces, what to expect, cautions."""

import math

import pytest

from passport.physics.body import Body
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate
from passport.records.schema.catalogue import Part
from passport.records.schema.places import parse_place
from passport.workshop.measuring.placement import lay
from passport.workshop.rebuild.layout import body_of_option, cautions, effects, outlook, piece_of_option
from passport.workshop.rebuild.plan import Addition, Aim, Figures
from passport.workshop.rebuild.stock import Option, Site

SHAPE = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19)
SIDES, HANDLE = parse_place("3 and 9"), parse_place("inside the handle")
TAPE = Part.model_validate({"kind": "tape", "name": "Tape", "material": "lead", "per_length": "0.2 g/cm"})
PASTE = Part.model_validate({"kind": "silicone", "name": "Paste", "step": "0.5 g"})
PARTS = {"tape": TAPE, "paste": PASTE}


def filled(grams):
    """How far silicone of 1.1 g/cm³ (from memory) fills a bore 4 mm within the handle, mm: V/(πr²)."""
    return grams / 1.1 * 1000 / (math.pi * (SHAPE.handle_width / 2 - 4) ** 2)


def test_a_piece_of_tape_has_a_length_and_paste_has_none():
    """Tape says how long each of its two strips is; paste only where it goes."""
    tape = piece_of_option(Option("tape", SIDES, 2.4, lay("tape", SIDES, 2.4, 60, SHAPE)), PARTS)
    paste = piece_of_option(Option("paste", HANDLE, 3.0, lay("silicone", HANDLE, 3.0, None, SHAPE)), PARTS)
    assert (tape.count, tape.length_mm, tape.clock, tape.mass_g) == (2, 60, 3.0, 2.4)
    assert (paste.count, paste.length_mm, paste.clock, paste.from_mm) == (1, None, None, 10)
    assert paste.to_mm == pytest.approx(10 + filled(3.0))


def test_a_strip_at_12_says_12():
    """In data the clock shows 12 for a strip under the bumper, not 0."""
    place = parse_place("under the bumper")
    assert piece_of_option(Option("tape", place, 1.0, lay("tape", place, 1.0, 50, SHAPE)), PARTS).data()["clock"] == 12


def test_an_addition_is_unsure_in_mass_and_place():
    """A new piece adds its weighing and its placing to what is unsure, and nothing else."""
    option = Option("tape", SIDES, 2.4, lay("tape", SIDES, 2.4, 60, SHAPE))
    body = body_of_option(option, "blank")
    assert len(body.shifts) == 2
    assert body.mass().u == pytest.approx(0.05)


def test_outlook_counts_the_targets_own_uncertainty():
    """A target that was read off is unsure itself: both uncertainties count, as a root sum of squares."""
    figures = Figures(Estimate(300, 0.3), Estimate(320, 0.3), Estimate(300, 0.3), None)
    aims = (
        Aim("mass", 300, 1, 0.0, "setup"),
        Aim("balance", 320, 1, 0.4, "readings"),
        Aim("twistweight", 13, 1, 0, "setup"),
    )
    sure, unsure = outlook(figures, aims)
    assert (sure.verdict, unsure.verdict) == ("inside", "inside")
    assert sure.probability == pytest.approx(0.99914, abs=1e-4)  # ±1/0.3 of a normal distribution (JCGM 106, 7.4)
    assert unsure.probability == pytest.approx(0.95450, abs=1e-4)  # ±1/0.5: 95.45 % (JCGM 100, table G.1)


def test_a_gram_more():
    """One gram at a place moves balance and swingweight by its lever, and the room left is what the plan leaves."""
    result = Moments.from_measured(320, 320, 310, 13)
    (one,) = effects((Site(HANDLE, 6.0, None, ()),), {"inside the handle": 4.0}, result, SHAPE)
    middle = 10 + filled(6.0) / 2  # one of the 6 g that the place takes
    assert one.balance_mm == pytest.approx((middle - 320) / 321)
    assert one.swingweight_kgcm2 == pytest.approx(((100 - middle) ** 2 + filled(6.0) ** 2 / 12) / 1e5, rel=0.02)
    assert one.room_g == 2.0


def piece(kind, material=""):
    """A piece of a kind."""
    return Addition("p", "P", kind, material, "3 and 9", 0, 1, None, 1, None, 1.0, Moments.point(1, 1))


@pytest.mark.parametrize(("pieces", "flags", "found"), [
    ([piece("tape", "Lead, self-adhesive")], (False, False, False), ("lead", "solvent")),
    ([piece("tape", "lead-free tungsten")], (False, False, False), ("solvent",)),
    ([piece("base grip")], (False, False, False), ("solvent",)),
    ([piece("butt cap")], (False, False, False), ("tacks",)),
    ([piece("overgrip")], (False, False, False), ()),
    ([piece("silicone"), piece("sleeve")], (True, True, True),
     ("silicone", "heat", "strings", "dismount", "cracked", "limits")),
    ([], (False, False, False), ()),
])  # fmt: skip
def test_which_cautions(pieces, flags, found):
    """Each caution is there for what it is about, and only then."""
    assert cautions(pieces, *flags) == found


def test_figures_of_a_body():
    """A body without a polar moment has no twistweight."""
    figures = Figures.of(Body(Moments(300, 96000, 5e7, None)))
    assert figures.twistweight is None and figures.data()["twistweight_kgcm2"] is None
