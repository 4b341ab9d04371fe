"""A frame rebuilt on another model: the bed that rings alike, and what cannot be made the same."""

import math
from dataclasses import replace

import pytest
from sparseshop import sparse_shop

from passport.physics.stringbed import StringBed
from passport.records.load import load
from passport.records.masses import linear_density
from passport.records.schema.quantities import TENSION, parse
from passport.workshop.rebuild.lacking.othermodel import other_model


@pytest.fixture(name="content")
def _content(tmp_path):
    content, faults = load(sparse_shop(tmp_path))
    assert not [fault for fault in faults if fault.severity == "error"]
    return content


def _models(content):
    return content.models["segler-130"].record, content.models["segler-130-ii"].record


def _stringing(content):
    strings = content.frames["okoro/eins"].record.jobs[-1].strings
    assert strings is not None
    return strings, {name: e.record for name, e in content.strings.items()}


def test_the_new_bed_rings_as_the_old_one(content):
    """The pulls that are told let the net of the new bed ring within a step of the machine's as the old one's does."""
    (old, new), (stringing, strings) = _models(content), _stringing(content)
    bed = other_model(old, new, stringing, strings).bed
    assert bed is not None and bed.then[0] != bed.pulls[0]
    density = linear_density(strings["tor-120"], stringing.mains) or 1.3
    rings = [
        StringBed.of(model.shape(), density, density).frequency(*pulls)
        for model, pulls in ((old, bed.pulls), (new, bed.then))
    ]
    assert rings[1] == pytest.approx(rings[0], rel=0.01)  # half of 0.1 kg of 12 kg is 0.4 % of the pull
    assert bed.then[1] / bed.then[0] == pytest.approx(bed.pulls[1] / bed.pulls[0], rel=0.01)


def test_the_same_model_changes_nothing(content):
    """A model against itself corresponds to its own pulls exactly, and nothing differs."""
    (old, _), (stringing, strings) = _models(content), _stringing(content)
    found = other_model(old, old, stringing, strings)
    assert found.bed is not None and found.bed.then == pytest.approx(found.bed.pulls, abs=0.01) and found.differs == ()


def test_a_round_smooth_head_follows_the_drum(content):
    """For a head scaled by s with its spacings the tension goes with s² at the same frequency: f ∝ √(T/σs)/s for
    tensions per length T/s and a density σ that goes with 1/s (the drum of any acoustics text)."""
    (old, _), (stringing, strings) = _models(content), _stringing(content)
    head = old.head
    assert head.length and head.width
    scaled = head.model_copy(update={
        "length": replace(head.length, value=head.length.value * 1.05),
        "width": replace(head.width, value=head.width.value * 1.05),
    })  # fmt: skip
    bed = other_model(old, old.model_copy(update={"head": scaled}), stringing, strings).bed
    assert bed is not None
    step = 0.1 * 9.80665
    assert bed.then[0] == pytest.approx(bed.pulls[0] * 1.05**2, abs=step * 0.51 + 0.003 * bed.pulls[0])


def test_the_makers_limit_stands_above_it(content):
    """Where the pull would be above the new model's limit, it gets the limit, and how much lower it rings is said."""
    (old, new), (stringing, strings) = _models(content), _stringing(content)
    assert new.tension
    low = new.model_copy(update={"tension": new.tension.model_copy(update={"high": parse("11 kg", TENSION)})})
    found = other_model(old, low, stringing, strings)
    assert found.bed is not None and found.bed.strung[0] <= 11 * 9.80665 + 1e-6 < found.bed.then[0]
    lower = 1 - math.sqrt(found.bed.strung[0] / found.bed.then[0])
    assert f"{100 * lower:.0f} % lower" in found.bed.text and "cannot be made the same" in found.bed.text


def test_what_is_not_recorded_is_not_told(content):
    """Without a pattern or a string's mass nothing corresponds, and the sentence says what lacks."""
    (old, new), (stringing, strings) = _models(content), _stringing(content)
    bare = new.model_copy(update={"pattern": None, "length": None})
    found = other_model(old, bare, stringing, strings)
    assert found.bed is None and "string pattern of the Segler 130 II" in found.bed_lacks
    assert not any("length" in each or "pattern" in each for each in found.differs)
    unknown = {"tor-120": strings["tor-120"].model_copy(update={"material": "other"})}
    assert "metre" in other_model(old, new, stringing, unknown).bed_lacks
