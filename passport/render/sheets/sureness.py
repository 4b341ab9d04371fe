"""The page "How sure is this bench?": one private A4, from the records alone."""

from collections.abc import Iterator
from dataclasses import dataclass

from passport.records.language.worded import worded
from passport.render.plots.checks import checks_plot, verdicts_plot
from passport.render.print.pdf import engine
from passport.render.sheets.drawing import BENCH
from passport.render.theme.assets import templates, with_look
from passport.render.theme.formats import BenchFormats, Formats
from passport.render.theme.templating import Environment, speak
from passport.render.theme.words import SOURCE
from passport.workshop.facts.facts import ShopFacts
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.gathering.sureness import Sureness, Tool

MOST_CLOSE = 6
"""Open verdicts that the page lists; the rest is counted on it."""


@dataclass(frozen=True, slots=True)
class ToolView:
    """An instrument as it is printed: the name of its ``plot`` (empty without a check), and what is said of it."""

    tool: Tool
    plot: str
    said: tuple[str, ...]


def sureness_pdf(shop: ShopFacts, found: Sureness) -> bytes:
    """The page. Raises `passport.render.print.pdf.NoPango`."""
    environment = Environment([templates()])
    f = BenchFormats(shop.language)
    speak(f.words)
    views = [
        ToolView(tool, f"checks-{i}" if tool.looks else "", tuple(said(tool, found, f)))
        for i, tool in enumerate(found.tools)
    ]
    plots = {
        v.plot: checks_plot(v.tool.looks, found.day, v.tool.unit, key=v.plot, palette=BENCH) for v in views if v.plot
    }
    if found.stands:
        plots["stands"] = verdicts_plot(found.stands, key="stands", palette=BENCH)
    body = environment.get_template("day/sureness.html.j2").render(
        shop=shop,
        f=f,
        found=found,
        name=name_said,
        close_set=f.words.language != SOURCE,
        capital=lambda text: text[:1].upper() + text[1:],
        tools=views,
        close=found.close[:MOST_CLOSE],
        more=max(0, len(found.close) - MOST_CLOSE),
    )
    title = f.words.gettext("%(shop)s: How sure is this bench? %(day)s")
    title %= {"shop": shop.name, "day": f.day(found.day)}
    css = with_look("style/fonts-print.css", "day/sureness.css")
    return engine().write(body, css, title=title, lang=f.words.language, when=found.day, pictures=plots)


def said(tool: Tool, found: Sureness, f: Formats) -> Iterator[str]:
    """What there is to say of an instrument: its last check, the next one, what hangs on it and what it costs."""
    _, ngettext = f.words.functions
    last = tool.last
    if last:
        days = (found.day - last.day).days
        values = {"known": last.known, "day": f.day(last.day), "reads": last.reads, "num": days}
        if last.against:
            text = ngettext(
                "Last held against %(known)s (%(against)s) on %(day)s, %(num)s day ago: it read %(reads)s.",
                "Last held against %(known)s (%(against)s) on %(day)s, %(num)s days ago: it read %(reads)s.",
                days,
            )
            yield text % {**values, "against": last.against}
        else:
            text = ngettext(
                "Last held against %(known)s on %(day)s, %(num)s day ago: it read %(reads)s.",
                "Last held against %(known)s on %(day)s, %(num)s days ago: it read %(reads)s.",
                days,
            )
            yield text % values
        correction = {"by": f.signed(last.correction, 2), "u": f.number(2 * last.u, 2), "unit": tool.unit}
        yield _("Correction %(by)s ± %(u)s %(unit)s.") % correction
    elif tool.unchecked is None:
        yield _("Never held against anything known.")
    else:
        text = _("Never held against anything known. Its readings are taken to hold within %(within)s.")
        yield text % {"within": _within(tool)}
    if tool.due:
        left = (tool.due - found.day).days
        yield (
            ngettext("Check overdue for %(num)s day.", "Check overdue for %(num)s days.", -left) % {"num": -left}
            if left < 0
            else _("Next check by %(day)s.") % {"day": f.day(tool.due)}
        )
    if tool.undecided:
        names = "; ".join(f"{u.frame}, {name_said(u.quantity)}" for u in tool.undecided)
        yield _("Undecided because of it: %(names)s.") % {"names": names}
    elif tool.frames:
        text = ngettext(
            "%(num)s figure of frames in play hangs on it; none is undecided because of it.",
            "%(num)s figures of frames in play hang on it; none is undecided because of it.",
            tool.frames,
        )
        yield text % {"num": tool.frames}


def _within(tool: Tool) -> str:
    assert tool.unchecked is not None, "asked only where something is taken"
    amount = 200 * tool.unchecked if tool.unit == "%" else 2 * tool.unchecked
    return worded("{amount:g} {unit}", amount=amount, unit=tool.unit)
