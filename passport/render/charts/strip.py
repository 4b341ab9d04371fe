"""One quantity on its tolerance band, to stand under its figure."""

from passport.render.charts.labels import ChartWords
from passport.render.charts.plot import Canvas
from passport.render.charts.target import TargetRow, ball, half_range, reading, sentence, strip, whisker
from passport.render.theme.palette import Paint

_WIDTH = 164.0
_HEIGHT = 43.0


def strip_chart(row: TargetRow, *, key: str, paint: Paint, words: ChartWords | None = None) -> str:
    """The measured value, the target and the tolerance's limits on one short strip, as an SVG string."""
    words = words or ChartWords()
    reach = half_range([abs(row.off) + row.uncertainty / row.tolerance] if row.off is not None else [])
    canvas = Canvas(_WIDTH, _HEIGHT)
    middle, unit, y = _WIDTH / 2, (_WIDTH / 2 - 8) / reach, 14.0
    strip(canvas, middle, y, unit, reach)
    canvas.text(middle - unit, y + 24, row.low_text, size=13, fill="soft", anchor="middle")
    canvas.text(middle + unit, y + 24, row.high_text, size=13, fill="soft", anchor="middle")
    if row.off is not None:
        whisker(canvas, row, row.off, (middle, y), (unit, reach))
    ball(canvas, middle, y)
    if row.off is not None:
        reading(canvas, row, row.off, (middle, y), (unit, reach))
    return canvas.svg(key=key, title=row.name, desc=sentence(row, words), paint=paint)
