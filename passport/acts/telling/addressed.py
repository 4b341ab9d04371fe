"""A message as an address that opens in the mail program (RFC 6068) or in the message program (RFC 5724)."""

import re
from urllib.parse import quote

_SEPARATORS = re.compile(r"[\s().\-/]")
"""What people write between the digits of a telephone number (RFC 3966 calls them visual separators)."""
_SAFE = "!$'()*,;:@"
"""Signs that stand for themselves in an address of mail besides letters and digits (RFC 6068, 2)."""


def mailto(address: str, subject: str, text: str) -> str:
    """``mailto:`` with subject and text; line ends are CR and LF, encoded (RFC 6068, 5)."""
    body = quote(text.replace("\r\n", "\n").replace("\n", "\r\n"), safe=_SAFE)
    return f"mailto:{quote(address, safe='@!$*+')}?subject={quote(subject, safe=_SAFE)}&body={body}"


def sms(phone: str, text: str) -> str:
    """``sms:`` with the text; of the number the digits, and the plus sign before an international one."""
    digits = _SEPARATORS.sub("", phone)
    return f"sms:{quote(digits, safe='+')}?body={quote(text, safe=_SAFE)}"
