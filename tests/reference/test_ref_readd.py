"""Plans of the demo added up again from their JSON by a script that knows physics only (`readd.py`)."""

import ast
import copy
import json
from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest
import readd
from places import DEMO

from passport.records.load import load
from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.match import match
from passport.workshop.rebuild.rebuild import rebuild
from passport.workshop.rebuild.subject import Workbench

DAY = date(2026, 11, 28)


@pytest.fixture(scope="module")
def bench():
    """The demo's workbench."""
    content, faults = load(DEMO)
    assert not [fault for fault in faults if fault.severity == "error"]
    return Workbench(content, DAY)


def sport(bench, record):
    """The sport of a frame or a blank."""
    return bench.model(record.model).sport


@pytest.fixture(scope="module")
def found(bench):
    """The data of every rebuild of the demo's frames on its blanks that is reached or missed, and of its sets."""
    data = []
    content = bench.content
    for frame, entry in content.frames.items():
        for blank, other in content.blanks.items():
            if sport(bench, entry.record) == sport(bench, other.record) and len(data) < 16:
                with suppress(Missing):
                    data.append(rebuild(bench, frame, blank).data())
    for frames in (["askwell/i", "askwell/ii", "askwell/iii"],):
        data += [match(bench, frames).data(), match(bench, frames[1:], frames[0]).data()]
    return json.loads(json.dumps(data))


def test_every_plan_adds_up(found, counted):
    """Every figure, chance and place of every plan is what physics makes of its pieces, to the digits that are printed."""
    wrong, plans = [], 0
    for data in found:
        texts, count = readd.of_any(data)
        wrong += texts
        plans += count
    matched = sum(data["status"] == "matched" for data in found)
    counted(
        f"plans of the demo re-added from JSON: {plans} in {len(found)} answers ({matched} matched), {len(wrong)} wrong"
    )
    assert wrong == []
    assert plans >= 20


def test_the_script_would_notice(found):
    """Of a plan with one figure changed the script says that it does not add up."""
    good = next(d for d in found if d.get("plans") and d["status"] == "matched" and d["plans"][0]["additions"])
    for path, by in (
        (("predicted", "mass_g"), 0.01),
        (("predicted", "swingweight_kgcm2"), 0.01),
        (("joint_probability",), -0.05),
        (("additions", 0, "mass_g"), 0.1),
        (("additions", 0, "moments", "first_gmm"), 500.0),
    ):
        bad = copy.deepcopy(good)
        place = bad["plans"][0]
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] += by
        assert readd.of_any(bad)[0], path


def test_the_script_shares_no_code():
    """It imports nothing of the program that it checks."""
    tree = ast.parse(Path(readd.__file__).read_text(encoding="utf-8"))
    names = {a.name for node in ast.walk(tree) if isinstance(node, ast.Import) for a in node.names}
    names |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not [name for name in names if name and name.startswith("passport")]
