"""What the screens of rebuilding share: what limits a plan, the workbench of the records, and the frame that is meant."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from starlette.requests import Request

from passport.acts.clock import today
from passport.acts.rebuilding.planned import wishes_of
from passport.acts.refused import Refused
from passport.browser.bench import Bench
from passport.physics.uncertainty import Estimate
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Frame
from passport.render.theme.formats import Formats
from passport.workshop.facts.facts import QuantityName
from passport.workshop.rebuild.stock import CUT_MM
from passport.workshop.rebuild.subject import Workbench

_FIGURES: Final = {"places": (1, 20), "shortest": (1, 500), "strip": (5, 500), "cut": (1, 50)}
"""Limits that are figures, with the least and the most that make sense."""
_TICKED: Final = ("symmetrical", "bare_hoop", "on_hand")
LIMITS: Final = (*_FIGURES, *_TICKED, "only")


def limits_in(said: Mapping[str, str]) -> dict[str, str]:
    """What was said that limits a plan."""
    return {name: said[name].strip()[:400] for name in LIMITS if said.get(name, "").strip()}


def query(limits: Mapping[str, str], **more: str) -> str:
    """The same as the end of an address."""
    said = urlencode({**more, **limits})
    return f"?{said}" if said else ""


def workbench(limits: Mapping[str, str]) -> Callable[[Content], Workbench]:
    """What makes the workbench of some records, as seen today. Raises Refused for a limit that makes no sense."""
    figures = {name: _figure(name, limits[name]) for name in _FIGURES if name in limits}
    ticked = {name: name in limits for name in _TICKED}
    only = [line.strip() for line in limits.get("only", "").replace(";", "\n").splitlines() if line.strip()]
    cut = figures.pop("cut", CUT_MM)
    places = int(figures.pop("places")) if "places" in figures else None

    def made(records: Content) -> Workbench:
        return Workbench(
            records, today(), cut, wishes_of(records, {**figures, **ticked, "only": only, "places": places})
        )

    return made


def everything(bench: Bench) -> Content:
    """All records that can be relied on."""
    return bench.whole.now()


@dataclass(frozen=True, slots=True)
class FrameInHand:
    """The frame that an address names, among all records that can be relied on, and what limits a plan for it."""

    name: str
    frame: Frame
    owner: str
    records: Content
    limits: dict[str, str]

    @property
    def shown(self) -> dict[str, Any]:
        """What every screen of plans shows of it."""
        return {"name": self.name, "frame": self.frame, "owner": self.owner}


def frame_meant(bench: Bench, request: Request, said: Mapping[str, str]) -> FrameInHand:
    """The frame of an address; ``said`` limits plans. Raises NoSuchFrame and Refused."""
    name, records = bench.name(request), everything(bench)
    frame, player = bench.frame(name, records).record, records.players[name.partition("/")[0]].record
    return FrameInHand(name, frame, player.full_name or player.name, records, limits_in(said))


def blank_of(request: Request, records: Content) -> str:
    """The blank that an address names. Raises Refused where there is none of that name."""
    blank = str(request.path_params["blank"])
    if blank not in records.blanks:
        raise Refused(
            worded(
                "There is no blank '{blank}' in stock. It may have become a frame: look at the history.", blank=blank
            )
        )
    return blank


def figure_text(figure: Estimate, quantity: QuantityName, f: Formats) -> str:
    """A figure with two standard uncertainties and its unit, as the shop's language writes it."""
    unit = {"mass": "g", "balance": "mm"}.get(quantity, "kg·cm²")
    return f"{f.number(figure.value)} ± {f.number(2 * figure.u)} {unit}"


def _figure(name: str, text: str) -> float:
    least, most = _FIGURES[name]
    try:
        figure = float(text.replace(",", "."))
    except ValueError:
        figure = float("nan")
    if not least <= figure <= most or (name == "places" and figure != int(figure)):
        raise Refused(
            worded(
                "'{text}' is no limit for a plan ({name}): write a number from {least} to {most}.",
                text=text,
                name=name,
                least=least,
                most=most,
            )
        )
    return figure
