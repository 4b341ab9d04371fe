"""The bench's page of the day: what is on the rack with its recipes at a glance, and who is due. Private, on one A4."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from passport.render.print.pdf import engine
from passport.render.theme import bed_words
from passport.render.theme.assets import templates
from passport.render.theme.formats import KEEP, THIN, Formats
from passport.render.theme.templating import Environment
from passport.render.theme.textfit import shortened
from passport.workshop.facts.facts import FrameFacts, ShopFacts, StrungFacts
from passport.workshop.facts.standing import Standing, standing
from passport.workshop.strings.string_course import string_course

MOST_RACKED, MOST_DUE = 6, 10
"""What one page holds; the rest is counted on it."""


@dataclass(frozen=True, slots=True)
class Racked:
    """A frame on the rack: its facts, whose it is in full, what is wanted, what to know."""

    frame: FrameFacts
    owner: str
    wants: str
    know: str

    @property
    def standing(self) -> Standing:
        """What it is, whatever the day."""
        return standing(self.frame)

    @property
    def cut(self) -> str:
        """``cut 10.38 ± 0.42 m``, of each piece, strung as before, ± two standard uncertainties; empty where not known."""
        found = string_course(self.frame)
        cuts = [piece.cut for piece in found.pieces] if found else []
        metres = [f"{c.value / 1000:.2f}{KEEP}±{KEEP}{2 * c.u / 1000:.2f}{KEEP}m" for c in cuts]
        return f"cut {f'{KEEP}+{KEEP}'.join(metres)}" if metres else ""


@dataclass(frozen=True, slots=True)
class DueLine:
    """A player whose frame is due: the day, the frame, how to reach the player, and why."""

    day: date
    number: str
    label: str
    owner: str
    reach: str
    why: str


def day_pdf(shop: ShopFacts, today: date, rack: Sequence[Racked], due: Sequence[DueLine]) -> bytes:
    """One A4 page; what does not fit is counted, never dropped in silence.

    Raises `passport.render.print.pdf.NoPango`.
    """
    environment = Environment([templates()])
    f = Formats(shop.language)
    environment.filters.update({name: partial(_english, made) for name, made in bed_words.FILTERS.items()})
    body = environment.get_template("day/day.html.j2").render(
        shop=shop,
        f=f,
        today=today,
        rack=rack[:MOST_RACKED],
        rack_more=max(0, len(rack) - MOST_RACKED),
        due=due[:MOST_DUE],
        due_more=max(0, len(due) - MOST_DUE),
        handling=handling,
        brief=lambda text, room: shortened(text, "barlow-sc-400", room, 8),
        tension=f.tension,
    )
    title = f"{shop.name}, {f.day(today)}"
    return engine().write(body, ("style/fonts-print.css", "day/day.css"), title=title, lang="en", when=today)


def _english(made: Callable[..., Any], facts: Any, *args: Any) -> Any:
    """What a filter of `bed_words` says, in the language of the page of the day."""
    return made(facts, *(Formats("en") if isinstance(arg, Formats) else arg for arg in args))


def handling(strung: StrungFacts, f: Formats) -> str:
    """What to know of a string beside its name: gauge, pre-stretch, batch."""
    said = [f.gauge(strung.gauge, strung.gauge_number)]
    if strung.prestretch:
        said.append(f"pre-stretch {f.short(strung.prestretch)}{THIN}%")
    if strung.batch:
        said.append(strung.batch)
    return shortened(", ".join(said), "barlow-sc-400", 60, 7.5)
