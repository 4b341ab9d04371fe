"""What a plan works on: a blank or a frame, in the states that its record knows."""

from rebuildshop import NEAR, bench, strung_frame


def test_a_blank(tmp_path):
    """A blank has its factory parts on, its model, and what its record says of it, where it lies included."""
    record = f"model: larch-98\nserial: L-1\nlocation: drawer B\nbuild:\n  - {{part: cushion, place: along the handle}}\nreadings:\n  - {{state: bare, {NEAR}}}\n"
    work = bench(tmp_path, {"b": record})
    blank = work.blank("b")
    assert (blank.name, blank.facts.serial, blank.facts.location, blank.facts.model) == (
        "b",
        "L-1",
        "drawer B",
        "Larch 98",
    )
    assert [f.part for f in blank.on.parts] == ["cushion"]
    assert set(blank.taken) == {"mass", "balance", "swingweight"}


def test_a_frame_in_use(tmp_path):
    """A frame has on it what its build and its jobs say, strings included."""
    taped = strung_frame("T", "mass: 330 g").replace(
        "    readings", "    fitted: {part: tungsten-tape, place: 3 and 9, length: 20 mm}\n    readings"
    )
    work = bench(tmp_path, frames={"t": taped})
    frame = work.frame("ada/t")
    assert [f.part for f in frame.on.parts] == ["cushion", "tungsten-tape"]
    assert frame.on.stringing is not None
    assert [f.part for f in work.tuning_on(frame)] == ["tungsten-tape"]


def test_as_it_was_last_weighed(tmp_path):
    """The state in which a blank was weighed is the one that the work begins from."""
    known, state = bench(tmp_path).as_measured(bench(tmp_path).blank("near"))
    assert known.body.mass().value == 303
    assert not state.strung and [f.part for f in state.parts] == ["cushion"]
