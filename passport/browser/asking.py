"""The person at a screen, as an act asks: what would be written is shown once, with its warnings, and agreed to by a press."""

import hashlib
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field

from passport.acts.change import Change
from passport.acts.refused import Faulty
from passport.records.faults import Fault, has_errors


@dataclass
class AtTheScreen:
    """Agrees to what asks nothing, and else to just that which was on the screen when somebody pressed the button.

    ``pressed`` is the mark of what was agreed to, empty where nothing was; with ``errors_too`` an error is no end of it.
    Afterwards ``mark``, ``doubts``, ``faults`` and ``shown`` tell what is asked, or what was written.
    """

    pressed: str = ""
    errors_too: bool = False
    always: bool = False
    """Whether even what asks nothing is shown before it is done."""
    passing: frozenset[str] = frozenset()
    """Rules of warnings that are no question: they are told of what was done."""
    mark: str = ""
    shown: str = ""
    doubts: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    said: list[str] = field(default_factory=list)

    @property
    def waits(self) -> bool:
        """Nobody sits at a question while the records are held: it is asked by a page."""
        return False

    @property
    def sure(self) -> bool:
        """Nobody says so beforehand."""
        return False

    def reading(self) -> AbstractContextManager[None]:
        """Nothing is shown meanwhile."""
        return nullcontext()

    def say(self, words: str) -> None:
        """A word on the way, shown with what was done."""
        self.said.append(words)

    def agreed(self, change: Change, faults: Sequence[Fault]) -> bool:
        """Whether a change may be written. Raises Faulty where it would bring an error."""
        if has_errors(faults) and not self.errors_too:
            raise Faulty(faults)
        told = [fault for fault in faults if fault.rule in self.passing]
        faults = [fault for fault in faults if fault.rule not in self.passing]
        self.said += [words for fault in told if (words := f"{fault.what} {fault.do}") not in self.said]
        other = bool(self.shown) and self.shown != change.shown  # worked out anew from what somebody wrote meanwhile
        self.shown, self.faults = change.shown, tuple(faults)
        self.doubts = tuple(doubt for found in change.doubts.values() for doubt in found)
        self.mark = marked(change.shown, *self.doubts, *(fault.what for fault in faults))
        return self.pressed == self.mark or not (other or self.always or self.doubts or self.faults)


def marked(*texts: str) -> str:
    """What tells some texts from any others."""
    return hashlib.sha256("\0".join(texts).encode("utf-8", "surrogateescape")).hexdigest()
