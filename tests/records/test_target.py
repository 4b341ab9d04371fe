"""A place to publish to, read from one line; no password, no way that is not encrypted, nothing that runs a program."""

import pytest

from passport.records.target import BadTarget, target_of


@pytest.mark.parametrize(
    ("text", "way", "host", "port", "user", "path"),
    [
        ("/mnt/web/passports", "folder", "", None, "", "/mnt/web/passports"),
        ("../online", "folder", "", None, "", "../online"),
        ("file:///mnt/a%20b", "folder", "", None, "", "/mnt/a b"),
        ("sftp://shop@web.example:2222/srv/p/", "sftp", "web.example", 2222, "shop", "/srv/p"),
        ("ftps://shop@web.example/htdocs", "ftps", "web.example", None, "shop", "/htdocs"),
        ("davs://web.example/dav", "davs", "web.example", None, "", "/dav"),
        ("s3://cards/p", "s3", "cards", None, "", "/p"),
        ("git@web.example:shop/cards.git", "git", "web.example", None, "git", "shop/cards.git"),
        ("git+ssh://git@web.example/shop/cards.git", "git", "web.example", None, "git", "/shop/cards.git"),
        ("git+https://web.example/shop/cards.git", "git", "web.example", None, "", "/shop/cards.git"),
        ("git+file:///srv/cards.git", "git", "", None, "", "/srv/cards.git"),
        ("ftps://192.0.2.7/p", "ftps", "192.0.2.7", None, "", "/p"),
        ("sftp://[2001:db8::7]:22/p", "sftp", "2001:db8::7", 22, "", "/p"),
        ("s3://2026", "s3", "2026", None, "", ""),
    ],
)
def test_each_way_is_read(text, way, host, port, user, path):
    """Host, port, user and path are those of the text."""
    found = target_of(text)
    assert (found.way, found.host, found.port, found.user, found.path) == (way, host, port, user, path)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("sftp://shop:pw@web.example/p", "password"),
        ("ftp://web.example/p", "no way to publish"),
        ("http://web.example/p", "no way to publish"),
        ("ext::sh -c x://y", "no way to publish"),
        ("git+ext://sh/x", "no way to publish"),
        ("dav://web.example/p", "this computer alone"),
        ("sftp:///p", "names no host"),
        ("sftp://-oProxyCommand=x/p", "names no host"),
        ("sftp://-l@web.example/p", "names no host"),
        ("sftp://web.example:99999/p", "no address"),
        ("sftp://web.example/a/../b", "holds"),
        ("s3://cards?x=1", "holds"),
        ("file://web.example/p", "names no host"),
        ("sftp://web..example/p", "'web..example' names no host"),
        (f"davs://{'x' * 64}.example/p", "names no host"),
        ("ftps://999.1.1.1/p", "names no host"),
        ("git@web..example:shop/cards.git", "names no host"),
    ],
)
def test_what_names_no_sound_place_is_refused(text, said):
    """A password, plain FTP or http, a remote helper of git, an option in a host's place: each is told of."""
    with pytest.raises(BadTarget, match=said):
        target_of(text)
