"""The fingerprint of a stringing: what its bed read right after it, and how near another reading of the same bed comes.

It is the one proof that a bed is the same again: another frame, or this one restrung, read at the same age by the same
reader. Two readings of one bed differ by what the reader repeats and its digits leave (JCGM 100, 5.1.2); 95 of 100 such
pairs lie within the figure that is given.
"""

import math
from typing import Final

from passport.physics.uncertainty import COVERAGE
from passport.records.schema.frame import Job, Reading
from passport.records.schema.quantities import ring_scale
from passport.workshop.facts.facts import FingerprintFacts
from passport.workshop.strings.reader import BedReader

RIGHT_AFTER: Final = 1440.0
"""Age in minutes up to which a reading is one from right after stringing: those who cannot wait read at collection."""


def fingerprint(job: Job, reader: BedReader) -> FingerprintFacts | None:
    """The youngest reading of the strings that a job put in; None where none was taken within a day, or at no known age."""
    aged = [
        (reading.age.value, reading)
        for reading in job.readings
        if reading.ring and reading.age and reading.when == "after" and reading.strung
    ]
    found = min(aged, key=lambda pair: pair[0], default=None)
    if job.strings is None or found is None or found[0] > RIGHT_AFTER:
        return None
    age, reading = found
    assert reading.ring is not None, "chosen for having one"
    by = reader.named(reading.reader)
    return FingerprintFacts(
        amount=reading.ring.amount,
        unit=reading.ring.unit,
        age=age,
        taken=job.date,
        reader=reading.reader or by.only_name,
        setting=reading.setting,
        temperature=reading.temperature.value if reading.temperature else None,
        within=_within(job, reading, by),
        sources=() if reading.reader else (("reader", "worked out"),),
    )


def _within(job: Job, reading: Reading, reader: BedReader) -> float | None:
    """How far another reading of the same bed may be off, in the unit shown; None where nobody stated what repeats."""
    shown = reading.ring
    if shown is None or not reader.states(shown):
        return None
    known, power = reader.correction(shown, job.date), 2 if ring_scale(shown) == "Hz" else 1
    digits, scatter = (share / power * shown.amount for share in (known.digits, known.repeatability))
    step = digits * math.sqrt(12)  # readings differ by whole steps of what is shown
    within = COVERAGE * math.sqrt(2) * math.hypot(digits, scatter)
    return math.ceil(within / step - 1e-9) * step if step else within
