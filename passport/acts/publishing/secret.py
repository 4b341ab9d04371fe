"""The password or token of a host that is published to: from the environment, the keyring, or a person; from no file."""

import os
from collections.abc import Callable
from importlib import import_module

from passport.acts.refused import Refused
from passport.records.language.worded import worded

VARIABLE = "PASSPORT_PUBLISH_SECRET"
"""The environment variable that holds it behind the host that it is for: ``web.example:password``."""
_SERVICE = "racquet-passport"


def secret_of(host: str, user: str, ask: Callable[[str], str] | None, *, needed: bool = False) -> str:
    """The password or token of a user at a host; empty where nothing knows one.

    It is kept with the name of the host that it is for: records from somebody else may name another one, which gets
    nothing. Raises Refused where it is for another host, or is needed and nothing knows it.
    """
    named, _, found = os.environ.get(VARIABLE, "").partition(":")
    if found and named.casefold() != host.casefold():
        do = worded("Nothing was sent. Look at 'publish' in workshop.yaml: is that your host?")
        raise Refused(
            worded(
                "The password in {variable} is for '{named}', and the records name '{host}'. {do}",
                variable=VARIABLE,
                named=named,
                host=host,
                do=do,
            )
        )
    found = found or _from_keyring(host, user)
    if not found and ask and needed:
        found = ask(worded("Password or token of {user} at {host} (not kept)", user=user, host=host))
    if not found and needed:
        ring = f"keyring set '{_SERVICE} {host}' {user or 'USER'}"
        do = worded(
            "Put '{host}:' and the password or token into the variable {variable}, or into the keyring: {ring}",
            host=host,
            variable=VARIABLE,
            ring=ring,
        )
        raise Refused(
            worded(
                "The password or token of {value} at {host} is not known. {do}",
                value=user or "a user",
                host=host,
                do=do,
            )
        )
    return found


def _from_keyring(host: str, user: str) -> str:
    try:
        keyring = import_module("keyring")
    except ImportError:
        return ""
    try:
        return str(keyring.get_password(f"{_SERVICE} {host}", user) or "")
    except Exception:  # each system's keyring has errors of its own; a key or a question may still do
        return ""
