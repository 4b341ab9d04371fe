"""Where a frame stands at the counter, in words: what is wanted of it, whether it was collected, what is owed."""

from collections.abc import Iterator

from rich.text import Text

from passport.acts.clock import today
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Frame
from passport.workshop.orders.wanted import differences, ordered_lines


def order_shown(records: Content, record: Frame) -> Iterator[Text]:
    """What is wanted of a frame that waits, large before all else; and what the last job did otherwise than was wanted."""
    names = records.catalogue
    if record.waiting:
        first, *rest = ordered_lines(record.waiting, names)
        late = record.waiting.promised is not None and record.waiting.promised < today()
        yield Text((worded("LATE. ") if late else "") + first, style="bold red" if late else "bold")
        yield Text("\n".join(rest) + "\n" if rest else "")
    yield from _gone_home(record)
    last = next((job for job in reversed(record.jobs) if job.order), None)
    otherwise = differences(last.order, last, names) if last and last.order else []
    if last and otherwise:
        yield Text(worded("On {date} it was done otherwise than ordered:", date=last.date), style="yellow")
        yield Text("\n".join(f"  {line}" for line in otherwise) + "\n")


def _gone_home(record: Frame) -> Iterator[Text]:
    """That a frame waits to be collected, how it was handed back last, and what is owed for it."""
    last = record.last_counted
    if done := record.uncollected:
        yield Text(worded("Done {date}, waits to be collected.\n", date=done.date), style="bold")
    elif last and last.handed:
        h = last.handed
        said = [
            worded("Handed back {date}", date=h.date.isoformat() if h.date else "").rstrip(),
            *([worded("to {to}", to=h.to)] if h.to else []),
        ]
        paid = worded(" Paid: {paid}.", paid=h.paid) if h.paid else ""
        yield Text(f"{' '.join(said)}.{paid}\n")
    for job in record.jobs:
        if job.handed and job.handed.owed:
            yield Text(worded("Owed for {date}: {owed}\n", date=job.date, owed=job.handed.owed), style="yellow")
