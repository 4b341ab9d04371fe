"""Names of folders, files and entries of the catalogue, made from what people write in any script. Pure."""

import re
import unicodedata
from collections.abc import Container

LONGEST = 48
"""Letters of a made name: room is left for what tells two of them apart, within the 61 that a name may have."""
_DEVICES = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]")
"""What Windows takes for a device and not for a file (Microsoft: Naming Files, Paths, and Namespaces)."""


def made_name(text: str, taken: Container[str], otherwise: str) -> str:
    """A name of small letters, digits and hyphens close to a text, and other than those that are ``taken``.

    Every script is written in Latin letters; ``otherwise`` stands in where nothing of the text can stay.
    """
    base = latin(text)[:LONGEST].strip("-") or otherwise
    if _DEVICES.fullmatch(base):
        base = f"{base}-{otherwise}"
    count, name = 2, base
    while name in taken:
        name, count = f"{base}-{count}", count + 1
    return name


def latin(text: str) -> str:
    """A text of any script in small Latin letters and digits, with one hyphen for whatever stands between them."""
    spelled = "".join(map(_spelled, unicodedata.normalize("NFC", text)))
    return re.sub(r"[^a-z0-9]+", "-", spelled.replace("'", "").lower()).strip("-")


def _spelled(sign: str) -> str:
    """A sign in Latin letters; nothing of a picture, whose name in English nobody wrote."""
    if sign.isascii():
        return sign
    from anyascii import anyascii

    told = anyascii(sign)
    return "" if len(told) > 1 and told.startswith(":") else told


def folded(text: str) -> str:
    """A text as two spellings of it are compared: Latin letters and digits alone, whatever the script, case and accents."""
    return latin(text).replace("-", "")
