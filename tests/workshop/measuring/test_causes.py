"""How an uncertainty is made up, and what would settle an undecided verdict."""

import pytest
from uncertainties import ufloat

from passport.physics.uncertainty import Estimate, Share, propagate
from passport.workshop.measuring.causes import cause_of, difference, instruments_in, made_up, settled


def estimate(value: float, **amounts: float) -> Estimate:
    """A figure with inputs of these names (underscores for what a keyword cannot hold)."""
    names = {"check": "scale, check of 2026-01-10 at 200", "never": "swing machine, unchecked", "look": "mass, one, 0"}
    names |= {
        "part": "mass of Leather, along the handle, one",
        "place": "place of Tape, 12, one",
        "string": "string reed",
    }
    shares = tuple(Share(names[key], amount, abs(amount)) for key, amount in amounts.items())
    return Estimate(value, sum(a**2 for a in amounts.values()) ** 0.5, shares)


@pytest.mark.parametrize(("name", "cause"), [
    ("mass, ada/main, 2026-03-02, 0", "readings"), ("time, one", "readings"), ("scale, unchecked", "checks"),
    ("balance board, check of 2026-01-10 at 350", "checks"), ("cradle for twistweight, unchecked", "checks"),
    ("gravity", "checks"), ("mass of Overgrip, along the handle, near", "parts"), ("place of Tape, 12, near", "places"),
    ("assumed length of 686 × 251 mm", "dimensions"),
    ("string reed-125", "string"), ("string outside the head: knots of near", "string"), ("target, mass", "target"),
])  # fmt: skip
def test_cause_of_an_input(name, cause):
    """Each input belongs to the cause that its name begins with; what is none of them is a reading."""
    assert cause_of(name) == cause


def test_shares_of_the_variance():
    """Parts of the variance add to one, in a set order, those of one cause together (JCGM 100, 5.1.2)."""
    found = made_up(estimate(0.0, look=0.3, check=0.4, part=1.2).shares)
    assert [part.cause for part in found] == ["readings", "checks", "parts"]
    assert [part.share for part in found] == pytest.approx([0.09 / 1.69, 0.16 / 1.69, 1.44 / 1.69])
    assert made_up(()) == ()


def test_decided_needs_nothing():
    """A figure well inside, or well outside, is not to be settled."""
    assert settled(estimate(0.0, look=0.1), -1, 1) is None
    assert settled(estimate(3.0, look=0.1), -1, 1) is None


def test_the_check_that_would_decide():
    """330 g off by 0.3 g, unsure mostly because a machine was never checked: the check is named, with its share."""
    found = settled(estimate(0.3, look=0.1, never=0.6), -1, 1)
    assert found is not None and not found.decidable  # 2 × 0.61 g is more than the tolerance of 1 g
    assert found.by == "check the swing machine against something known and read again"
    assert found.share == pytest.approx(0.36 / 0.37)
    assert found.text.startswith("To decide it, check the swing machine") and "97 %" in found.text


def test_a_part_to_be_weighed():
    """Where the mass of one part makes most of it, weighing it decides."""
    found = settled(estimate(0.2, look=0.1, part=0.75), -1, 1)
    assert found is not None and found.by == "weigh the part (Leather, along the handle) before it is fitted"


def test_nothing_would_decide():
    """At the very limit no measurement decides, and too wide a scatter cannot be called inside at all."""
    at_limit = settled(estimate(1.0, look=0.1, never=0.3), -1, 1)
    assert at_limit is not None and at_limit.decidable and not at_limit.by
    assert "no one measurement would decide it" in at_limit.text
    wide = settled(estimate(0.0, look=0.9), -1, 1)
    assert wide is not None and not wide.decidable and "no reading could be called inside" in wide.text


def test_instruments_behind_a_figure():
    """Each instrument's check with its part of the variance."""
    assert dict(instruments_in(estimate(0.0, look=0.3, check=0.4).shares)) == {"scale": pytest.approx(0.64)}


def test_a_difference_of_two_readings():
    """What both hang on cancels and what each has of its own adds, as the package uncertainties has it (GUM)."""
    check, looks = ufloat(1.0, 0.001), (ufloat(331.0, 0.05), ufloat(329.0, 0.06))
    judge = check * looks[0] - check * looks[1]

    def read(look):
        inputs = {"scale": Estimate(1.0, 0.001), "look": Estimate(look.nominal_value, look.std_dev)}
        found = propagate(lambda scale, look: scale * look, inputs)
        names = {"scale": "scale, check of 2026-01-05 at 200", "look": "mass, reading"}
        return Estimate(
            found.value, found.u, tuple(Share(names[s.name], s.sensitivity, s.amount) for s in found.shares)
        )

    found = difference(*(read(look) for look in looks))
    assert (found.value, found.u) == (pytest.approx(judge.nominal_value), pytest.approx(judge.std_dev, rel=1e-6))
    assert found.u == pytest.approx((0.05**2 + 0.06**2 + 0.002**2) ** 0.5, rel=1e-3)  # two grams of a share of 0.001
