"""The public address of a passport, written so that its QR code stays small."""

from urllib.parse import urlsplit

from passport.workshop.facts.facts import ShopFacts


def public_address(shop: ShopFacts, key: str, secret: str = "") -> str:
    """The web address of the page with this key, ending in a slash, and in the secret of a sealed page behind a ``#``.

    Scheme and host are written in capitals: case does not matter there (RFC 3986, section 3.1 and 3.2.2), and capitals
    let a QR code use its alphanumeric mode, 5.5 bits a character instead of 8 (ISO/IEC 18004). Case does matter in a
    path, so a path in the shop's address is left as it is.
    """
    return written(shop.address, key, secret)


def written(shop_address: str, key: str, secret: str = "") -> str:
    """The same from the shop's address alone."""
    parts = urlsplit(shop_address)
    return (
        f"{parts.scheme}://{parts.netloc}".upper() + f"{parts.path.rstrip('/')}/{key}/{f'#{secret}' if secret else ''}"
    )
