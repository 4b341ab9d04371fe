"""Numbers of things in words."""

from passport.records.language.worded import numbered


def counted(number: int, thing: str) -> str:
    """A number and what is counted: ``1 card``, ``2 cards``. For words that take an s."""
    one = f"{{count}} {thing}"
    many = f"{one}s"
    return numbered(number, one, many)
