"""How sure a bench is: checks, what an uncertain instrument costs, what to check next."""

from datetime import date

import pytest
from rebuildshop import WORKSHOP, shop, strung_frame

from passport.workshop.gathering.gather import Gatherer
from passport.workshop.gathering.sureness import sureness

TODAY = date(2026, 11, 25)
SETUP = "setup: {mass: 330 g ± 1 g, swingweight: 318 ± 3 kgcm2}\n"
FRAME = {"one": strung_frame("One", "mass: 330.2 g, balance: 320 mm, swingweight: 318.5 kgcm2", SETUP)}
TOOLS = """\
instruments:
  - kind: scale
    name: Scale
    resolution: 0.1 g
    check_every: 100 d
    checks:
      - {date: 2026-03-01, known: 200.0 g, reads: 200.4 g}
      - {date: 2026-07-01, known: 200.0 g, reads: 200.2 g, against: weight}
  - {kind: swing machine, name: Machine, resolution: 0.5 kgcm2}
"""


def found(tmp_path, tools: str = TOOLS):
    """The sureness of a small shop."""
    return sureness(shop(tmp_path, frames=FRAME, workshop=WORKSHOP + tools), TODAY)


def test_corrections_of_a_scale(tmp_path):
    """A scale that shows 200.2 g for 200 g is corrected by −0.1 %; its next check is due as often as its record says."""
    scale = next(t for t in found(tmp_path).tools if t.kind == "scale")
    assert [look.correction for look in scale.looks] == pytest.approx([-100 * 0.4 / 200.4, -100 * 0.2 / 200.2])
    assert scale.last is not None and (scale.last.day, scale.last.against) == (date(2026, 7, 1), "weight")
    assert scale.due == date(2026, 10, 9)


def test_what_an_unchecked_machine_costs(tmp_path):
    """A swingweight half a unit off 318 ± 3, unsure by 1 % of a machine never checked, is undecided because of it."""
    told = found(tmp_path)
    machine = next(t for t in told.tools if t.kind == "swing machine")
    assert [(u.frame, u.quantity) for u in machine.undecided] == [("ada/one One", "swingweight")]
    assert machine.undecided[0].share > 0.9
    assert [c.quantity for c in told.close] == ["swingweight"] and told.verdicts == 2
    assert "check the swing machine" in told.close[0].settled


def test_what_to_check_next(tmp_path):
    """What was never checked comes before what is overdue, and that before what is due."""
    told = found(tmp_path / "a")
    assert told.first is not None and told.first.kind == "swing machine" and "never held" in told.why
    checked = TOOLS.replace(
        "resolution: 0.5 kgcm2}",
        "resolution: 0.5 kgcm2, check_every: 400 d, checks: {date: 2026-02-01, known: 285.4 kgcm2, reads: 285.5 kgcm2}}",
    )
    then = found(tmp_path / "b", checked)
    assert then.first is not None and (then.first.kind, then.why[:37]) == (
        "scale",
        "its check has been overdue for 47 day",
    )
    assert not then.close


def test_a_bench_without_a_list_of_instruments(tmp_path):
    """Instruments that figures hang on are there although nobody listed them."""
    kinds = {tool.kind: tool.name for tool in found(tmp_path, "").tools}
    assert kinds == {"scale": "not listed", "swing machine": "not listed"}


def test_the_home_page_says_when_by_the_shops_wish(tmp_path):
    """With 'show_checks: yes' the shop's facts say when each kind was last checked; without it, nothing."""
    silent = Gatherer(shop(tmp_path / "a", workshop=WORKSHOP + TOOLS)).shop
    told = Gatherer(shop(tmp_path / "b", workshop=WORKSHOP + "show_checks: yes\n" + TOOLS)).shop
    assert silent.checked == ()
    assert told.checked == (("scale", date(2026, 7, 1)),)
