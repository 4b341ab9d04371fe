"""A frame beside the one that it was built to play like, as text for a terminal."""

from rich.console import Console
from rich.table import Table

from passport.records.language.worded import worded
from passport.records.load import Content
from passport.workshop.facts.facts import FrameFacts, SpecFacts

_UNITS = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}


def twin_table(facts: FrameFacts) -> Table | None:
    """What both read last, under their numbers and days; None where there is no such frame, or nothing to compare."""
    old = facts.twin
    pairs = [(spec, old.spec(spec.quantity)) for spec in facts.specs] if old else []
    pairs = [(new, was) for new, was in pairs if new.value is not None and was.value is not None]
    if old is None or not pairs:
        return None
    columns = (_head(old.number, [was for _, was in pairs]), _head(facts.number, [new for new, _ in pairs]))
    title = worded("Does it match?")
    table = Table(
        "", *columns, worded("apart"), worded("target"), box=None, pad_edge=False, title=title, title_justify="left"
    )
    for new, was in pairs:
        assert new.value is not None and was.value is not None, "those without a figure are left out"
        table.add_row(
            f"{new.quantity}, {_UNITS[new.quantity]}",
            f"{was.value:.1f}",
            f"{new.value:.1f}",
            f"{new.value - was.value:+.1f}",
            new.verdict if new.target is not None else worded("no target"),
        )
    return table


def compare(records: Content, name: str) -> None:
    """Show how a frame compares that was built to play like another one, by what either record says."""
    frame = records.frames[name].record
    if not (
        frame.rebuilds or any(frame.number and e.record.replaced_by == frame.number for e in records.frames.values())
    ):
        return
    from passport.workshop.gathering.gather import Gatherer  # numpy and more, which other jobs need not wait for

    table = twin_table(Gatherer(records).recipe(name))
    if table:
        Console(highlight=False, soft_wrap=True).print(table)


def _head(number: str, specs: list[SpecFacts]) -> str:
    """A frame's number, and the day of its newest figure."""
    days = [spec.taken for spec in specs if spec.taken]
    return f"{number}, {max(days).isoformat()}" if days else number
