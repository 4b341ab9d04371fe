"""Opens a sealed file as its description says, with the standard's two steps written out."""

import hmac
import json
import zlib

from cryptography.hazmat.primitives.ciphers.aead import AESGCM


def expand(secret: bytes, info: bytes) -> bytes:
    """32 bytes of HKDF with SHA-256 and no salt, by the two steps of RFC 5869, sections 2.2 and 2.3."""
    extracted = hmac.digest(bytes(32), secret, "sha256")
    return hmac.digest(extracted, info + b"\x01", "sha256")


def opened(box: bytes, secret: str, place: str) -> tuple[dict[str, object], bytes]:
    """What is inside a sealed file, taken apart as its description says. Raises InvalidTag."""
    key = expand(secret.encode(), b"racquet-passport seal 1 key")
    plain = AESGCM(key).decrypt(box[:12], box[12:], place.encode())
    packed, mark, rest = plain.rpartition(b"\x80")
    assert mark
    assert not rest.strip(b"\0")
    head, _, data = zlib.decompress(packed).partition(b"\n")
    return json.loads(head), data
