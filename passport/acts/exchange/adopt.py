"""Taking a frame over that another workshop kept: as a frame of one's own, or for a plan alone."""

from dataclasses import dataclass
from pathlib import Path

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.exchange.carry import Carry
from passport.acts.frames.issue import SITE
from passport.acts.frames.log import path_of
from passport.acts.reading import checked
from passport.acts.refused import Faulty, Refused
from passport.records.exchange import trees
from passport.records.exchange.carried import Kind
from passport.records.exchange.setup import SetupData
from passport.records.faults import has_errors
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content
from passport.records.trial import tried
from passport.workshop.entry.newcomers import NewFrame, NewPlayer

VISITOR = "from-elsewhere"
"""The player of a frame that is there for a plan alone."""


@dataclass(frozen=True, slots=True)
class Adoption:
    """What is said of a frame that is taken over: the setup, how it came, whose the frame is, and what it is called."""

    setup: SetupData
    came_as: Kind
    player: str | NewPlayer
    label: str = ""
    serial: str = ""
    grip: str = ""


def adopted(base: Base, said: Adoption, keys: FreshKeys, site: Path = SITE) -> tuple[str, Change]:
    """The name of the new frame and the change that makes it, with what the catalogue lacks. Raises Refused, CannotEdit.

    What is said of holes, zones and method is left out where the records cannot take it, and that is told.
    """
    name, change, faulty = _adopted(base, said, keys, site, whole=True)
    if faulty:
        name, change, faulty = _adopted(base, said, keys, site, whole=False)
    return name, change


def _adopted(base: Base, said: Adoption, keys: FreshKeys, site: Path, *, whole: bool) -> tuple[str, Change, bool]:
    new, setup = Additions(base, keys, site), said.setup
    carry = Carry(new, setup)
    player = said.player if isinstance(said.player, str) else new.player(said.player)
    label = said.label or setup.label or setup.frame.model
    grip, serial = said.grip or setup.frame.grip, said.serial or setup.frame.serial
    model = carry.model()
    name = new.frame(NewFrame(player, model, label, grip, serial))
    top = {
        "number": new.number_of(name), "key": keys.of(name), "model": model, "label": label, "serial": serial,
        "grip": grip, "status": "active", "since": today().isoformat(),
    }  # fmt: skip
    told, targets = trees.measured_words(setup), trees.setup_tree(setup, measured=False)
    if told and not targets:
        carry.said.append("The setup has no target, so what was measured there is what is wanted here.")
    blocks = {"origin": origin(setup, said.came_as), **carry.blocks(whole=whole, measured=not targets)}
    if told:
        blocks["private_note"] = f"Measured where it was kept before: {told}."
    carry.put(path_of(name), {key: value for key, value in top.items() if value}, blocks)
    shown = [*carry.said, *([] if whole else [worded(_LEFT_OUT)]), _shown(new.text(path_of(name)))]
    where = f" of {setup.workshop}" if setup.workshop else ""
    change = new.change(f"Adopted {setup.number}{where} as {top['number']}, {name}", shown)
    _, faults = tried(base.records, change.files, base.faults, checked)
    return name, change, has_errors(faults)


_LEFT_OUT = unsaid("Left out, since these records cannot take it: what is said of holes, zones and method.")


def origin(setup: SetupData, came_as: str) -> dict[str, str]:
    """Where a frame was kept before, as its record has it."""
    found = {
        "number": setup.number, "workshop": setup.workshop, "told_until": setup.updated or "", "came_as": came_as,
        "adopted": today().isoformat(),
    }  # fmt: skip
    return {key: value for key, value in found.items() if value}


def _shown(text: str) -> str:
    """A new record as a person looks at it, without its key."""
    return "\n".join(line for line in text.splitlines() if line and not line.startswith("key:"))


def visiting(base: Base, setup: SetupData) -> tuple[Content, str, list[str]]:
    """The records with a frame from elsewhere among them, for a plan alone; its name, and what a person should know.

    Nothing is written. Raises Refused, and Faulty where what was told cannot be.
    """
    for whole in (True, False):
        new = Additions(base, FreshKeys())
        carry = Carry(new, setup)
        player = new.player(NewPlayer("From elsewhere"), published=False, folder=VISITOR)
        name = f"{player}/frame"
        top = {"model": carry.model(), "label": " ".join(filter(None, (setup.label, setup.number)))}
        carry.put(path_of(name), top, carry.blocks(whole=whole, measured=True))
        after, faults = tried(base.records, new.files, base.faults, checked)
        if not has_errors(faults):
            return after, name, carry.said
    raise Faulty(
        [fault for fault in faults if fault.severity == "error"],
        worded("What the setup says cannot be, so there is no plan."),
    )


def refuse_unstrung(setup: SetupData) -> None:
    """Raise Refused where a setup does not say what a plan needs."""
    if setup.strings is None:
        raise Refused(
            worded(
                "The setup does not say how the frame was strung, so nothing can be planned.\n  Add the lines "
                "'mains …' and 'crosses …' to the text, as in 'mains Oxbow / Gorse, 1.25mm polyester, 51lb'."
            )
        )
