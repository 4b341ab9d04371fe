"""How the icon finds a bench that runs: its address for the next browser, kept for this user alone while it runs."""

import hashlib
import json
import socket
from pathlib import Path
from urllib.parse import urlsplit

from passport.acts.devices import kept


def hand_over(root: Path, address: str) -> None:
    """Keep the address that opens the bench of a folder to the next browser. Raises Refused."""
    kept.write(_name(root), json.dumps({"address": address}).encode())


def handed_over(root: Path) -> str | None:
    """The address that opens the bench of a folder, where one runs; None else."""
    try:
        address = str(json.loads(kept.read(_name(root)) or b"{}")["address"])
        parts = urlsplit(address)
        if parts.scheme != "http" or parts.hostname != "127.0.0.1" or not parts.port:
            return None
        socket.create_connection((parts.hostname, parts.port), timeout=2).close()
    except (ValueError, KeyError, TypeError, OSError):
        return None
    return address


def take_back(root: Path) -> None:
    """Nothing runs any more."""
    (kept.folder() / _name(root)).unlink(missing_ok=True)


def _name(root: Path) -> str:
    return f"opens-{hashlib.sha256(str(root.resolve()).encode('utf-8', 'surrogateescape')).hexdigest()[:16]}.json"
