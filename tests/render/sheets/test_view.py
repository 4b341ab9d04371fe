"""What a bench sheet says."""

from dataclasses import replace

import pytest
from scipy.special import ellipe, ellipeinc
from sheetfacts import SHOP, crowded, ordinary

from passport.physics.geometry import RacquetShape
from passport.render.sheets.sheet import _templates
from passport.render.sheets.view import SheetView, along_hoop, caution_kinds

SHAPE = RacquetShape(
    length=685, head_length=334, head_width=246, rim=11.5, handle=180, handle_width=32, throat="open", mains=18, crosses=20
)  # fmt: skip


def view(found) -> SheetView:
    """The view of a rebuild."""
    say, _, f = _templates("sheet", found, SHOP)
    return SheetView(found, say, f, "k")


def strip(hour: float | None, length: float | None):
    """A piece at an hour."""
    piece = ordinary().plans[0].additions[0]
    return replace(piece, clock=hour, length_mm=length)


def test_three_o_clock_is_a_quarter_of_the_hoop_from_the_tip():
    """The middle of a strip at 3 o'clock is a quarter of the ellipse's circumference from the tip.

    Circumference 4aE(e), complete elliptic integral of the second kind (DLMF 19.30.3), computed by scipy.
    """
    a, b = SHAPE.hoop_axes
    start, stop = along_hoop(SHAPE, strip(3.0, 80.0))
    assert (start + stop) / 2 == pytest.approx(a * ellipe(1 - (b / a) ** 2), abs=1e-6)
    assert stop - start == pytest.approx(80.0, abs=1e-6)


@pytest.mark.parametrize("hour", [1.0, 2.0, 4.5])
def test_any_hour_is_an_elliptic_integral_from_the_tip(hour):
    """The middle of a strip at any hour is bE(φ, 1 − a²/b²) along the hoop, φ its eccentric angle (DLMF 19.30.2)."""
    import math

    a, b = SHAPE.hoop_axes
    x, y = SHAPE.on_hoop(hour)
    phi = math.atan2(y / b, (x - SHAPE.head_centre) / a)
    start, stop = along_hoop(SHAPE, strip(hour, 60.0))
    assert (start + stop) / 2 == pytest.approx(b * ellipeinc(phi, 1 - (a / b) ** 2), abs=1e-6)


def test_a_strip_over_the_tip_reaches_as_far_to_both_sides():
    """A strip at 12 o'clock begins as far before the tip as it ends behind it; a piece elsewhere is not on the hoop."""
    assert along_hoop(SHAPE, strip(0.0, 70.0)) == pytest.approx((-35.0, 35.0))
    assert along_hoop(SHAPE, strip(None, None)) is None


def test_pieces_are_numbered_from_the_tip():
    """The pieces of the table are the plan's, numbered from tip to butt."""
    for found in (ordinary(), crowded()):
        rows = view(found).pieces
        assert [row.number for row in rows] == list(range(1, len(rows) + 1))
        assert {id(row.piece) for row in rows} == {id(p) for p in found.plans[0].additions}
        middles = [
            SHAPE.on_hoop(p.clock)[0] if p.clock is not None else (p.from_mm + p.to_mm) / 2
            for p in (r.piece for r in rows)
        ]
        assert middles == sorted(middles, reverse=True)


def test_lines_of_the_work_carry_the_numbers_of_their_pieces():
    """Trial, fitting and last portion of a piece carry its number; other lines carry none."""
    shown = view(ordinary())
    number = {row.piece.name: row.number for row in shown.pieces}
    for row in shown.work:
        assert (row.number is not None) is (row.kind in ("trial", "add", "rest"))
    assert {row.number for row in shown.work if row.kind == "trial"} == set(number.values())


def test_what_is_not_wanted_has_no_target():
    """A quantity that nobody asked for has a dash for target, chance and limits, and the chart needs all three."""
    found = ordinary()
    without = replace(found, aims=tuple(a for a in found.aims if a.quantity != "swingweight"))
    row = next(r for r in view(without).figures if r.quantity == "swingweight")
    assert (row.target, row.limits) == ("–", "–")
    assert view(without).reach is None and view(without).sentence == ""
    assert view(found).reach is not None


def test_limits_are_the_target_and_its_tolerance():
    """The finished figures' limits are target less and plus tolerance."""
    (mass, *_) = view(ordinary()).figures
    assert (mass.quantity, mass.target, mass.limits) == ("mass", "330.0 ± 1.0", "329.0 – 331.0")


def test_another_way_than_the_warranty_is_warned_of_where_it_is_strung_so():
    """Only where the frame is strung anew, on the same model, and in another way than the maker's warranty asks for."""
    found = ordinary()
    bed = replace(found.frame.stringing, warranty="two pieces, crosses from the head")
    kept = replace(found.frame, stringing=bed)
    same = replace(found.blank, maker=kept.maker, model=kept.model)
    asked = "asks for another way to string it: two pieces, crosses from the head."
    strung = replace(found, frame=kept, blank=same, cautions=("strings",))
    assert any(asked in text for text in view(strung).cautions)
    for other in (
        replace(strung, cautions=()),
        replace(strung, blank=replace(same, model="Another")),
        replace(strung, frame=found.frame),
    ):
        assert not any("warranty" in text for text in view(other).cautions)


def test_what_may_hurt_is_said_where_the_work_calls_for_it():
    """No mains alone, no flame near solvents, tacks, cure before play: at the bench, each in its own words."""
    found = replace(ordinary(), cautions=("dismount", "solvent", "tacks", "silicone"))
    said = " ".join(view(found).cautions)
    for words in ("with the mains alone in it", "no flame", "tacks are sharp", "and before play"):
        assert words in said, words
    assert "mains alone" not in " ".join(view(replace(found, cautions=())).cautions)


def test_each_caution_once():
    """A caution that both the work and the frame call for is printed once; the limits have their own sentence."""
    found = ordinary()
    lead = replace(found.plans[0].additions[0], material="lead")
    both = replace(found, cautions=("lead", "strings", "limits"), stays=(lead,))
    assert caution_kinds(both) == ("lead", "strings")
