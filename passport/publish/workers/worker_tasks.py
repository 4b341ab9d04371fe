"""What a process is asked to do: reading, working out, making, each a function of what can be sent to it."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import ClassVar

from passport.publish.cache import player_state
from passport.publish.cache.player_state import Gathered, Pile, Surveyed
from passport.publish.outputs.tasks import Made, Task, perform
from passport.publish.workers.pool import rarely
from passport.render.theme import assets
from passport.render.theme.palette import CSS_PAINT
from passport.workshop.strings.string_priors import StringPriors


class _Desk:
    """What lies ready in this process: what all string beds told, and the records that were read for one build."""

    knowledge: ClassVar[StringPriors] = StringPriors(())
    pile: ClassVar[Pile] = Pile()
    settled: ClassVar[bool] = False


def know(knowledge: StringPriors) -> None:
    """Take up what all string beds told."""
    _Desk.knowledge = knowledge


def survey(root: Path, today: date, build: str, names: Sequence[str]) -> list[Surveyed]:
    """See `passport.publish.cache.player_state.survey`; ``build`` is unlike that of any other build."""
    return player_state.survey(root, names, today, _Desk.pile.of(build))


def gather(root: Path, today: date, build: str, cards: bool, names: Sequence[str]) -> list[Gathered]:
    """See `passport.publish.cache.player_state.gather`."""
    return player_state.gather(root, names, _Desk.knowledge, today, cards=cards, pile=_Desk.pile.of(build))


def perform_all(batch: Sequence[Task]) -> list[Made]:
    """Do some tasks, on any computer."""
    made = [perform(task) for task in batch]
    if not _Desk.settled:
        _Desk.settled = True
        rarely()  # all that the first one loaded is here to stay
    return made


def prepare(content: Path | None, pages: bool = True, cards: bool = True) -> None:
    """Have at hand what pages, and cards, need: the shop's own files, the libraries, their fonts."""
    assets.use(content)
    if pages:
        from passport.render.charts.plot import Canvas
        from passport.render.pages import pages as drawn

        drawn.get_ready()
        canvas = Canvas(1, 1)
        canvas.line([(0, 0), (1, 1)], "ink")
        canvas.svg(key="", title="", desc="", paint=CSS_PAINT)
    if cards:
        from passport.render.print import card, pdf

        if pdf.available() is None:
            card.get_ready()
    rarely()
