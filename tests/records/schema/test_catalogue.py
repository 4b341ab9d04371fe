"""The catalogue's records, as the sums and the drawing take them."""

from typing import Any

import pytest
from pydantic import ValidationError

from passport.physics.geometry import RacquetShape
from passport.records.schema.catalogue import FrameModel, Part

LARCH: dict[str, Any] = {
    "maker": "Tarn",
    "name": "Larch 98",
    "sport": "tennis",
    "length": "27 in",
    "head": {"length": "33 cm", "width": "248 mm"},
    "rim": "11 mm",
    "handle": {"length": "200 mm", "width": "31 mm"},
    "pattern": {"mains": "16", "crosses": "19"},
}


def test_shape_is_in_millimetres_whatever_was_written() -> None:
    """Inches and centimetres of the record are millimetres in the sums (1 in = 25.4 mm, exact, agreement of 1959)."""
    assert FrameModel.model_validate(LARCH).shape() == RacquetShape(
        685.8, 330, 248, 11, 200, 31, "open", 16, 19, assumed=(("throat", 0.0),)
    )  # fmt: skip


def test_spacings_are_taken_where_somebody_measured_them() -> None:
    """A measured spacing reaches the shape; one that nobody measured is left to be estimated."""
    pattern = {"mains": 16, "crosses": 19, "main_spacing": "12.5 mm"}
    shape = FrameModel.model_validate({**LARCH, "pattern": pattern, "throat": "shaft"}).shape()
    assert (shape.main_spacing, shape.cross_spacing, shape.throat) == (12.5, 0.0, "shaft")


@pytest.mark.parametrize(("mains", "sound"), [("7", False), ("8", True), ("30", True), ("31", False), ("16.5", False)])
def test_counts_of_strings_are_sane(mains: str, sound: bool) -> None:
    """A racquet has between eight and thirty mains."""
    data = {**LARCH, "pattern": {"mains": mains, "crosses": "19"}}
    if sound:
        assert FrameModel.model_validate(data).pattern.mains == int(mains)
    else:
        with pytest.raises(ValidationError):
            FrameModel.model_validate(data)


@pytest.mark.parametrize(("text", "removable"), [("yes", True), ("no", False), ("true", True), ("off", False)])
def test_yes_and_no_are_words(text: str, removable: bool) -> None:
    """YAML's words for yes and no reach the record as text, and mean what they say."""
    assert Part.model_validate({"kind": "tape", "name": "Tape", "removable": text}).removable is removable
