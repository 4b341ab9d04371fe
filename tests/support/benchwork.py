"""A rebuild under way in the small workshop, for tests: the frame 'ada/main' on the blank 'near'."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from passport.records.load import load
from passport.records.schema.frame import BenchWork
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.resume.readings import BenchCourse
from passport.workshop.resume.resume import WorkInHand
from tests.support import rebuildshop

FRAME, BLANK = "ada/main", "near"
WORKSHOP = rebuildshop.WORKSHOP + rebuildshop.SCALE.replace("200.8 g", "200.0 g")
"""Instruments that show what is there, so that a reading is what it says."""
BARE = "mass: 289.3 g, balance: 327.6 mm, swingweight: 283.8 kgcm2"
"""A blank that some tape at the tip and silicone in the handle bring to the targets."""


def bench(root: Path, **changes: Any) -> Workbench:
    """The workshop: a leather grip is wanted, the blank has a cushion grip."""
    given: dict[str, Any] = {"workshop": WORKSHOP, "build": ("leather",), "blanks": {BLANK: BARE}}
    rebuildshop.shop(root, **{**given, **changes})
    return Workbench(load(root)[0], rebuildshop.TODAY)


def step(did: str, read: str | Mapping[str, str] = "", **more: Any) -> dict[str, Any]:
    """A step as its record has it; ``read`` is a mass, or several figures."""
    reading = {"mass": read} if isinstance(read, str) else dict(read)
    found = {"date": "2026-11-25", "did": did, **more}
    return found | ({"readings": [reading]} if read else {})


def hand(workbench: Workbench, steps: Sequence[Mapping[str, Any]] = (), **more: Any) -> WorkInHand:
    """The state of the work with these steps done."""
    work = BenchWork.model_validate({"frame": "1001-5", "steps": list(steps), **more})
    return WorkInHand(BenchCourse(workbench, FRAME, BLANK, work))
