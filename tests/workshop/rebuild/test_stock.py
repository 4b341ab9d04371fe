"""What may be fitted where, in whole steps, within the limits of each place."""

import pytest
from rebuildshop import shop

from passport.records.schema.catalogue import FrameModel, Part, PlaceLimit
from passport.records.schema.frame import Fitted
from passport.workshop.rebuild.stock import in_stock, lighter, materials, sites


@pytest.fixture(name="stock")
def _stock(tmp_path):
    """The shop's parts by name and its frame model."""
    content = shop(tmp_path)
    return {name: e.record for name, e in content.parts.items()}, content.models["larch-98"].record


def fitted(part: str, place: str, **more: str) -> Fitted:
    """A part at its place."""
    return Fitted.model_validate({"part": part, "place": place, **more})


def with_places(model: FrameModel, *places: dict[str, str]) -> FrameModel:
    """The model with other places."""
    return model.model_copy(update={"places": tuple(PlaceLimit.model_validate(place) for place in places)})


@pytest.mark.parametrize(("stock", "there"), [
    ("", True), ("one roll", True), ("none left", False), ("No more", False), ("0 rolls", False), ("out of stock", False),
    ("outer drawer", True),
])  # fmt: skip
def test_what_is_in_stock(stock, there):
    """A stock that begins with none, no, out or 0 is none; anything else, or nothing, is some."""
    assert in_stock(Part(kind="tape", name="T", stock=stock)) is there


def test_what_frames_are_tuned_with(stock):
    """Tape and silicone in stock; not the lead that has run out, nor putty, nor grips."""
    assert set(materials(stock[0])) == {"tungsten-tape", "silicone"}


def test_whole_steps_up_to_the_limits(stock):
    """Tape comes in steps of 5 mm, both strips the same, up to the place's grams or length, whichever ends first."""
    parts, model = stock
    bumper, sides, handle = sites(model, parts)
    assert [o.laid.length for o in bumper.options] == [5.0 * k for k in range(1, 31)]
    assert [round(o.mass, 6) for o in sides.options] == [round(0.2 * k, 6) for k in range(1, 25)]
    assert sides.options[-1].laid.length == 120
    assert [o.mass for o in handle.options] == [0.5 * k for k in range(1, 25)]
    assert {o.part for o in handle.options} == {"silicone"}


def test_another_cut(stock):
    """A wider cut gives fewer steps."""
    bumper = sites(stock[1], stock[0], cut=10.0)[0]
    assert [o.laid.length for o in bumper.options] == [10.0 * k for k in range(1, 16)]


def test_what_is_on_already_counts(stock):
    """Tape that is on the frame leaves so many grams and so much length less at its place, however it is spelt."""
    parts, model = stock
    on = [fitted("tungsten-tape", "9 & 3", length="100 mm"), fitted("overgrip", "along the handle")]
    _, sides, handle = sites(model, parts, on)
    assert (sides.most, sides.length) == (pytest.approx(1.0), pytest.approx(20.0))
    assert len(sides.options) == 4
    assert handle.most == 12.0


def test_a_full_place_takes_nothing(stock):
    """A place that is at its limit has no options."""
    parts, model = stock
    assert sites(model, parts, [fitted("silicone", "inside the handle", mass="13 g")])[2].options == ()


def test_places_without_a_length(stock):
    """Where the model sets no length, a strip is at most a sixth of the hoop, or as long as its place is."""
    parts, model = stock
    shape = model.shape()
    places = ({"place": "10 and 2", "most": "50 g"}, {"place": "throat", "most": "50 g"})
    hoop, throat = sites(with_places(model, *places), parts)
    assert hoop.options[-1].laid.length <= shape.hoop_perimeter / 6 < hoop.options[-1].laid.length + 5
    low, high = model.places[0].place.extent(shape)
    assert throat.options and throat.options[-1].laid.length > high - low


def test_which_material_goes_where(stock):
    """Paste goes into the handle and the butt cap, or into a span inside the handle; tape anywhere else."""
    parts, model = stock
    places = [{"place": p, "most": "2 g"} for p in ("butt cap", "20 mm to 60 mm", "300 mm to 330 mm", "3 and 9")]
    found = [{o.part for o in site.options} for site in sites(with_places(model, *places), parts)]
    assert found == [{"silicone"}, {"silicone", "tungsten-tape"}, {"tungsten-tape"}, {"tungsten-tape"}]


def test_silicone_without_a_step(stock):
    """Paste whose record names no step comes by the half gram."""
    parts, model = stock
    parts = {"paste": Part(kind="silicone", name="Paste")}
    assert [o.mass for o in sites(model, parts)[2].options][:2] == [0.5, 1.0]


def test_lighter_parts_of_a_kind(stock):
    """Only parts of the same kind that weigh less, and are in stock, stand for a heavier one."""
    parts, _ = stock
    assert lighter(parts, fitted("leather", "along the handle")) == ["cushion"]
    assert lighter(parts, fitted("cushion", "along the handle")) == []
    assert lighter(parts, fitted("unweighed", "throat")) == []
