"""What a record must say before a plan can rest on it, asked of a person."""

from collections.abc import Collection

from passport.records.language.worded import numbered, worded
from passport.records.schema.frame import Blank
from passport.workshop.measuring.states import Missing


def ask_state(blank: Blank, name: str, known: Collection[str]) -> None:
    """Raise `Missing` where a figure of a blank is of no use because nobody wrote down in which state it was taken."""
    for i, reading in enumerate(blank.readings, 1):
        swung = reading.swingweight or reading.pendulum or reading.bifilar
        given = {"mass": reading.mass, "balance": reading.balance, "swingweight": swung}
        told = [quantity for quantity, value in given.items() if value and quantity not in known]
        if reading.state is None and told:
            raise Missing(
                numbered(
                    len(told),
                    "Was {name} strung or bare when its {told} was taken? Its record does not say, and strings "
                    "weigh more than all tuning.",
                    "Was {name} strung or bare when its {told} were taken? Its record does not say, and strings "
                    "weigh more than all tuning.",
                    name=name,
                    told=" and ".join(told),
                ),
                worded(
                    "Write it down: passport correct CONTENT {name} --blank --reading {i} --set state=bare (or "
                    "strung).",
                    name=name,
                    i=i,
                ),
            )
