"""What a device without contact data is shown: every answer, whichever screen made it, is gone over before it leaves.

The screens leave contact data out by themselves. This stands behind them, so that one that forgets, a list of changes,
or the excerpt of a fault tells nothing either; and what is no text is shown only where it is known to hold none.
"""

import re
from collections.abc import Collection, Iterator, Mapping
from html import escape, unescape
from pathlib import Path

from starlette.responses import Response

from passport.acts.devices.reach import reached_by
from passport.browser.who import VEIL

BARE = ("image/", "font/", "text/css", "text/javascript")
"""Kinds of answers that hold no text of the records."""
DOCUMENTS = ("/card/",)
"""Beginnings of the addresses of documents that hold no contact data."""
_NUMBER, _APART = 6, r"[\s()./-]{0,3}"
"""Digits that a telephone number has at least, and what may stand between them however it is written."""
_MAIL = re.compile(r"[\w.+%-]{1,64}@[\w-]{1,63}(?:\.[\w-]{2,63})+")
_KEYS = re.compile(r"(?m)(\b(?:email|phone|address)\b[\"']?:[ \t]*)(?!\s|[|>])[^\n<,}]+")
"""A line of a record, as a list of changes or a fault shows it."""
_FIELD = re.compile(
    r'(<input\b[^>]*\bname="(?:[\w.-]*[._-])?(?:email|phone|address|contact|reach)"[^>]*\bvalue=")[^"]+', re.IGNORECASE
)
_AREA = re.compile(
    r'(<textarea\b[^>]*\bname="(?:[\w.-]*[._-])?(?:email|phone|address|contact|reach)"[^>]*>)[^<]+', re.IGNORECASE
)


def veiled(text: str, known: Collection[str], said: str = "") -> str:
    """A page without what is ``known`` to reach a player, and without what looks like it; what was ``said`` by whoever is
    shown the page may stand there: a walk-in's number, typed on the phone, comes back in its form."""

    def bare(found: re.Match[str]) -> str:
        before = found[1] if found.re.groups else ""
        own = unescape(found[0][len(before) :]).strip(" \"'\t")
        return found[0] if own in said else before + VEIL

    wanted = sorted(set(_there(text, known, said)), key=len, reverse=True)
    rules = [re.compile(rf"(?<!\w)(?:{'|'.join(wanted)})(?!\w)", re.IGNORECASE)] if wanted else []
    for rule in (*rules, _MAIL, _KEYS, _FIELD, _AREA):
        text = rule.sub(bare, text)
    return text


def _there(text: str, known: Collection[str], said: str) -> Iterator[str]:
    """Rules for what is in the text of all that is known: most is not, and a rule of everything would take seconds."""
    low, close = text.lower(), re.sub(r"[\s()./-]", "", text)
    for one in known:
        if one in said:
            continue
        yield from (re.escape(form) for form in {one, escape(one)} if form.lower() in low)
        digits = re.sub(r"\D", "", one)
        if len(digits) >= _NUMBER and digits in close:
            yield _APART.join(digits)


def without_contacts(root: Path, answer: Response, path: str, said: Mapping[str, str]) -> Response | None:
    """An answer to a form, ``said``, as a device without contact data may have it; None where nobody knows what it holds."""
    kind = answer.headers.get("content-type", "").partition(";")[0]
    if answer.status_code in (204, 303, 304) or kind.startswith(BARE) or path.startswith(DOCUMENTS):
        return answer
    body = getattr(answer, "body", None)
    if not isinstance(body, bytes) or not kind.startswith("text/"):
        return None
    headers = {name: value for name, value in answer.headers.items() if name != "content-length"}
    return Response(veiled(body.decode(), reached_by(root), "\n".join(said.values())), answer.status_code, headers)
