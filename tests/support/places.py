"""Where things stand in the checkout."""

from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
ROOT = TESTS.parent
DEMO = ROOT / "content_demo"
FAULTS = TESTS / "faults"
SUPPORT = TESTS / "support"
