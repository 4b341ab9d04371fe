"""A frame brought from the state it was measured in to another."""

from datetime import date

import pytest
from rebuildshop import NEAR, PARTS, bench

from passport.physics.moments import Moments
from passport.records.schema.frame import Fitted, Stringing
from passport.workshop.measuring.states import Missing, State

READ = "{mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2, twistweight: 13.5 kgcm2}"


def fitted(part: str, place: str = "along the handle", **more: str) -> Fitted:
    """A part at its place."""
    return Fitted.model_validate({"part": part, "place": place, **more})


def test_measured_in_the_wanted_state_nothing_is_predicted(tmp_path):
    """A frame read as it is played reads back exactly so, with its own uncertainties only."""
    work = bench(tmp_path, readings=READ)
    held = work.holding("ada/main")
    known = work.known(work.frame("ada/main"), State(held.parts, True, held.stringing))
    body = known.body.moments
    assert (body.mass, body.balance, body.swingweight(), body.twistweight) == pytest.approx((330, 320, 318, 13.5))
    assert all(origin.measured for origin in known.origins.values())
    assert not any("grip" in name for name in known.body.shifts)


def test_bare_without_its_strings(tmp_path):
    """Strings taken off by prediction: their length inside the head times their g/m, worked out string by string.

    What lies outside the head and how the strings wave come on top: 12 to 18 % by an independent geometry.
    """
    work = bench(tmp_path, readings=READ)
    held = work.holding("ada/main")
    bare = work.known(work.frame("ada/main"), State(held.parts)).body.moments
    mass = 0.0
    for i in range(16):  # mains 12.6 mm apart in an ellipse of 330 × 246 mm
        mass += 330 * (1 - ((i - 7.5) * 12.6 / 123) ** 2) ** 0.5 * 1.40 / 1000
    for i in range(19):  # crosses 14.6 mm apart
        mass += 246 * (1 - ((i - 9) * 14.6 / 165) ** 2) ** 0.5 * 1.40 / 1000
    assert 1.12 < (330 - bare.mass) / mass < 1.18


def test_off_and_on_again_is_the_same_body(tmp_path):
    """A blank brought to the finished state and back reads as it was measured, uncertainty included."""
    work = bench(tmp_path)
    blank = work.blank("near")
    there, state = work.as_measured(blank)
    predictor = work.predictor(blank.model)
    grip = predictor.fitted(fitted("leather"), "near")
    again = there.body + grip - grip
    assert again.swingweight().u == pytest.approx(there.body.swingweight().u)
    assert (there.body.mass().value, state.strung) == (303, False)


def test_figures_from_different_readings(tmp_path):
    """Mass read with the overgrip, balance without it and swingweight bare make the body that all three are of."""
    truth = Moments.from_measured(330, 320, 318)
    work = bench(tmp_path, readings=READ)
    predictor = work.predictor(work.model("larch-98"))
    grip = predictor.fitted(fitted("overgrip")).moments
    strings = predictor.strung(Stringing.model_validate({"mains": {"string": "reed-125", "tension": "24 kg"}})).moments
    without, bare = truth - grip, truth - strings
    split = (
        f"{{mass: 330 g}}, {{without: overgrip, balance: {without.balance:.12f} mm}}, "
        f"{{state: bare, swingweight: {bare.swingweight():.12f} kgcm2}}"
    )
    mixed = bench(tmp_path / "mixed", readings=split)
    held = mixed.holding("ada/main")
    known = mixed.known(mixed.frame("ada/main"), State(held.parts, True, held.stringing))
    body = known.body.moments
    assert (body.mass, body.balance, body.swingweight()) == pytest.approx((330, 320, 318))
    assert known.origins["mass"].measured and not known.origins["balance"].measured
    assert known.origins["balance"].added == ("Overgrip",)
    assert known.origins["swingweight"].added == ("strings",)


def test_the_newest_reading_counts(tmp_path):
    """Of two figures of one quantity the newer one holds, and one after the work over one before it."""
    work = bench(tmp_path, readings=f"{READ}, {{when: before, mass: 300 g}}, {{mass: 331 g}}")
    taken = work.frame("ada/main").taken
    assert taken["mass"].figure.day == date(2026, 3, 2)
    assert work.as_measured(work.frame("ada/main"))[0].body.mass().value == 331


def test_unknown_mass_matters_only_where_it_is_needed(tmp_path):
    """A part that nobody weighed is no trouble while it stays on, and is named where it has to come off."""
    record = (
        f"model: larch-98\nbuild:\n  - {{part: unweighed, place: throat}}\nreadings:\n  - {{state: bare, {NEAR}}}\n"
    )
    work = bench(tmp_path, {"odd": record})
    blank = work.blank("odd")
    assert work.known(blank, State(blank.on.parts)).body.mass().value == 303
    with pytest.raises(Missing, match="'unweighed' at throat weighs"):
        work.known(blank, State(()))


def test_strings_that_nobody_knows(tmp_path):
    """A string of unknown material says what to weigh; strings that nobody wrote down cannot be taken out."""
    work = bench(tmp_path, readings=READ)
    frame = work.frame("ada/main")
    mystery = Stringing.model_validate({"mains": {"string": "mystery", "tension": "24 kg"}})
    with pytest.raises(Missing, match=r"'mystery' weighs.*ten metres"):
        work.known(frame, State((), True, mystery))
    with pytest.raises(Missing, match="which strings"):
        work.known(work.blank("near"), State((), True))


def test_blank_measured_strung_with_strings_unknown(tmp_path):
    """A blank read strung is taken to have the strings in question; bare, it cannot be said."""
    record = f"model: larch-98\nreadings:\n  - {{state: strung, {NEAR}}}\n"
    work = bench(tmp_path, {"strung": record})
    blank, held = work.blank("strung"), work.holding("ada/main")
    assert work.known(blank, State((), True, held.stringing)).body.mass().value == 303
    with pytest.raises(Missing, match="which strings"):
        work.known(blank, State(()))


@pytest.mark.parametrize(("figures", "lacks"), [
    ("balance: 318 mm, swingweight: 288 kgcm2", "no mass of near"),
    ("mass: 303 g, swingweight: 288 kgcm2", "no balance of near"),
    ("mass: 303 g, balance: 318 mm", "no swingweight of near"),
])  # fmt: skip
def test_what_is_missing_is_named(tmp_path, figures, lacks):
    """Without mass, balance or swingweight the one that lacks is named, with what to do."""
    work = bench(tmp_path, {"near": figures})
    with pytest.raises(Missing, match=lacks) as caught:
        work.known(work.blank("near"), State(()))
    assert "add the reading" in caught.value.do


def test_a_part_that_nobody_weighed_has_its_kinds_mass(tmp_path):
    """A damper without a mass is taken at 2 ± 1 g (common practice, no source): half of a span, so u is 1/√3 g (GUM 4.3.7)."""
    work = bench(tmp_path, parts=PARTS + "button: {kind: damper, name: Button}\n")
    predictor = work.predictor(work.frame("ada/main").model)
    body = predictor.fitted(fitted("button", "between the mains"))
    assert body.mass().value == 2
    assert body.mass().u == pytest.approx(3**-0.5)
    weighed = predictor.fitted(fitted("button", "between the mains", mass="2.6 g"))
    assert (weighed.mass().value, weighed.mass().u) == (2.6, pytest.approx(0.05))
    without, on = State(), State((fitted("button", "between the mains"),))
    _, origin = predictor.change(without, on, "x")
    assert origin is not None
    assert origin.added == ("Button (mass assumed)",)
