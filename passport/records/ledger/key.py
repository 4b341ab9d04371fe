"""The shop's manifest key: what opens the manifest on its site. It stands in the content folder, and never on the site.

With the site and this key a person knows every number and every address that was ever given out; with the site alone
a person learns no more than how large the list is. It belongs into every backup and on to the recovery sheet.
"""

import errno
import re
from pathlib import Path

from passport.records.disk import opening
from passport.records.language.worded import worded
from passport.records.schema import numbers

FILE = "manifest-key.txt"
_TEXT = """\
# Opens the list of all numbers and addresses on your site. Keep it with the records, in every backup and on the recovery
# sheet; never put it on the web.
{key}
"""
GROUP = 4


def path_of(root: Path) -> Path:
    """Where the key of a content folder is. Raises OSError where that is a link."""
    path = root / FILE
    if path.is_symlink():
        raise OSError(errno.ELOOP, "This is a link; put the file itself here", str(path))
    return path


def read(root: Path) -> str:
    """The key of a content folder; empty where there is none. Raises OSError, and ValueError where it is no key."""
    try:
        text = opening.read_text(path_of(root), errors="replace")
    except FileNotFoundError:
        return ""
    return plain("".join(line for line in text.splitlines() if not line.startswith("#")))


def plain(typed: str) -> str:
    """The key as it is typed from paper, in groups or not. Raises ValueError where it is none."""
    found = re.sub(r"[\s-]", "", typed).upper()
    if not numbers.is_secret(found):
        raise ValueError(
            worded(
                "A manifest key is {secret_length} digits and capitals without I, L, O and U; this one is not.",
                secret_length=numbers.SECRET_LENGTH,
            )
        )
    return found


def grouped(key: str) -> str:
    """The key as it is printed, in groups that are easily copied."""
    return " ".join(key[at : at + GROUP] for at in range(0, len(key), GROUP))


def text_of(key: str) -> str:
    """The text of the file that holds a key."""
    return _TEXT.format(key=key)
