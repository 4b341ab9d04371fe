"""What could settle a verdict that is undecided: plain values, put into words only where they are shown."""

from dataclasses import dataclass

from passport.records.language.worded import worded
from passport.workshop.facts.spoken_names import thing_said


@dataclass(frozen=True, slots=True)
class Decided:
    """What could settle a verdict that is undecided.

    ``decidable`` is False where the tolerance is narrower than the uncertainty to both sides, so that nothing read could
    be called inside. ``do`` is what to do, empty where no one measurement would do, and ``done_to`` what it is done to.
    ``most`` is what makes most of the uncertainty, of ``most_of``, with its ``share`` of the variance. All four are texts
    that are not yet put into words; a part's own name has none, and stays as it is.
    """

    decidable: bool
    do: str
    done_to: str
    most: str
    most_of: str
    share: float

    @property
    def by(self) -> str:
        """What to do, in words; empty where no one measurement would do."""
        return worded(self.do, thing=thing_said(self.done_to)) if self.do else ""

    @property
    def largest(self) -> str:
        """What makes most of the uncertainty, in words."""
        return worded(self.most, thing=thing_said(self.most_of))

    @property
    def text(self) -> str:
        """The same as a sentence."""
        most = worded("{share:.0f} % of its uncertainty is {largest}", share=100 * self.share, largest=self.largest)
        if self.do:
            return worded("To decide it, {what_to_do}: {most}.", what_to_do=self.by, most=most)
        if not self.decidable:
            return worded("As things are measured, no reading could be called inside: {most}.", most=most)
        return worded("As things are measured, no one measurement would decide it: {most}.", most=most)
