"""Another recipe, worked out again in other ways: the string bend by bend, scaling laws, Mathieu's function."""

import math
from datetime import date

import finestring
import pytest
import stringnets
from bedshop import LBF, frame, hz, job, shop

from passport.physics.uncertainty import Estimate
from passport.records.schema.quantities import GAUGE, TENSION, parse
from passport.workshop.gathering.whatif import NotPossible, RecipeChange, what_if
from passport.workshop.rebuild.subject import Workbench

# the small workshop's Larch 98, as its record says, mm
LENGTH, HEAD, WIDTH, RIM, MAINS, CROSSES = 685.0, 330.0, 248.0, 11.0, 16, 19
READING = "mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2, ring: 600 Hz, age: 15 min"


def asked(tmp_path, change: RecipeChange, *readings: str, **options):
    """The answer for a frame strung with Reed (1.25 mm, 1.42 g/m) at 50 lb."""
    content = shop(tmp_path, {"one": frame(job("2026-01-05", *(readings or (READING,)), **options))})
    return what_if(content, "cy/one", change)


def strings(
    mains: int, crosses: int, densities: tuple[float, float], gauge: float = 1.25
) -> tuple[float, float, float]:
    """Mass (g), first moment about the butt (g·mm) and swingweight (kg·cm² about 100 mm) of the whole string, bend by
    bend by the other model; spacings are the head over the count plus three."""
    one = finestring.Frame(LENGTH, (HEAD, WIDTH), RIM, (mains, crosses), (WIDTH / (mains + 3), HEAD / (crosses + 3)))
    mass, first, second, _ = finestring.moments(one, densities, gauge)
    return float(mass), float(first), float((second - 200 * first + 100**2 * mass) / 1e5)


def within(found: Estimate, truth: float) -> bool:
    """Whether a truth is within what the figure states, two standard uncertainties."""
    return abs(found.value - truth) <= found.expanded()


def _edge(xi: float) -> float:
    return WIDTH / 2 * math.sqrt(1 - xi * xi)


def rings(mains: int, crosses: int, densities: tuple[float, float], pulls: tuple[float, float]) -> float:
    """Frequency, up to a constant, of the single strings tied where they cross, on the ellipse."""
    spacing = WIDTH / (mains + 3), HEAD / (crosses + 3)
    places = [(j - (crosses - 1) / 2) * spacing[1] for j in range(crosses)]
    bed = stringnets.Bed(HEAD, _edge, mains, (spacing[0], spacing[0]), places, spacing[1], densities, pulls)
    return stringnets.net_frequency(bed)


@pytest.mark.parametrize(
    ("change", "mains", "crosses", "densities", "gauge"),
    [
        (RecipeChange(mains="flint-120"), MAINS, CROSSES, (1.56, 1.56), 1.2),
        (RecipeChange(mains="reed-125", crosses="flint-120"), MAINS, CROSSES, (1.42, 1.56), 1.25),
        (RecipeChange(gauge=parse("1.30 mm", GAUGE)), MAINS, CROSSES, (1.42 * (1.3 / 1.25) ** 2,) * 2, 1.3),
        (RecipeChange(pattern=(18, 20)), 18, 20, (1.42, 1.42), 1.25),
    ],
    ids=["string", "crosses", "gauge", "pattern"],
)
def test_mass_balance_and_swingweight(tmp_path, change, mains, crosses, densities, gauge):
    """The racquet changes by the whole string taken out and put in, as a model says that shares no code with this one:
    within the uncertainty that is stated, which is smaller than leaving the string outside the head out would be."""
    found = asked(tmp_path, change)
    old, new = strings(MAINS, CROSSES, (1.42, 1.42)), strings(mains, crosses, densities, gauge)
    assert (found.now.mass, found.now.balance, found.now.swingweight) == pytest.approx((330, 320, 318), abs=0.5)
    assert within(found.now.strings, old[0])
    assert within(found.then.strings, new[0])
    assert found.now.strings.expanded() < 0.1 * found.now.strings.value
    assert within(found.mass_change, new[0] - old[0])
    assert within(found.swingweight_change, new[2] - old[2])
    mass = found.now.mass + new[0] - old[0]
    balance = (found.now.mass * found.now.balance + new[1] - old[1]) / mass
    assert within(found.balance_change, balance - found.now.balance)
    for name in ("mass", "balance", "swingweight"):
        gap = getattr(found.then, name) - getattr(found.now, name)
        assert gap == pytest.approx(getattr(found, f"{name}_change").value)


def test_what_both_have_in_common_cancels(tmp_path):
    """A recipe with the same strings changes no mass, whatever is not known of the string outside the head; another
    string's change is surer than either of the two strings."""
    same = asked(tmp_path / "a", RecipeChange(mains_pull=parse("55 lb", TENSION)))
    assert (same.mass_change.value, same.mass_change.u) == (0, 0)
    assert (same.swingweight_change.u, same.balance_change.u) == (0, 0)
    thicker = asked(tmp_path / "b", RecipeChange(gauge=parse("1.30 mm", GAUGE)))
    assert thicker.mass_change.u < 0.2 * thicker.now.strings.u


@pytest.mark.parametrize(
    ("change", "mains", "crosses", "densities", "pulls"),
    [
        (RecipeChange(mains="flint-120"), MAINS, CROSSES, (1.56, 1.56), (50, 50)),
        (RecipeChange(mains_pull=parse("55 lb", TENSION)), MAINS, CROSSES, (1.42, 1.42), (55, 55)),
        (
            RecipeChange(mains_pull=parse("55 lb", TENSION), crosses_pull=parse("45 lb", TENSION)),
            MAINS, CROSSES, (1.42, 1.42), (55, 45),
        ),
        (RecipeChange(pattern=(18, 20)), 18, 20, (1.42, 1.42), (50, 50)),
    ],
    ids=["string", "tension", "apart", "pattern"],
)  # fmt: skip
def test_the_frequency_changes_as_single_strings_do(tmp_path, change, mains, crosses, densities, pulls):
    """The frame's own fresh reading is scaled by the ratio of the frequencies that the strings before and after ring at."""
    found = asked(tmp_path, change)
    ratio = rings(mains, crosses, densities, pulls) / rings(MAINS, CROSSES, (1.42, 1.42), (50, 50))
    assert found.source == "reading"
    assert found.read == pytest.approx(600)
    assert found.then.hz.value == pytest.approx(600 * ratio, rel=5e-4)


def test_the_frequency_goes_with_the_root_of_the_tension(tmp_path):
    """f² ∝ T for one unchanged bed (Rayleigh, Theory of Sound I, ch. IX, from memory), and with the gauge inversely."""
    tighter = asked(tmp_path / "a", RecipeChange(mains_pull=parse("60 lb", TENSION)))
    assert tighter.then.hz.value == pytest.approx(600 * math.sqrt(60 / 50))
    thinner = asked(tmp_path / "b", RecipeChange(gauge=parse("1.00 mm", GAUGE)))
    assert thinner.then.hz.value == pytest.approx(600 * 1.25)


def test_an_older_reading_is_brought_to_the_fresh_age(tmp_path):
    """A bed first read after a day is expected to have read higher when it was fresh, by the law it is believed to follow."""
    found = asked(tmp_path, RecipeChange(mains_pull=parse("50 lb", TENSION)), "ring: 570 Hz, age: 24 h")
    assert found.read == pytest.approx(570 / hz(1, 0.0408, 1440), rel=0.002)  # the stated prior, seen from 15 minutes
    assert found.then.hz.value == pytest.approx(found.read)


def test_without_a_reading_the_pull_is_the_start(tmp_path):
    """Where nothing was read in Hz the forecast starts from the pull, and is far less sure; masses need measuring."""
    found = asked(tmp_path, RecipeChange(mains="flint-120"), "ring: 27 lb, age: 15 min")
    assert (found.source, found.read) == ("pull", None)
    assert found.now.hz.u > 0.03 * found.now.hz.value
    assert found.then.hz.value < found.now.hz.value
    assert (found.now.mass, found.then.mass, found.then.balance) == (None, None, None)
    gain = strings(MAINS, CROSSES, (1.56, 1.56), 1.2)[2] - strings(MAINS, CROSSES, (1.42, 1.42))[2]
    assert within(found.swingweight_change, gain)
    assert found.balance_change is None


def test_another_string_is_less_sure_than_another_tension(tmp_path):
    """Another string may hold another share of its pull; an unweighed one is surer still to be off."""
    same, other, unweighed = (
        asked(tmp_path / name, change).then.hz.u
        for name, change in (
            ("a", RecipeChange(mains_pull=parse("52 lb", TENSION))),
            ("b", RecipeChange(mains="flint-120")),
            ("c", RecipeChange(mains="birch-130")),
        )
    )
    assert same < other < unweighed


def test_one_tension_keeps_the_distance_of_the_crosses(tmp_path):
    """With the mains' tension alone the crosses move along; with both each is as asked."""
    options = {"mains": "reed-125, tension: 50 lb", "crosses": "flint-120, tension: 47 lb"}
    one = asked(tmp_path / "a", RecipeChange(mains_pull=parse("53 lb", TENSION)), **options)
    assert [p / LBF for p in one.then.pulls] == pytest.approx([53, 50])
    two = asked(
        tmp_path / "b",
        RecipeChange(mains_pull=parse("53 lb", TENSION), crosses_pull=parse("48 lb", TENSION)),
        **options,
    )
    assert [p / LBF for p in two.then.pulls] == pytest.approx([53, 48])


def test_crosses_of_a_hybrid_stay(tmp_path):
    """Crosses that are written out stay when the mains change; crosses strung like the mains change with them."""
    hybrid = asked(
        tmp_path / "a",
        RecipeChange(mains="birch-130"),
        mains="reed-125, tension: 50 lb",
        crosses="flint-120, tension: 47 lb",
    )
    assert hybrid.then.names == ("Birch", "Flint")
    assert asked(tmp_path / "b", RecipeChange(mains="birch-130")).then.names == ("Birch", "Birch")


def test_a_gauge_of_one_string_says_nothing_of_another(tmp_path):
    """A job's own gauge goes with its string; another string comes with the catalogue's."""
    found = asked(tmp_path, RecipeChange(mains="flint-120"), mains="reed-125, gauge: 1.35 mm, tension: 50 lb")
    assert (found.now.gauges, found.then.gauges) == ((1.35, 1.35), (1.2, 1.2))


def test_the_makers_limit_is_watched(tmp_path):
    """A pull above the frame maker's 26 kg (57.3 lb) is over the limit, one at it is not."""
    assert asked(tmp_path / "a", RecipeChange(mains_pull=parse("26.1 kg", TENSION))).over_limit
    assert not asked(tmp_path / "b", RecipeChange(mains_pull=parse("26 kg", TENSION))).over_limit


def test_a_string_of_unknown_mass(tmp_path):
    """With a string that cannot be weighed or estimated neither masses nor a frequency are made up."""
    found = asked(tmp_path, RecipeChange(mains="odd-120"))
    assert (found.then.strings, found.then.hz, found.then.mass, found.swingweight_change) == (None, None, None, None)
    assert found.now.hz.value == pytest.approx(600)


@pytest.mark.parametrize(
    ("frame_name", "change", "asked_for"),
    [
        ("cy/two", RecipeChange(mains="flint-120"), "cy/two"),
        ("cy/one", RecipeChange(mains="flnt-120"), "flnt-120"),
        ("cy/one", RecipeChange(crosses="flnt-120"), "flnt-120"),
        ("cy/bare", RecipeChange(mains="flint-120"), ""),
    ],
)
def test_what_does_not_exist(tmp_path, frame_name, change, asked_for):
    """A frame or string that is not there, or a frame without strings, is refused and named."""
    frames = {"one": frame(job("2026-01-05")), "bare": "model: larch-98\nlabel: Bare\n"}
    with pytest.raises(NotPossible) as refused:
        what_if(shop(tmp_path, frames), frame_name, change)
    assert refused.value.asked == asked_for
    assert asked_for not in refused.value.names or not asked_for


def test_a_recorded_path_counts_here_as_in_a_rebuild(demo_content):
    """The string weighs what a rebuild takes it to weigh, by the path that its record tells, and as surely."""
    name = "askwell/i"
    bench = Workbench(demo_content, date(2026, 11, 25))
    stringing = bench.holding(name).stringing
    assert stringing.path
    wanted = bench.predictor(bench.model(demo_content.frames[name].record.model)).strung(stringing, name).mass()
    found = what_if(demo_content, name, RecipeChange(pattern=(18, 20)))
    assert (found.now.strings.value, found.now.strings.u) == pytest.approx((wanted.value, wanted.u))
    assert found.mass_change.value > 0
