"""What an ornament draws its numbers from: the digest of a text, the same for ever."""

import hashlib


class Dice:
    """Numbers drawn in turn from the digest of a text."""

    def __init__(self, seed: str) -> None:
        self._digest = hashlib.sha256(seed.encode()).digest()
        self._next = 0

    def pick(self, count: int) -> int:
        """A whole number from 0 to ``count`` − 1."""
        value = self._digest[self._next]
        self._next += 1
        return value % count

    def between(self, low: float, high: float) -> float:
        """A number between the two bounds, in 256 steps."""
        return low + (high - low) * self.pick(256) / 255
