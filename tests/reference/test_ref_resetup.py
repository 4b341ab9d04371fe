"""Setups of the demo added up by a script that knows their schema and physics only (`resetup.py`)."""

import ast
from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest
import resetup
from places import DEMO

from passport.physics.body import Body
from passport.records.load import load
from passport.render.pages.data import setup_json
from passport.workshop.gathering.gather import gatherer_of
from passport.workshop.measuring.states import Missing, State
from passport.workshop.rebuild.subject import Workbench

DAY = date(2026, 11, 28)


@pytest.fixture(scope="module")
def added(tmp_path_factory):
    """Of each frame whose setup says everything: what the script and the program make of parts, strings and bare frame."""
    content, _ = load(DEMO)
    gatherer, bench, path = (
        gatherer_of(content),
        Workbench(content, DAY),
        tmp_path_factory.mktemp("setup") / "setup.json",
    )
    found = {}
    for name, entry in content.frames.items():
        path.write_bytes(setup_json(gatherer.frame(name), gatherer.shop.name))
        setup = resetup.read(path)
        if not entry.record.key or setup["string_path"] is None:
            continue
        predictor, held = bench.predictor(bench.frame(name).model), bench.holding(name)
        with suppress(Missing):
            bare = bench.known(bench.frame(name), State()).body.moments
            parts = Body.total(predictor.fitted(part) for part in held.parts).moments
            mine = [(m.m0, m.balance, m.swingweight()) for m in (parts, bare)]
            theirs = resetup.bare(setup)
            found[name] = (setup, [resetup.figures(body) for body in theirs], mine)
    return found


def test_what_lies_on_the_frame_is_the_same(added, counted):
    """Mass and swingweight of all parts together are those of the program, to what the file's two decimals leave."""
    for name, (setup, (parts, _, _), (mine, _)) in added.items():
        most = 0.005 * len(setup["build"]) + 1e-6
        assert parts[0] == pytest.approx(mine[0], abs=most), name
        assert parts[2] == pytest.approx(mine[2], abs=0.05), name
        assert parts[1] == pytest.approx(mine[1], abs=0.2), name
    counted(f"setups added up from their file: {len(added)}")
    assert len(added) >= 10


def test_the_bare_frame_is_the_same(added, counted):
    """What is left when parts and strings come off is what the program takes for the bare frame, within twice the string's own
    uncertainty as the file states it: the program has besides learned what its frames gained when they were strung."""
    most = 0.0
    for name, (setup, (_, _, bare), (_, mine)) in added.items():
        u = 2 * setup["string_path"]["mass_uncertainty_g"]
        assert abs(bare[0] - mine[0]) < u, name
        assert bare[1] == pytest.approx(mine[1], abs=0.5), name
        assert bare[2] == pytest.approx(mine[2], abs=2.5 * u), name  # a string acts like 1.7 kg·cm² a gramme
        most = max(most, abs(bare[0] - mine[0]))
    counted(f"bare frames differ by at most {most:.2f} g")


def test_the_script_shares_no_code():
    """It imports nothing of the program that it checks."""
    tree = ast.parse(Path(resetup.__file__).read_text(encoding="utf-8"))
    names = {a.name for node in ast.walk(tree) if isinstance(node, ast.Import) for a in node.names}
    names |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not [name for name in names if name and name.startswith("passport")]
