"""The constants of common practice, as a shop sets them."""

import math

import pytest
from rebuildshop import WORKSHOP, bench

from passport.records.schema.frame import Fitted
from passport.workshop.measuring.assumed import OUTSIDE_SHARES, USUAL, Assumptions
from passport.workshop.rebuild.rebuild import rebuild


def test_a_shop_sets_its_own(tmp_path):
    """Each constant named in workshop.yaml stands in place of the usual one; the others stay."""
    own = WORKSHOP + "assumed: {listed_mass: 1 %, placing: 1.5 mm}\n"
    found = bench(tmp_path, workshop=own).assumed
    assert (found.listed, found.placed) == pytest.approx((0.01, 1.5 / math.sqrt(3)))
    assert (found.string, found.outside, found.weighed) == (USUAL.string, USUAL.outside, USUAL.weighed)
    more = WORKSHOP + "assumed: {string: 1 %, string_outside: 30 %}\n"
    other = bench(tmp_path / "more", workshop=more).assumed
    assert other == Assumptions(string=0.01, outside=0.30)


def test_it_reaches_what_is_predicted(tmp_path):
    """A listed overgrip of 5 g is unsure by 3 %, or by what the shop takes for listed masses."""
    grip = Fitted.model_validate({"part": "overgrip", "place": "along the handle"})
    usual, own = bench(tmp_path), bench(tmp_path / "own", workshop=WORKSHOP + "assumed: {listed_mass: 10 %}\n")
    found = [w.predictor(w.model("larch-98")).fitted(grip).mass().u for w in (usual, own)]
    assert found == pytest.approx([0.15, 0.5])


def test_it_is_named_where_it_dominates(tmp_path):
    """The remedy of a plan whose doubt is one listed mass names the share that is taken for it."""
    own = WORKSHOP + "assumed: {listed_mass: 20 %}\n"
    told = rebuild(bench(tmp_path, workshop=own), "ada/main", "near").remedy
    assert told is not None and "listed mass is taken to hold within 20 %" in told.what


def test_shares_of_the_outside_add_up():
    """What all, what those of one model and what each stringing has of its own make the whole uncertainty."""
    assert sum(share**2 for share in OUTSIDE_SHARES) == pytest.approx(1)
