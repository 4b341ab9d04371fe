"""The recovery sheet, private and on paper: one A4 with the key of the site's manifest and what to do with it."""

from datetime import date

from passport.render.print.pdf import engine
from passport.render.theme.assets import templates
from passport.render.theme.formats import Formats
from passport.render.theme.templating import Environment


def recovery_pdf(name: str, address: str, key: str, today: date) -> bytes:
    """One A4 page. ``key`` is shown as it stands, in groups. Raises `passport.render.print.pdf.NoPango`."""
    environment = Environment([templates()])
    day = Formats("en").day(today)
    body = environment.get_template("recovery/recovery.html.j2").render(name=name, address=address, key=key, day=day)
    title = f"{name}, recovery sheet"
    return engine().write(body, ("style/fonts-print.css", "recovery/recovery.css"), title=title, lang="en", when=today)
