"""The attacks of strangers at random, in their short form with a fixed seed (`.dev/strangers` is the long one)."""

import pytest
import strangers


@pytest.mark.parametrize(("name", "most"), [("templates", 250), ("styles", 1500), ("requests", 1500), ("folders", 6)])
def test_nothing_made_up_breaks_through(name, most, counted):
    """C1, C2, C3, C4, C6, N2, N4: of so many made-up attacks none comes through, and some are let pass as harmless."""
    found, broken = strangers.run(name, 300.0, seed=2026, most=most)
    assert not broken
    assert found.total() == most
    assert found[strangers.REFUSED]
    counted(f"strangers' {name}: {most} tried, {found[strangers.REFUSED]} refused, 0 broke through")
