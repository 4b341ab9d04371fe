"""The sheet for several frames that are strung in one go: identical orders in a row, a box for each reading and its minute,
and the rule by which they came out alike. Private, on A4."""

from datetime import date
from functools import partial

from passport.physics.uncertainty import Estimate
from passport.records.language.worded import worded
from passport.render.print.pdf import engine
from passport.render.sheets.day import handling
from passport.render.theme import bed_words
from passport.render.theme.assets import templates, with_look
from passport.render.theme.formats import KEEP, BenchFormats, Formats
from passport.render.theme.templating import Environment, speak
from passport.render.theme.textfit import shortened
from passport.workshop.facts.facts import ShopFacts
from passport.workshop.orders.series import Series


def series_pdf(shop: ShopFacts, today: date, found: Series) -> bytes:
    """The sheet, A4, as many pages as it takes. Raises `passport.render.print.pdf.NoPango`."""
    environment = Environment([templates()])
    f = BenchFormats(shop.language)
    speak(f.words)
    environment.filters.update(bed_words.FILTERS, worded=worded)
    body = environment.get_template("day/series.html.j2").render(
        shop=shop,
        f=f,
        today=today,
        found=found,
        handling=handling,
        cut=partial(_cut, f),
        brief=lambda text, room: shortened(text, "text-400", room, 9),
        age=partial(_age, f),
    )
    title = f"{shop.name}, {found.player}, {f.day(today)}"
    return engine().write(
        body,
        with_look("style/fonts-print.css", "day/page.css", "day/series.css"),
        title=title,
        lang=f.words.language,
        when=today,
    )


def _cut(f: Formats, metres: Estimate) -> str:
    """``10.38 ± 0.42 m``, ± two standard uncertainties."""
    return f"{f.number(metres.value, 2)}{KEEP}±{KEEP}{f.number(2 * metres.u, 2)}{KEEP}m"


def _age(f: Formats, minutes: float | None) -> str:
    """An age as a page says it; empty where nobody wrote it down."""
    if minutes is None:
        return ""
    _, ngettext = f.words.functions
    if minutes < 120:
        return _("at %(n)s min") % {"n": f.short(minutes)}
    if minutes < 2880:
        return _("at %(n)s h") % {"n": f.number(minutes / 60, 0)}
    days = round(minutes / 1440)
    return ngettext("at %(num)s day", "at %(num)s days", days) % {"num": days}
