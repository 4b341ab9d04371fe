"""The recovery sheet, private and on paper: one A4 with the key of the site's manifest and what to do with it."""

from datetime import date

from passport.render.print.pdf import engine
from passport.render.theme.assets import templates, with_look
from passport.render.theme.formats import BenchFormats
from passport.render.theme.templating import Environment, speak


def recovery_pdf(name: str, address: str, key: str, today: date, language: str = "en") -> bytes:
    """One A4 page. ``key`` is shown as it stands, in groups. Raises `passport.render.print.pdf.NoPango`."""
    environment = Environment([templates()])
    f = BenchFormats(language)
    speak(f.words)
    body = environment.get_template("recovery/recovery.html.j2").render(
        name=name, address=address, key=key, day=f.day(today)
    )
    title = f.words.gettext("%(name)s, recovery sheet") % {"name": name}
    return engine().write(
        body,
        with_look("style/fonts-print.css", "recovery/recovery.css"),
        title=title,
        lang=f.words.language,
        when=today,
    )
