"""Long tests have a short form with a fixed seed, which all runs take, and a full form, which a command of its own asks for."""

import os

FULL = os.environ.get("PASSPORT_FULL") == "1"
"""Whether the full forms are wanted."""
