"""Linear density of strings against the fibre densities of Morton & Hearle, worked out with the pint package."""

import math
from typing import Any

import pint
import pytest

from passport.records.masses import linear_density
from passport.records.schema.catalogue import StringType

G_PER_CM3 = {"nylon": 1.14, "polyester": 1.39, "aramid": 1.44}
"""W. E. Morton & J. W. S. Hearle, Physical Properties of Textile Fibres, tables 5.1 and 5.2: nylon, polyester,
para-aramid."""


def _string(material: str, gauge: float) -> StringType:
    return StringType.model_validate({"maker": "m", "name": "n", "material": material, "gauge": f"{gauge} mm"})


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry[Any]":
    """The unit registry of pint, with its own definitions."""
    return pint.UnitRegistry()


@pytest.mark.parametrize("gauge", [0.70, 1.15, 1.25, 1.30])
@pytest.mark.parametrize("material", G_PER_CM3)
def test_solid_round_string(registry: "pint.UnitRegistry[Any]", material: str, gauge: float) -> None:
    """A solid round string weighs density × π·d²/4 for each length (any geometry text), in g/m."""
    density = registry.Quantity(G_PER_CM3[material], "gram / centimeter**3")
    area = math.pi * registry.Quantity(gauge, "millimeter") ** 2 / 4
    expected = (density * area).to("gram / meter").magnitude
    assert linear_density(_string(material, gauge)) == pytest.approx(expected, rel=1e-12)


def test_gut() -> None:
    """Gut is taken as 1.3 g/cm³ (from memory), so that it lies between nylon and polyester."""
    nylon, gut, polyester = (linear_density(_string(m, 1.30)) or 0.0 for m in ("nylon", "gut", "polyester"))
    assert gut == pytest.approx(1.3 * math.pi * 1.30**2 / 4)
    assert nylon < gut < polyester
