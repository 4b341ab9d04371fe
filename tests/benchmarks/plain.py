"""The plain loop: what one would write first, jinja2 and one WeasyPrint call a card, in one process.

It makes the same pages and cards from the same facts with the same templates. WeasyPrint is called as its manual shows,
once a card with its style sheets, and matplotlib saves each chart from a figure of its own.

    python -m tests.benchmarks.plain CONTENT OUT charts|bare
"""

import io
import sys
from collections.abc import Mapping, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Any
from urllib.parse import quote

from passport.publish.outputs.tasks import SiteContext, Task, frame_tasks, made, player_tasks
from passport.records.load import load
from passport.render.charts import figures
from passport.render.drawing import pen
from passport.render.print import pdf
from passport.render.theme import assets
from passport.render.theme.palette import LIGHT, Paint
from passport.workshop.gathering.gather import site_facts


def plain_pdf(
    self: object,
    body: str,
    css: Sequence[str],
    *,
    title: str,
    lang: str,
    when: date | None = None,
    pictures: Mapping[str, str] | None = None,
    page_box: Any = None,
    spoken: Sequence[str] = (),
    tidy: bool = False,
    standard: object = None,
    tools: Sequence[object] = (),
) -> bytes:
    """A PDF as WeasyPrint's manual makes one."""
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    page = f"<style>{page_box.css}</style>" if page_box else ""
    for name, svg in (pictures or {}).items():
        body = body.replace(f"picture:{name}", "data:image/svg+xml," + quote(svg))
    text = f'<html lang="{lang}"><head><title>{escape(title)}</title>{page}</head><body>{body}</body></html>'
    fonts = FontConfiguration()
    sheets = [CSS(filename=assets.find(name), font_config=fonts) for name in css]
    data: bytes = HTML(string=text, base_url=str(assets.templates())).write_pdf(
        stylesheets=sheets, font_config=fonts, pdf_variant="pdf/ua-1"
    )
    return data


def plain_chart(drawn: Sequence[pen.Drawn], paint: Paint) -> str:
    """A chart as matplotlib saves it, with text as text."""
    import matplotlib
    from matplotlib.figure import Figure

    figure, out = Figure(figsize=(5, 3), dpi=72), io.StringIO()
    for thing in drawn:
        figure.add_artist(_artist(thing))
    with matplotlib.rc_context({"svg.fonttype": "none"}):
        figure.savefig(out, format="svg")
    # The chart of a bed's life looks for its curve by this, to draw the mark of the day under it.
    return out.getvalue() + f'<path {paint("none", "petrol")} stroke-width="2"/>'


def _artist(thing: pen.Drawn) -> Any:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Outline
    from matplotlib.text import Text

    if isinstance(thing, pen.ChartText):
        colour = getattr(LIGHT, thing.fill)
        side = {"start": "left", "middle": "center", "end": "right"}[thing.anchor]
        return Text(thing.x, thing.y, thing.content, color=colour, fontsize=thing.size, ha=side, parse_math=False)
    look = thing.look
    return PathPatch(
        Outline([*thing.points, thing.points[0]] if thing.closed else list(thing.points), closed=thing.closed),
        facecolor=getattr(LIGHT, look.fill) if look.fill else "none",
        edgecolor=getattr(LIGHT, look.stroke) if look.stroke else "none",
        linewidth=look.width,
        linestyle=(0, tuple(length / look.width for length in look.dash)) if look.dash else "solid",
        capstyle="round" if look.round_ends else "butt",
    )


def no_charts() -> None:
    """Leave out every chart and drawing."""
    names = ("racquet", "history", "life", "beds", "mass", "balance", "swingweight", "twistweight")
    figures.frame_figures = lambda frame, f: dict.fromkeys(names, str)
    figures.equality_figure = lambda *_, **__: ""


def main() -> None:
    """Make everything, one after the other."""
    content, out, charts = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
    pdf.available()
    pdf.Engine.write = plain_pdf
    pen.inked = plain_chart
    if charts == "bare":
        no_charts()
    else:
        from passport.render.charts import plot

        plot.inked = plain_chart
    assets.use(content)
    records, _ = load(content)
    site = site_facts(records)
    shop = SiteContext(site.shop, site.pages)
    tasks: list[Task] = [task for player in site.players for task in player_tasks(player, shop)]
    tasks += [task for frame in site.frames for task in frame_tasks(frame, shop)]
    for task in tasks:
        file = made(task)
        path = out / file.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(file.data)


if __name__ == "__main__":
    main()
