"""The sheet for several frames that are strung in one go: identical orders in a row, a box for each reading and its minute,
and the rule by which they came out alike. Private, on A4."""

from datetime import date
from functools import partial

from passport.physics.uncertainty import Estimate
from passport.render.print.pdf import engine
from passport.render.sheets.day import english, handling
from passport.render.theme import bed_words
from passport.render.theme.assets import templates
from passport.render.theme.formats import KEEP, Formats
from passport.render.theme.templating import Environment
from passport.render.theme.textfit import shortened
from passport.workshop.facts.facts import ShopFacts
from passport.workshop.orders.series import Series


def series_pdf(shop: ShopFacts, today: date, found: Series) -> bytes:
    """The sheet, A4, as many pages as it takes. Raises `passport.render.print.pdf.NoPango`."""
    environment = Environment([templates()])
    f = Formats(shop.language)
    environment.filters.update({name: partial(english, made) for name, made in bed_words.FILTERS.items()})
    body = environment.get_template("day/series.html.j2").render(
        shop=shop,
        f=f,
        today=today,
        found=found,
        handling=handling,
        cut=_cut,
        brief=lambda text, room: shortened(text, "barlow-sc-400", room, 9),
        age=_age,
    )
    title = f"{shop.name}, {found.player}, {f.day(today)}"
    return engine().write(
        body, ("style/fonts-print.css", "day/page.css", "day/series.css"), title=title, lang="en", when=today
    )


def _cut(metres: Estimate) -> str:
    """``10.38 ± 0.42 m``, ± two standard uncertainties."""
    return f"{metres.value:.2f}{KEEP}±{KEEP}{2 * metres.u:.2f}{KEEP}m"


def _age(minutes: float | None) -> str:
    """An age as a page says it; empty where nobody wrote it down."""
    if minutes is None:
        return ""
    if minutes < 120:
        return f"at {minutes:g} min"
    return f"at {minutes / 60:.0f} h" if minutes < 2880 else f"at {minutes / 1440:.0f} days"
