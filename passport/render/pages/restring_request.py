"""What a player tells the workshop by one tap: the wish for a restring, in the way that the workshop chose, and how it felt."""

from dataclasses import dataclass
from typing import Literal
from urllib.parse import quote

from passport.render.theme.formats import Formats, formats_of
from passport.workshop.facts.facts import FrameFacts, ShopFacts, StringingFacts, StrungFacts
from passport.workshop.facts.standing import standing

By = Literal["mail", "sms", "phone", "booking"]


@dataclass(frozen=True, slots=True)
class RestringRequest:
    """What a player opens to ask: its address, and what that is."""

    by: By
    href: str


def restring_request(frame: FrameFacts, shop: ShopFacts) -> RestringRequest | None:
    """The way that the workshop chose, else mail, else the telephone; None for a frame out of play, or without any way.

    The message names the racquet by number, label and model, and says how it was strung last. It holds no key.
    """
    by = _chosen(shop)
    if by is None or not standing(frame).in_play:
        return None
    if by == "booking":
        return RestringRequest(by, shop.ask)
    if by == "phone":
        return RestringRequest(by, f"tel:{dialled(shop.phone)}")
    subject, text = _message(frame)
    if by == "sms":  # RFC 5724
        return RestringRequest(by, f"sms:{dialled(shop.phone)}?body={_quoted(text)}")
    return RestringRequest(
        by, f"mailto:{quote(shop.email, safe='@')}?subject={_quoted(subject)}&body={_quoted(text)}"
    )  # RFC 6068


def felt_message(frame: FrameFacts, shop: ShopFacts) -> str:
    """The address of a message that says how the strings felt, to be filled in; empty without strings, or a way to send one.

    It asks whether the words may stand on the page: they are the player's. It holds no key.
    """
    if frame.stringing is None or not standing(frame).in_play or not (shop.email or shop.phone):
        return ""
    f = formats_of(frame)
    _ = f.words.gettext
    who = {"label": frame.label, "number": frame.number, "date": f.day(frame.stringing.date)}
    subject = _("How “%(label)s” (%(number)s) feels, strung on %(date)s") % who
    lines = (_("Power:"), _("Control:"), _("Comfort:"), _("Next time:"), _("May stand on my page: yes / no"))
    text = "\n".join((*lines, "", frame.player))
    if not shop.email or (shop.ask == "sms" and shop.phone):
        both = f"{subject}\n{text}"
        return f"sms:{dialled(shop.phone)}?body={_quoted(both)}"
    return f"mailto:{quote(shop.email, safe='@')}?subject={_quoted(subject)}&body={_quoted(text)}"


def dialled(phone: str) -> str:
    """What of a telephone number is dialled: its digits, and a plus."""
    return "".join(c for c in phone if c.isdigit() or c == "+")


def _chosen(shop: ShopFacts) -> By | None:
    if "://" in shop.ask:
        return "booking"
    if shop.ask == "sms" and shop.phone:
        return "sms"
    ways: tuple[tuple[By, str], ...] = (("mail", shop.email), ("phone", shop.phone))
    there = [by for by, reached in ways if reached]
    return next((by for by in there if by == shop.ask), there[0] if there else None)


def _message(frame: FrameFacts) -> tuple[str, str]:
    """Its subject and its text."""
    f = formats_of(frame)
    _ = f.words.gettext
    who = {"label": frame.label, "number": frame.number, "model": f"{frame.maker} {frame.model}"}
    subject = _("Restring %(label)s (%(number)s)") % who
    if frame.stringing is None:
        lines = [_("Please string my racquet “%(label)s” (%(number)s), %(model)s.") % who]
    else:
        ask = _("Please restring my racquet “%(label)s” (%(number)s), %(model)s, as the last time:") % who
        lines = [ask, "", *_recipe(frame.stringing, f)]
    return subject, "\n".join([*lines, "", frame.player])


def _recipe(bed: StringingFacts, f: Formats) -> list[str]:
    _ = f.words.gettext
    if bed.same:
        return [f"{_('Mains and crosses')}: {_strung(bed.mains, f)}"]
    return [f"{_('Mains')}: {_strung(bed.mains, f)}", f"{_('Crosses')}: {_strung(bed.crosses, f)}"]


def _strung(side: StrungFacts, f: Formats) -> str:
    first, second = f.tension(side.tension, side.written)
    return f"{side.maker} {side.name}, {f.gauge(side.gauge, side.gauge_number)}, {first} ({second})"


def _quoted(text: str) -> str:
    """Text inside an address: every line ends as mail has it, and nothing but letters and digits stands for itself."""
    return quote(text.replace("\n", "\r\n"), safe="")
