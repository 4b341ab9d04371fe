"""The set-up of a web server for a workshop's site: examples with its own host, path and folder filled in."""

import re
from pathlib import Path
from urllib.parse import urlparse

from passport.acts.publishing.shop import shop_of
from passport.render.theme import assets

SERVERS = {"nginx": "hosting/nginx.conf", "caddy": "hosting/Caddyfile", "headers": "hosting/_headers"}
"""What there is an example for, and where it stands among the templates."""


def example(content: Path, server: str, root: str) -> str:
    """The set-up for a server that serves the site from a folder ``root`` on it.

    An address below the top of its host (``https://shop.example/cards``) is served from that folder in ``root``. Raises
    Faulty where workshop.yaml cannot be read.
    """
    address = urlparse(shop_of(content).address)
    with assets.using(content):
        text = assets.text(assets.find(SERVERS[server]))
    filled = {"HOST": address.netloc, "ROOT": root.rstrip("/") or "/", "AT": address.path.rstrip("/")}
    return re.sub(r"%(HOST|ROOT|AT)%", lambda found: filled[found[1]], text)
