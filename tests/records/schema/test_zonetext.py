"""Pulls by zone as people write them: words in, strings and pulls out; what names no zone is told."""

import pytest
from pydantic_core import PydanticCustomError

from passport.physics.stringing.zones import Pull, PullZone
from passport.records.schema.stringpattern import read_zones

LB = 4.4482216152605  # N, NIST SP 811 (2008), appendix B.8


def _at(pounds: float) -> tuple[Pull, Pull]:
    return Pull(newtons=pytest.approx(pounds * LB)), Pull(newtons=pytest.approx(pounds * LB))


@pytest.mark.parametrize(
    ("text", "zones"),
    [
        ("mains last 2 at 49 lb", [PullZone("mains", "last", 2, _at(49))]),
        ("first 2 mains = 53 lb", [PullZone("mains", "first", 2, _at(53))]),
        ("outer mains: 49 lb, outer 2 crosses 47 lb", [PullZone("mains", "outer", 1, _at(49)), PullZone("crosses", "outer", 2, _at(47))]),
        ("crosses 18-19 47 lb", [PullZone("crosses", "numbered", 19, _at(47), 18)]),
        ("Cross 3 24,5 lb", [PullZone("crosses", "numbered", 3, _at(24.5), 3)]),
        ("mains first +5 %; last 2 −5 %", [
            PullZone("mains", "first", 1, (Pull(share=0.05), Pull(share=0.05))),
            PullZone("mains", "last", 2, (Pull(share=-0.05), Pull(share=-0.05))),
        ]),
        ("crosses 1-6 24 to 26 lb", [PullZone("crosses", "numbered", 6, (_at(24)[0], _at(26)[0]))]),
        ("crosses 1-6 24 lb to 26 lb", [PullZone("crosses", "numbered", 6, (_at(24)[0], _at(26)[0]))]),
        ("crosses last 3 - 2 lb", [PullZone("crosses", "last", 3, (Pull(more=pytest.approx(-2 * LB)),) * 2)]),
    ],
)  # fmt: skip
def test_zones_are_read(text, zones):
    """Mains and crosses, which of them, and a pull of their own, a rising one, or so much beside the rest."""
    assert list(read_zones(text).zones) == zones


@pytest.mark.parametrize("text", [
    "last 2 at 49 lb", "mains at 49 lb", "mains last 2", "mains last 0 at 49 lb", "mains last 2 at 49", "mains last 2 at 900 lb",
    "mains last 2 +60 %", "mains last two at 49 lb", "; ;", "crosses 1-6 24 lb to soft",
])  # fmt: skip
def test_what_names_no_zone_is_told(text):
    """A side, strings and a pull with its unit are needed, in figures that a racquet can have."""
    with pytest.raises(PydanticCustomError):
        read_zones(text)
