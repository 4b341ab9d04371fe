"""``passport batch``: every frame that carries a batch."""

import json

from commandline import passport
from places import DEMO


def test_the_batch_of_the_last_restringing():
    """The demo's last batch is in three frames, all of them now; an older one was cut out since."""
    rows = json.loads(passport("batch", DEMO, "bp26-09", "--json").stdout)
    assert [(row["number"], row["side"], row["now"]) for row in rows] == [
        (number, "all strings", True) for number in ("1042-9", "1043-7", "1044-5")
    ]
    old = json.loads(passport("batch", DEMO, "BP25-44", "--json", "--now").stdout)
    assert all(row["now"] for row in old)
    assert not any(row["number"] == "1042-9" for row in old)


def test_a_batch_that_nobody_named():
    """A batch that no job names is told as such."""
    shown = passport("batch", DEMO, "nonesuch")
    assert (shown.exit_code, shown.stdout.strip()) == (0, "No job names the batch 'nonesuch'.")
