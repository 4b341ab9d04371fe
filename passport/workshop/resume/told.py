"""What does not go with the rest of a rebuild's readings, in a sentence for a person."""

from passport.physics.uncertainty import Estimate
from passport.workshop.facts.facts import QuantityName
from passport.workshop.resume.knowledge import Contradiction
from passport.workshop.resume.readings import BenchLook
from passport.workshop.resume.resume import WorkInHand

_UNITS: dict[QuantityName, str] = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}


def contradiction(hand: WorkInHand, one: Contradiction) -> str:
    """What does not go with the rest, and what to do about it."""
    chance = "under 1 in 1,000" if one.probability < 0.001 else f"{one.probability:.1%}".replace("%", " %")
    far = f"{one.stray:.1f} standard uncertainties off; all figures together right: {chance}"
    if one.look is not None:
        return f"{_of_look(hand, one.look)} ({far})."
    name = one.name.rpartition(", ")[0] or one.name
    if one.kind == "record":
        return (
            f"The {one.name.partition(',')[0]} on the blank's record does not go with what is read now ({far}); the readings "
            f"are believed. If they are right, correct it: passport correct CONTENT {hand.course.blank} --blank."
        )
    if one.kind == "string":
        thing = one.name.removeprefix("string ")
        return f"The string {thing} weighs otherwise than the catalogue says ({far}): weigh ten metres of it."
    thing = name.removeprefix("mass of ")
    return (
        f"What went on as '{thing}' weighs otherwise than is stated ({far}); the readings are believed. Look whether it is "
        "the right one, and weigh another of its kind."
    )


def expected_text(figure: Estimate, quantity: QuantityName) -> str:
    """A figure that is expected, with two standard uncertainties and its unit."""
    return f"{figure.value:.1f} ± {2 * figure.u:.1f} {_UNITS[quantity]}"


def _of_look(hand: WorkInHand, look: BenchLook) -> str:
    expected = hand.knowledge.expected(look)
    what = f"Step {look.step}: the {look.quantity} read, {look.showed}, does not go with the rest, which says"
    what = f"{what} {expected_text(expected, look.quantity)}"
    if look.step == len(hand.course.work.steps):
        return f"{what}. Read it again and note it: --read '{look.step}: …'; until then it is left out"
    return f"{what}. It is left out; what it stood for is past, so read the {look.quantity} as the frame is now"
