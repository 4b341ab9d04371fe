"""A message to a player in words of their language: for a mail with greeting and address, and short for a telephone."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from passport.records.schema.player import Message
from passport.render.theme.formats import KEEP, RAISED_FIRST, THIN, Formats


@dataclass(frozen=True, slots=True)
class Noticed:
    """What a message is about: ``racquet`` is how the player calls it, ``old`` the one that it takes the place of.

    ``due`` is the day on which its strings are due, None for other messages; ``today`` the day of the message.
    """

    what: Message
    player: str
    racquet: str
    today: date
    due: date | None = None
    old: str = ""


@dataclass(frozen=True, slots=True)
class Sender:
    """The workshop as a message names it; what is empty is left out."""

    name: str
    visit: str = ""
    hours: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True)
class NoticeText:
    """A message: ``subject`` and ``text`` of a mail, and ``short`` as a text message."""

    subject: str
    text: str
    short: str


def notice(about: Sequence[Noticed], sender: Sender, language: str) -> NoticeText:
    """The words of a message to one player, about one racquet or several, in the language that pages show them."""
    _ = Formats(language).words.gettext
    said, subject = [_said(one, language) for one in about], _subject(about[0], sender, language)
    rest = [_("If you want no more messages like this, tell us.")] if about[0].what == "due" else []
    foot = [sender.name, *filter(None, (sender.visit, sender.hours, sender.phone))]
    text = [_("Hello %(name)s,") % {"name": about[0].player}, "", *said, *rest, "", *foot]
    short = " ".join([*said, sender.name])
    return NoticeText(_plain(subject), _plain("\n".join(text)), _plain(short))


def _said(about: Noticed, language: str) -> str:
    f = Formats(language)
    _ = f.words.gettext
    if about.what == "done":
        return _("Your racquet %(racquet)s is done. You can collect it.") % {"racquet": about.racquet}
    if about.what == "replacement":
        words = {"racquet": about.racquet, "old": about.old}
        return _("Your racquet %(racquet)s is built. It takes the place of %(old)s. You can collect it.") % words
    words = {"racquet": about.racquet, "day": f.day(about.due)}
    if about.due and about.due < about.today:
        return _("The strings in your racquet %(racquet)s have been due for renewal since %(day)s.") % words
    return _("The strings in your racquet %(racquet)s are due for renewal on %(day)s.") % words


def _subject(about: Noticed, sender: Sender, language: str) -> str:
    _ = Formats(language).words.gettext
    words = {"shop": sender.name}
    if about.what == "done":
        return _("%(shop)s: your racquet is done") % words
    if about.what == "replacement":
        return _("%(shop)s: your new racquet is built") % words
    return _("%(shop)s: your strings are due") % words


def _plain(text: str) -> str:
    """Text for a mail or a telephone, which knows no narrow spaces and no raised letters."""
    return text.replace(KEEP, " ").replace(THIN, " ").replace(RAISED_FIRST, "1er")
