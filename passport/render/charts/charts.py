"""The charts of the passport, each a function from plain figures and words to an SVG string."""

from passport.render.charts.beds import BedLine, beds_chart
from passport.render.charts.equality import EqualFrame, EqualQuantity, equality_chart
from passport.render.charts.history import HistoryPoint, SwingTarget, history_chart
from passport.render.charts.labels import ChartWords
from passport.render.charts.life import LifePoint, Mark, life_chart
from passport.render.charts.target import TargetRow, Verdict, card_chart, target_chart

__all__ = [
    "BedLine",
    "ChartWords",
    "EqualFrame",
    "EqualQuantity",
    "HistoryPoint",
    "LifePoint",
    "Mark",
    "SwingTarget",
    "TargetRow",
    "Verdict",
    "beds_chart",
    "card_chart",
    "equality_chart",
    "history_chart",
    "life_chart",
    "target_chart",
]
