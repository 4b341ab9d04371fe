"""The page "How sure is this bench?": one private A4, from the records alone."""

from collections.abc import Iterator
from dataclasses import dataclass

from passport.render.plots.checks import checks_plot, verdicts_plot
from passport.render.print.pdf import engine
from passport.render.sheets.drawing import BENCH
from passport.render.theme.assets import templates, with_look
from passport.render.theme.formats import Formats
from passport.render.theme.templating import Environment
from passport.workshop.facts.facts import ShopFacts
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
    f = Formats(shop.language)
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
        tools=views,
        close=found.close[:MOST_CLOSE],
        more=max(0, len(found.close) - MOST_CLOSE),
    )
    title = f"{shop.name}: How sure is this bench? {f.day(found.day)}"
    css = with_look("style/fonts-print.css", "day/sureness.css")
    return engine().write(body, css, title=title, lang="en", when=found.day, pictures=plots)


def said(tool: Tool, found: Sureness, f: Formats) -> Iterator[str]:
    """What there is to say of an instrument: its last check, the next one, what hangs on it and what it costs."""
    last = tool.last
    if last:
        days = (found.day - last.day).days
        against = f" ({last.against})" if last.against else ""
        yield f"Last held against {last.known}{against} on {f.day(last.day)}, {days} days ago: it read {last.reads}."
        yield f"Correction {f.signed(last.correction, 2)} ± {f.number(2 * last.u, 2)} {tool.unit}."
    else:
        taken = "" if tool.unchecked is None else f" Its readings are taken to hold within {_within(tool)}."
        yield f"Never held against anything known.{taken}"
    if tool.due:
        left = (tool.due - found.day).days
        yield f"Check overdue for {-left} days." if left < 0 else f"Next check by {f.day(tool.due)}."
    if tool.undecided:
        names = "; ".join(f"{u.frame}, {u.quantity}" for u in tool.undecided)
        yield f"Undecided because of it: {names}."
    elif tool.frames:
        yield f"{tool.frames} figures of frames in play hang on it; none is undecided because of it."


def _within(tool: Tool) -> str:
    assert tool.unchecked is not None, "asked only where something is taken"
    return f"{200 * tool.unchecked:g} %" if tool.unit == "%" else f"{2 * tool.unchecked:g} {tool.unit}"
