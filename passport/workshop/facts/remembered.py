"""What was worked out of each frame's record, remembered while the record, and what all frames share, are what they were."""

from collections.abc import Callable, Mapping
from typing import Final, Generic, TypeVar

from passport.records.load import Content
from passport.records.schema.frame import Frame

T = TypeVar("T")
_MOST: Final = 4000
"""Frames of other readings that are kept beside those of the last one."""


class FrameMemory(Generic[T]):
    """Of each frame one result; whoever asks again waits for the frames whose records were read anew.

    A record that was not read again is the same object, and none is ever changed. Several threads may ask at once.
    """

    def __init__(self) -> None:
        """Nothing is known yet."""
        self._kept: tuple[object, Mapping[str, tuple[Frame, T]]] = (None, {})

    def of(self, content: Content, shared: object, work: Callable[[str, Frame], T]) -> dict[str, T]:
        """The result of each frame of a content by its name; ``shared`` is all else that ``work`` goes by."""
        before, known = self._kept
        if before != shared:
            known = {}
        now = dict[str, tuple[Frame, T]]()
        for name, entry in content.frames.items():
            old = known.get(name)
            now[name] = old if old and old[0] is entry.record else (entry.record, work(name, entry.record))
        self._kept = shared, {**known, **now} if len(known) <= _MOST else now
        return {name: result for name, (_, result) in now.items()}
