"""Sealed files: what stands on the host tells nothing without a secret that stands only in the printed code.

The secret follows the ``#`` of the address. A browser keeps that part to itself (RFC 3986, section 3.5), so neither the
host nor anybody on the way sees it. From it comes, by HKDF with SHA-256 (RFC 5869), a key for AES-256 in Galois/Counter
Mode (NIST SP 800-38D), which the page's script opens with the browser's own Web Crypto.

A file is sealed as nonce (12 bytes), ciphertext, tag (16 bytes). What is sealed is a line of JSON about the content and
the content, packed by zlib (RFC 1950), then padded with a byte 0x80 and zeros to a whole number of blocks (ISO/IEC
7816-4), so that its size tells little. The file's place on the site is authenticated with it: no file opens in another
one's place.

The nonce is an HMAC of place and content under a second key from the same secret. The same content gives the same
bytes at each build, which is all that it gives away, and another content another nonce, which is what this mode of
encryption rests on (the idea of RFC 8452).

Who can put files on the host can put an older sealed page back, which opens as it did. So each sealed page tells, inside
its seal, which version it is and of what day; the script shows that above the page.
"""

import hashlib
import hmac
import json
import zlib
from collections.abc import Mapping
from datetime import date
from functools import lru_cache

from passport.records.schema.numbers import ALPHABET
from passport.render.theme.formats import Formats

FORMAT = b"racquet-passport seal 1"
PAGE_BLOCK, FILE_BLOCK = 8192, 16384
"""Sizes to whose multiples sealed pages and files are padded, bytes."""
NONCE = 12


def sealed(data: bytes, about: Mapping[str, object], secret: str, place: str, block: int = FILE_BLOCK) -> bytes:
    """A file as it stands on the host.

    ``about`` is told to the script that opens it: ``name`` and ``type`` of the content, for a page its ``files``.
    ``place`` is the path below the site. Raises ValueError without a secret.
    """
    head = json.dumps(about, ensure_ascii=False, sort_keys=True).encode()
    return encrypted(padded(zlib.compress(head + b"\n" + data, 9), block), secret, place)


def version_of(page: bytes) -> str:
    """The version of a page: a mark of eight letters and digits that is another one whenever the page is."""
    found = hashlib.sha256(FORMAT + b" version\n" + page).digest()
    mark = "".join(ALPHABET[b % 32] for b in found[:8])
    return f"{mark[:4]}-{mark[4:]}"


def version_told(page: bytes, day: date | None, language: str) -> dict[str, str]:
    """What a sealed page tells of itself: its ``version``, the ``day`` of the last work on it, if it says that, in the
    form of ISO 8601, and both in a sentence for its reader, who may know of later work."""
    f, named = Formats(language), {"version": version_of(page)}
    if day is None:
        said = f.words.gettext("This page is version %(version)s.") % named
    else:
        said = f.words.gettext(
            "This page is version %(version)s; its last work is of %(date)s. If the workshop has worked on this racquet since,"
            " an older page stands in its place: ask the workshop."
        ) % (named | {"date": f.day(day)})
    return {**named, "day": day.isoformat() if day else "", "said": said}


def encrypted(plain: bytes, secret: str, place: str) -> bytes:
    """Nonce, ciphertext and tag of bytes for a place of the site, always the same. Raises ValueError without a secret."""
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    key, nonces = _keys(secret)
    nonce = hmac.digest(nonces, place.encode() + b"\0" + plain, "sha256")[:NONCE]
    return nonce + AESGCM(key).encrypt(nonce, plain, place.encode())


def decrypted(data: bytes, secret: str, place: str) -> bytes:
    """The bytes that `encrypted` took. Raises ValueError where another secret or place is theirs, or they were changed."""
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    try:
        return AESGCM(_keys(secret)[0]).decrypt(data[:NONCE], data[NONCE:], place.encode())
    except InvalidTag:
        raise ValueError("these bytes were not encrypted with this secret for this place") from None


def padded(data: bytes, block: int) -> bytes:
    """Data with a byte 0x80 and zeros behind it, up to a whole number of blocks."""
    return data + b"\x80" + bytes(-(len(data) + 1) % block)


def unpadded(data: bytes) -> bytes:
    """What `padded` took."""
    return data[: data.rindex(b"\x80")]


def sealed_name(secret: str, kind: str) -> str:
    """The name of a sealed file beside its page, which does not tell what it is."""
    found = hmac.digest(_keys(secret)[1], b"name " + kind.encode(), hashlib.sha256)
    return "".join(ALPHABET[b % 32] for b in found[:8]) + ".bin"


@lru_cache(maxsize=8)
def _keys(secret: str) -> tuple[bytes, bytes]:
    """The keys of encryption and of nonces and names."""
    if not secret:
        raise ValueError("nothing is sealed without a secret")
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.kdf.hkdf import HKDF

    def derived(use: bytes) -> bytes:
        return HKDF(SHA256(), 32, None, FORMAT + use).derive(secret.encode())

    return derived(b" key"), derived(b" nonce")
