"""Numbers of things in words."""


def counted(number: int, thing: str) -> str:
    """A number and what is counted: ``1 card``, ``2 cards``. For words that take an s."""
    return f"{number} {thing}{'' if number == 1 else 's'}"
