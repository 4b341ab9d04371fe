"""Fingerprints of content."""

import hashlib

SIZE = 16


def digest(*parts: bytes | str) -> str:
    """A fingerprint of bytes and texts in their order, 32 hexadecimal digits (BLAKE2b, RFC 7693)."""
    total = hashlib.blake2b(digest_size=SIZE)
    for part in parts:
        data = part.encode("utf-8", "surrogateescape") if isinstance(part, str) else part
        total.update(b"%d " % len(data))
        total.update(data)
    return total.hexdigest()
