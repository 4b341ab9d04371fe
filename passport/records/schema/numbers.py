"""Passport numbers with a check character, and the random keys of public addresses."""

import re
import secrets

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # no I, L, O, U: nothing is misread, no words appear
KEY_LENGTH = 26
KEY_BITS = KEY_LENGTH * 5
SECRET_LENGTH = 32
_SECRET = re.compile(rf"[{ALPHABET}]{{{SECRET_LENGTH}}}")
_KEY = re.compile(rf"[{ALPHABET}]{{{KEY_LENGTH}}}")
_NUMBER = re.compile(r"([0-9]{3,8})-([0-9X])")


def check_character(digits: str) -> str:
    """The ISO 7064 MOD 11-2 check character of a string of digits: a digit or ``X``.

    It catches every single wrong digit and every swap of two neighbours.
    """
    total = 0
    for digit in digits:
        total = (total + int(digit)) * 2 % 11
    return "0123456789X"[(12 - total) % 11]


def with_check(serial: int) -> str:
    """The passport number of a running number: at least four digits, a hyphen and the check character."""
    digits = f"{serial:04d}"
    return f"{digits}-{check_character(digits)}"


def normalise(text: str) -> str:
    """A number as people type it (``1042x``, ``1042 X``) in its written form, ``1042-X``; no check is made."""
    bare = re.sub(r"[\s\-–.]", "", text).upper()
    return f"{bare[:-1]}-{bare[-1]}" if len(bare) > 1 else bare


def problem(number: str) -> str | None:
    """What is wrong with a passport number, in words, or None when it is sound."""
    match = _NUMBER.fullmatch(number)
    if not match:
        return f"'{number}' is not a passport number: digits, a hyphen and a check character, as in {with_check(1042)}."
    if check_character(match[1]) != match[2]:
        return f"'{number}' has a typo: its check character does not fit its digits."
    return None


def running_number(number: str) -> int:
    """The running number inside a sound passport number."""
    return int(number.partition("-")[0])


def new_key() -> str:
    """A fresh key: 130 bits from the operating system's secure source, in 26 unmistakable capitals and digits."""
    return "".join(ALPHABET[b % 32] for b in secrets.token_bytes(KEY_LENGTH))


def new_secret() -> str:
    """A fresh secret of a sealed page: 160 random bits as 32 characters, small enough for the code on a card."""
    return "".join(ALPHABET[b % 32] for b in secrets.token_bytes(SECRET_LENGTH))


def is_secret(text: str) -> bool:
    """Whether the text has the form of a secret."""
    return _SECRET.fullmatch(text) is not None


def is_key(text: str) -> bool:
    """Whether the text has the form of a key."""
    return _KEY.fullmatch(text) is not None
