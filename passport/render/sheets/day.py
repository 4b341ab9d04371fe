"""The bench's page of the day: the rack in the order of promises, what string it takes, who is due. Private, on one A4."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from passport.render.print.pdf import engine
from passport.render.theme import bed_words
from passport.render.theme.assets import templates, with_look
from passport.render.theme.formats import KEEP, THIN, BenchFormats, Formats
from passport.render.theme.templating import Environment, speak
from passport.render.theme.textfit import shortened
from passport.workshop.facts.facts import FrameFacts, ShopFacts, StrungFacts
from passport.workshop.facts.standing import Standing, standing
from passport.workshop.orders.needs import StringNeed
from passport.workshop.strings.string_course import string_course

MOST_RACKED, MOST_BRIEF, MOST_NEEDS, MOST_DUE = 5, 6, 5, 10
"""What one page holds: frames with all of their recipe, then frames in a line, strings needed, frames that are due; the
rest is counted on it."""
DUE_BESIDE_MANY = 3
"""Frames that are due, beside a rack that takes more than its large lines."""


@dataclass(frozen=True, slots=True)
class Racked:
    """A frame on the rack: its facts with the recipe that is wanted, whose it is in full, what is wanted, what to know.

    ``promised`` is the day it is promised for, ``late`` by how many days that is over. Where it is not ``restrung``, its
    strings are those that stay in; ``before`` is the recipe that is in it, where another one is wanted.
    """

    frame: FrameFacts
    owner: str
    wants: str
    know: str
    promised: date | None = None
    late: int = 0
    restrung: bool = True
    before: str = ""
    stop: str = ""

    @property
    def standing(self) -> Standing:
        """What it is, whatever the day."""
        return standing(self.frame)

    @property
    def cut(self) -> str:
        """``10.38 ± 0.42 m``, of each piece, strung as before, ± two standard uncertainties; empty where not known."""
        found = string_course(self.frame)
        cuts = [piece.cut for piece in found.pieces] if found else []
        metres = [f"{c.value / 1000:.2f}{KEEP}±{KEEP}{2 * c.u / 1000:.2f}{KEEP}m" for c in cuts]
        return f"{KEEP}+{KEEP}".join(metres)


@dataclass(frozen=True, slots=True)
class DueLine:
    """A player whose frame is due: the day, the frame, how to reach the player, and why."""

    day: date
    number: str
    label: str
    owner: str
    reach: str
    why: str


def day_pdf(
    shop: ShopFacts,
    today: date,
    rack: Sequence[Racked],
    due: Sequence[DueLine],
    needs: Sequence[StringNeed] = (),
    collect: Sequence[str] = (),
    due_in_all: int = 0,
) -> bytes:
    """One A4 page; what does not fit is counted, never dropped in silence.

    ``needs`` is what string the rack takes; ``collect`` are the frames that wait to be collected, each in a few words;
    ``due_in_all`` is how many are due where ``due`` are the most urgent of them alone.

    Raises `passport.render.print.pdf.NoPango`.
    """
    environment = Environment([templates()])
    f = BenchFormats(shop.language)
    speak(f.words)
    environment.filters.update(bed_words.FILTERS)
    most_due = MOST_DUE if len(rack) <= MOST_RACKED else DUE_BESIDE_MANY
    body = environment.get_template("day/day.html.j2").render(
        shop=shop,
        f=f,
        today=today,
        rack=rack[:MOST_RACKED],
        brief_rack=rack[MOST_RACKED : MOST_RACKED + MOST_BRIEF],
        rack_more=max(0, len(rack) - MOST_RACKED - MOST_BRIEF),
        needs=needs[:MOST_NEEDS],
        needs_more=max(0, len(needs) - MOST_NEEDS),
        metres=metres,
        collect=collect,
        due=due[:most_due],
        due_more=max(0, max(len(due), due_in_all) - most_due),
        short_day=f.weekday,
        handling=handling,
        brief=lambda text, room: shortened(text, "text-400", room, 8),
        tension=f.tension,
    )
    title = f"{shop.name}, {f.day(today)}"
    return engine().write(
        body,
        with_look("style/fonts-print.css", "day/page.css", "day/day.css"),
        title=title,
        lang=f.words.language,
        when=today,
    )


def metres(need: StringNeed, f: Formats) -> str:
    """``20.9 ± 0.8 m for 2 frames``, ± two standard uncertainties; what is not known is said, and what is in stock."""
    only = f.words.gettext("ONLY")
    left = f"{only} {need.left}" if need.short else need.left
    return f"{_length(need, f)}{f.comma}{left}" if left else _length(need, f)


def _length(need: StringNeed, f: Formats) -> str:
    _, ngettext = f.words.functions
    known = need.frames - need.unknown
    of = ngettext("for %(num)s frame", "for %(num)s frames", need.frames) % {"num": need.frames}
    if not known:
        return _("length not known, %(of)s") % {"of": of}
    length = f"{f.number(need.cut.value)}{KEEP}±{KEEP}{f.number(2 * need.cut.u)}{KEEP}m"
    if not need.unknown:
        return f"{length} {of}"
    of = _("%(length)s for %(known)s, length not known of %(unknown)s more")
    return of % {"length": length, "known": known, "unknown": need.unknown}


def handling(strung: StrungFacts, f: Formats) -> str:
    """What to know of a string beside its name: gauge, pre-stretch, batch."""
    said = [f.gauge(strung.gauge, strung.gauge_number)]
    if strung.prestretch:
        amount = f.words.gettext("pre-stretch %(amount)s %%") % {"amount": f.short(strung.prestretch)}
        said.append(amount.replace(" %", f"{THIN}%"))
    if strung.batch:
        said.append(strung.batch)
    return shortened(f.comma.join(said), "text-400", 60, 7.5)
