"""Several frames strung in one go."""

from datetime import date

import pytest
import smallshop

from passport.records.load import load
from passport.workshop.orders.series import series
from passport.workshop.strings.batches import TOLERANCE

TODAY = date(2026, 11, 25)
BED = "strings: {mains: {string: reed-125, tension: %s lb}}"
N_PER_LBF = 4.4482216152605
"""Exact (the international pound and the standard acceleration of gravity)."""


def _record(label: str, rest: str) -> str:
    return f"model: larch-98\nlabel: {label}\n{rest}"


def _series(tmp_path, records: dict[str, str], **files: str | None):
    changes = {f"players/ada/{name}.yaml": text for name, text in records.items()}
    content, faults = load(smallshop.write(tmp_path, changes | files))
    assert not faults, [fault.text() for fault in faults]
    return series(content, [f"ada/{name}" for name in records], TODAY)


def test_identical_orders_stand_in_a_row(tmp_path):
    """Frames of one model with one recipe are one group, in the order in which they were named; another pull is another."""
    made = {
        "a": _record("A", f"jobs: [{{date: 2026-03-02, {BED % 52}}}]\n"),
        "b": _record("B", f"jobs: [{{date: 2026-05-02, {BED % 50}}}]\n"),
        "c": _record("C", f"jobs: [{{date: 2026-04-02, {BED % 52}}}]\n"),
        "d": _record("D", "serial: X\n"),
    }
    found = _series(tmp_path, made)
    assert [[f.facts.label for f in group.frames] for group in found.groups] == [["A", "C"], ["B"]]
    assert [f.facts.label for f in found.unknown] == ["D"]
    assert found.player == "SECRET-FULL-NAME"


def test_what_is_ordered_counts_before_what_was_last(tmp_path):
    """A frame that is ordered as another was strung stands with it; what else is wanted of it is said, once."""
    order = f"order: {{asked: as always, {BED % 52}, fitted: {{part: thin-overgrip, place: along the handle}}}}\n"
    made = {
        "a": _record("A", f"jobs: [{{date: 2026-03-02, {BED % 52}}}]\n"),
        "b": _record(
            "B", f"{order}jobs: [{{date: 2026-05-02, {BED % 44}, readings: {{ring: 540 Hz, age: 15 min}}}}]\n"
        ),
    }
    (group,) = _series(tmp_path, made).groups
    first, second = group.frames
    assert (first.ordered, second.ordered) == (False, True)
    assert second.also == ("fit Thin overgrip along the handle",)
    assert second.last == (540, "Hz", 15)
    assert group.bed.mains.tension == pytest.approx(52 * N_PER_LBF)


def test_what_all_of_them_take(tmp_path):
    """All together take as many times what one takes; one that is not to be strung takes nothing, and says why."""
    made = {
        name: _record(name, f"{status}jobs: [{{date: 2026-03-02, {BED % 52}}}]\n")
        for name, status in (("a", ""), ("b", ""), ("c", "status: broken\n"))
    }
    stock = {"catalogue/stock.yaml": "reel: {of: reed-125, counted: {date: 2026-11-20, amount: 15 m}}\n"}
    (group,) = _series(tmp_path, made, **stock).groups
    assert [bool(f.stop) for f in group.frames] == [False, False, True]
    if group.in_all:
        assert group.in_all.value == pytest.approx(2 * sum(c.value for c in group.cuts))
    (line,) = group.stock
    assert line.startswith("Not enough in stock: Reed, 15.0 m by the book, and ")
    need = float(line.split(" and ")[1].split()[0])
    assert 19 < need < 22  # a 16×19 takes 10 to 10.5 m (common practice, no source), less or more an uncertainty each


def test_the_rule_is_the_workshops(tmp_path):
    """Without a figure of the workshop's own, 0.2 lb (common practice, no source); no Hz where nothing was read."""
    made = {name: _record(name, f"jobs: [{{date: 2026-03-02, {BED % 52}}}]\n") for name in ("a", "b")}
    rule = _series(tmp_path / "a", made).rule
    assert (rule.tolerance, rule.stated, rule.hertz, rule.finds) == (TOLERANCE, False, None, None)
    shop = smallshop.FILES["workshop.yaml"].replace("tolerances: {", "tolerances: {batch: 0.3 lb, ")
    own = _series(tmp_path / "b", made, **{"workshop.yaml": shop}).rule
    assert (own.tolerance, own.stated) == (pytest.approx(0.3 * N_PER_LBF), True)


def test_the_rule_in_hertz(demo_content):
    """For one bed T₂/T₁ = (f₂/f₁)² (Rayleigh): so much higher in Hz, the bed holds as much more as the tolerance says."""
    rule = series(demo_content, ["askwell/i", "askwell/ii", "askwell/iii"], TODAY).rule
    assert rule.hertz is not None
    assert rule.finds is not None
    share = ((578 + rule.hertz) / 578) ** 2 - 1
    assert 110 < rule.tolerance / share < 220  # N: what a bed holds of a pull of 50 lb, 222 N, about 0.7 ± 0.1 of it
    assert rule.finds > rule.tolerance
