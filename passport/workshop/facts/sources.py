"""Where a fact comes from: every fact that is not an identifier can say.

A fact holds its value as it is and names the source of those fields that need not be in the frame's own record. What is
absent is None or empty. An assumed value is there for sums and drawings, and code that shows a fact asks first.
"""

from typing import Literal

Source = Literal["recorded", "model", "worked out", "assumed", "absent"]
"""``recorded``: in the frame's own record. ``model``: from the catalogue, what the maker of the frame or string says.
``worked out``: follows from recorded facts, its uncertainty beside it where it has one. ``assumed``: typical of its
kind. ``absent``: nobody wrote it down."""
Sources = tuple[tuple[str, Source], ...]


class Sourced:
    """A fact whose fields know their source; those not named in ``sources`` are recorded where they have a value."""

    __slots__ = ()
    sources: Sources

    def source(self, name: str) -> Source:
        """The source of one of its fields."""
        if getattr(self, name) in (None, "", ()):
            return "absent"
        return dict(self.sources).get(name, "recorded")

    def is_from_model(self, name: str) -> bool:
        """Whether a field says what the catalogue does, and not what was done."""
        return self.source(name) == "model"

    def is_fact(self, name: str) -> bool:
        """Whether a field may be shown: it is there, and not merely assumed."""
        return self.source(name) not in ("absent", "assumed")
