"""The finished state of a blank: what stays, what comes off, what is fitted."""

import pytest

from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Fitted, Stringing
from passport.records.timeline import Holding
from passport.workshop.measuring.finish import finish

KINDS = {
    "leather": "base grip", "cushion": "base grip", "over": "overgrip", "thin": "overgrip", "sleeve": "sleeve",
    "cap": "butt cap", "bumper": "bumper", "tape": "tape", "silicone": "silicone", "wad": "other",
}  # fmt: skip
PARTS = {name: Part(kind=kind, name=name.capitalize(), mass="5 g") for name, kind in KINDS.items()}
STRINGING = Stringing.model_validate({"mains": {"string": "s", "tension": "24 kg"}})


def fitted(*names: str) -> tuple[Fitted, ...]:
    """Parts along the handle."""
    return tuple(Fitted(part=name, place="along the handle") for name in names)


def names(parts: tuple[Fitted, ...]) -> list[str]:
    """The names of parts."""
    return [part.part for part in parts]


@pytest.mark.parametrize(("blank", "wanted", "stays", "off", "fit"), [
    (["cushion"], ["leather", "over"], [], ["cushion"], ["leather", "over"]),
    (["cushion"], ["cushion", "over"], ["cushion"], [], ["over"]),
    (["cushion"], ["over"], ["cushion"], [], ["over"]),
    (["cushion", "thin"], ["over"], ["cushion"], ["thin"], ["over"]),
    (["cushion", "thin"], [], ["cushion"], ["thin"], []),
    ([], ["tape", "silicone", "sleeve", "wad"], [], [], ["sleeve", "wad"]),
    (["tape"], ["tape"], ["tape"], [], []),
    ([], ["cap", "bumper"], [], [], []),
    (["cap"], ["cap"], ["cap"], [], []),
])  # fmt: skip
def test_what_is_done_to_a_blank(blank, wanted, stays, off, fit):
    """Grips, sleeve and the like follow the old frame; tuning does not; a kind with one place gives way."""
    done = finish(fitted(*blank), Holding(parts=fitted(*wanted), stringing=STRINGING), PARTS)
    assert (names(done.stays), names(done.off), names(done.fit)) == (stays, off, fit)


def test_the_finished_state_is_strung():
    """The finished state holds what stays and what is fitted, and the old frame's strings."""
    state = finish(fitted("cushion"), Holding(parts=fitted("over"), stringing=STRINGING), PARTS).state
    assert names(state.parts) == ["cushion", "over"]
    assert state.strung and state.stringing is STRINGING


def test_what_is_assumed_is_said():
    """A spare that only the old frame names, and a grip that only it names, are noted."""
    done = finish((), Holding(parts=fitted("cap", "leather")), PARTS)
    assert [("Cap" in note, "no base grip" in note) for note in done.notes] == [(True, False), (False, True)]
    assert finish(fitted("cushion"), Holding(parts=fitted("leather")), PARTS).notes == ()
