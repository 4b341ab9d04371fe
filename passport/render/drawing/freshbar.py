"""The bar from the day of a stringing to the day that it is due, with room for a mark of today.

It names no day: the dates stand beside it as text. The mark is in the drawing but hidden; a script moves it to the day
on which the page is read. Everything has the colour of the text around it, by the style
sheet.
"""

from datetime import date

from passport.render.drawing.svg import num

WIDTH = 320.0
START, END = 7.0, 306.0
"""Where the day of the stringing and the day that it is due stand, px; the script has the same numbers from ``data-``."""
_TOP, _FOOT, _HIGH = 13.0, 21.0, 24.0
_MOST_WEEKS = 40


def fresh_bar(strung: date, due: date, soon: date) -> str:
    """The bar as an SVG string: a tick for each week, a longer one where strings begin to fade, a flag where they are due.

    It is empty where the strings are due on the day that they were put in.
    """
    days = (due - strung).days
    if days <= 0:
        return ""

    def x(day: float) -> str:
        return num(START + day / days * (END - START))

    weeks = range(7, days, 7) if days <= 7 * _MOST_WEEKS else range(0)
    ticks = "".join(f"M{x(day)} {num(_FOOT - 3)}v3" for day in weeks)
    fades = (soon - strung).days
    rail = f"M{num(START)} {num(_TOP)}H{num(END)}V{num(_FOOT)}H{num(START)}z"
    soon_tick = f"M{x(fades)} {num(_TOP)}V{num(_FOOT)}" if 0 < fades < days else ""
    flag = f"M{num(END)} {num(_FOOT)}V2l12 3.5L{num(END)} 9"
    today = f"M0 {num(_TOP)}L-6 3H6z"
    return (
        f'<svg class="bar" viewBox="0 0 {num(WIDTH)} {num(_HIGH)}" aria-hidden="true"'
        f' data-days="{days}" data-x0="{num(START)}" data-x1="{num(END)}">'
        f'<rect x="{num(START)}" y="{num(_TOP)}" width="0" height="{num(_FOOT - _TOP)}"/>'
        f'<path d="{rail}{ticks}{soon_tick}" fill="none"/><path d="{flag}"/>'
        f'<path data-now="" visibility="hidden" d="{today}"/></svg>'
    )
