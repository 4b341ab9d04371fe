"""The units that readers of string beds show, and temperatures."""

import pytest
from pydantic_core import PydanticCustomError

from passport.records.schema.quantities import RING, parse, parse_temperature, ring_scale


@pytest.mark.parametrize(
    ("text", "scale", "value"),
    [
        ("578 Hz", "Hz", 578),
        ("32.2 lb", "tension", 32.2 * 4.4482216152605),
        ("14.6 kg", "tension", 14.6 * 9.80665),
        # 1 kgf = 9.80665 N, 1 lbf = 4.4482216152605 N, 1 in = 2.54 cm: NIST SP 811 (2008), appendix B.8
        ("34 kg/cm", "stiffness", 34 * 9.80665),
        ("190 lb/in", "stiffness", 190 * 4.4482216152605 / 2.54),
        ("33 N/mm", "stiffness", 330),
    ],
)
def test_what_readers_show(text, scale, value):
    """A frequency in Hz, a tension in N, the stiffness of a bed in N/cm."""
    found = parse(text, RING)
    assert ring_scale(found) == scale
    assert found.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "celsius"), [("21 °C", 21), ("70 °F", 21.111), ("-4 C", -4), ("212 °F", None), ("21", None)]
)
def test_temperatures(text, celsius):
    """Degrees of both scales, (F − 32)/1.8 (NIST SP 811, appendix B.8); no workshop boils, and a unit is needed."""
    if celsius is None:
        with pytest.raises(PydanticCustomError):
            parse_temperature(text)
    else:
        assert parse_temperature(text).value == pytest.approx(celsius, abs=1e-3)
