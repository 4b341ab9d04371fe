"""The bench's server: what takes long is brought in before somebody waits for it."""

import subprocess
import sys

_WARM = """
import sys
from passport.browser import serving
slow = [name for name in serving._SLOW if name not in sys.modules]
serving._warm()
print(len(slow), all(name in sys.modules for name in serving._SLOW))
"""


def test_what_takes_long_is_brought_in_while_nobody_waits():
    """The printing of cards and the survey of all records are not there at the start, and are after the warming up."""
    done = subprocess.run([sys.executable, "-c", _WARM], capture_output=True, text=True, check=False)
    slow, there = done.stdout.split()
    assert int(slow) >= 3 and there == "True", done.stderr
