"""The text of a new record, with remarks that say what else may stand in it. Pure: values in, text out."""

from collections.abc import Mapping
from datetime import date

from passport.records.yaml.yamlwrite import flow_map, scalar

_SETUP = """\
# What must be reproduced, strung and as it is in the hand. Take the '#' away when it has been measured:
# setup:
#   mass: 330 g ± 1 g
#   balance: 320 mm ± 1.5 mm
#   swingweight: 318 ± 1.5 kgcm2
"""
_BUILD = """\
# What was on it when it came in; the jobs change it:
# build:
#   - {part: cushion-grip, place: along the handle}
"""
_PRIVATE = "# Never shown; take the '#' away where it is known:"


def frame_text(values: Mapping[str, str], *, remark: str = "", setup: str = "") -> str:
    """A new frame's record: the values in their order, then a setup as it is written elsewhere, or how to write one."""
    lines = [f"# {remark}"] if remark else []
    lines += [f"{key}: {scalar(value)}" for key, value in values.items() if value]
    handle = values.get("number") or "NUMBER"
    jobs = f"# Jobs follow, newest last: 'passport log CONTENT {handle}' adds them.\n"
    blocks = ["\n".join(lines) + "\n", setup.rstrip() + "\n" if setup else _SETUP, _BUILD, jobs]
    return "\n".join(blocks)


def player_text(
    name: str,
    key: str,
    language: str = "",
    *,
    full_name: str = "",
    contact: Mapping[str, str] | None = None,
    plays_a_week: str = "",
) -> str:
    """A new player's record: the public name and the key of the page, what else is known, and remarks for the rest."""
    known = {at: text for at, text in (contact or {}).items() if text}
    told = {
        "language": scalar(language) if language else "",
        "plays_a_week": scalar(plays_a_week) if plays_a_week else "",
        "full_name": scalar(full_name) if full_name else "",
        "contact": flow_map(known) if known else "",
    }
    rest = {"full_name": "", "contact": "{email: , phone: , address: }", "plays_a_week": "2"}
    lines = [
        "# Everything known of this player lives in this folder.",
        f"name: {scalar(name)}   # as the pages show it",
    ]
    told = {"key": key, **told}
    lines += [f"{at}: {text}" for at, text in told.items() if text]
    remarks = [f"# {at}: {text}".rstrip() for at, text in rest.items() if not told[at]]
    return "\n".join([*lines, *(["", _PRIVATE] if remarks else []), *remarks, ""])


def frame_values(
    number: str,
    key: str,
    *,
    model: str,
    label: str,
    serial: str = "",
    grip: str = "",
    since: date | None = None,
    set_name: str = "",
    rebuilds: str = "",
    secret: str = "",
) -> dict[str, str]:
    """The values at the top of a new frame's record, in their usual order; those that are empty are left out.

    With a ``secret`` the page is sealed.
    """
    return {
        "number": number,
        "key": key,
        "model": model,
        "label": label,
        "serial": serial,
        "grip": grip,
        "status": "active",
        "since": since.isoformat() if since else "",
        "rebuilds": rebuilds,
        "set": set_name,
        "sealed": "yes" if secret else "",
        "secret": secret,
    }
