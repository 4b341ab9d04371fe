"""A bed pulled by zone as a net of single strings, each with its own tension, against the even bed that rings like it."""

import pytest
from lattice import PATTERNS, lattice_frequency

from passport.physics.stringbed import StringBed
from passport.physics.stringing.zones import UNEVEN_U, Pull, PullZone, even_pull, pulls_of

# softer outer mains, harder first ones, crosses that rise as badminton has them, softer crosses at both ends: pulls and
# shares as they are strung (common practice, no source)
ZONES = {
    "outer mains": [PullZone("mains", "last", 2, (Pull(share=-0.1), Pull(share=-0.1)))],
    "first mains": [PullZone("mains", "first", 3, (Pull(share=0.08), Pull(share=0.08)))],
    "rising crosses": [PullZone("crosses", "numbered", 14, (Pull(newtons=190.0), Pull(newtons=220.0)))],
    "both": [
        PullZone("mains", "first", 2, (Pull(more=12.0), Pull(more=12.0))),
        PullZone("crosses", "outer", 2, (Pull(share=-0.15), Pull(share=-0.15))),
    ],
}


@pytest.mark.parametrize("name", ZONES)
@pytest.mark.parametrize("shape", PATTERNS, ids=lambda s: f"{s.mains}x{s.crosses}-{s.main_spacing:g}")
def test_a_net_with_zones_changes_its_pitch_as_the_even_bed_does(shape, name):
    """Of four ways to pull by zone in five patterns, the change of frequency is right within the stated share of it."""
    half, crosses = range(1, shape.mains // 2 + 1), range(1, shape.crosses + 1)
    mains = pulls_of(ZONES[name], "mains", 220.0, half)
    across = pulls_of(ZONES[name], "crosses", 200.0, crosses)
    left_to_right = [mains[n] for n in (*reversed(half), *half)]
    net = lattice_frequency(shape, 1.5, left_to_right, [across[n] for n in reversed(crosses)])
    change = net / lattice_frequency(shape, 1.5, 220.0, 200.0) - 1
    even = even_pull(shape, "mains", mains), even_pull(shape, "crosses", across)
    bed = StringBed.of(shape, 1.5, 1.5)
    plain = bed.frequency(220.0, 200.0)
    found = bed.frequency(*even) / plain - 1
    moved = abs(bed.frequency(even[0], 200.0) / plain - 1) + abs(bed.frequency(220.0, even[1]) / plain - 1)
    assert moved > 0.0005
    assert found == pytest.approx(change, abs=UNEVEN_U * moved)
