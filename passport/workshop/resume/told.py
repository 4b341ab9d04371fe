"""What does not go with the rest of a rebuild's readings, in a sentence for a person."""

from passport.physics.uncertainty import Estimate
from passport.records.language.worded import worded
from passport.workshop.facts.facts import QuantityName
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.resume.knowledge import Contradiction
from passport.workshop.resume.readings import BenchLook
from passport.workshop.resume.resume import WorkInHand

_UNITS: dict[QuantityName, str] = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}


def contradiction(hand: WorkInHand, one: Contradiction) -> str:
    """What does not go with the rest, and what to do about it."""
    chance = (
        worded("under 1 in 1,000") if one.probability < 0.001 else worded("{share:.1f} %", share=100 * one.probability)
    )
    far = worded(
        "{stray:.1f} standard uncertainties off; all figures together right: {chance}", stray=one.stray, chance=chance
    )
    if one.look is not None:
        return worded("{what} ({far}).", what=_of_look(hand, one.look), far=far)
    name = one.name.rpartition(", ")[0] or one.name
    if one.kind == "record":
        return worded(
            "The {quantity} on the blank's record does not go with what is read now ({far}); the readings are believed. If "
            "they are right, correct it: passport correct CONTENT {blank} --blank.",
            quantity=name_said(one.name.partition(",")[0]),
            far=far,
            blank=hand.course.blank,
        )
    if one.kind == "string":
        thing = one.name.removeprefix("string ")
        return worded(
            "The string {string} weighs otherwise than the catalogue says ({far}): weigh ten metres of it.",
            string=thing,
            far=far,
        )
    thing = name.removeprefix("mass of ")
    return worded(
        "What went on as '{part}' weighs otherwise than is stated ({far}); the readings are believed. Look whether it is "
        "the right one, and weigh another of its kind.",
        part=thing,
        far=far,
    )


def expected_text(figure: Estimate, quantity: QuantityName) -> str:
    """A figure that is expected, with two standard uncertainties and its unit."""
    return worded("{value:.1f} ± {u:.1f} {unit}", value=figure.value, u=2 * figure.u, unit=_UNITS[quantity])


def _of_look(hand: WorkInHand, look: BenchLook) -> str:
    expected = hand.knowledge.expected(look)
    quantity = name_said(look.quantity)
    what = worded(
        "Step {step}: the {quantity} read, {showed}, does not go with the rest, which says {expected}",
        step=look.step,
        quantity=quantity,
        showed=look.showed,
        expected=expected_text(expected, look.quantity),
    )
    if look.step == len(hand.course.work.steps):
        return worded(
            "{what}. Read it again and note it: --read '{step}: …'; until then it is left out",
            what=what,
            step=look.step,
        )
    return worded(
        "{what}. It is left out; what it stood for is past, so read the {quantity} as the frame is now",
        what=what,
        quantity=quantity,
    )
