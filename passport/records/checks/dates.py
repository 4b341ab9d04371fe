"""Dates: none in the future, jobs from oldest to newest, nothing promised before it was taken."""

from collections.abc import Iterator
from datetime import date
from itertools import pairwise

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame, Order
from passport.records.yaml.yamltext import Path


def not_in_future(content: Content, today: date) -> Iterator[Fault]:
    """No date of a record lies after today."""
    for day, place in _dates(content):
        if day > today:
            what = worded("{day} is in the future; today is {today}.", day=day, today=today)
            yield Fault(place, "future-date", what, worded("Check the year and the month, or this computer's clock."))


def in_order(content: Content, today: date) -> Iterator[Fault]:
    """The jobs of a frame stand in the order of their dates, newest last."""
    for entry in content.frames.values():
        for i, (before, job) in enumerate(pairwise(entry.record.jobs), start=1):
            if job.date < before.date:
                what = worded("This job is dated before the one above it ({date}).", date=before.date)
                do = worded("Correct the date, or move the job up: jobs stand from oldest to newest.")
                yield Fault(entry.at("jobs", i, "date"), "date-order", what, do)


def instrument_checks_in_order(content: Content, today: date) -> Iterator[Fault]:
    """The checks of an instrument stand in the order of their dates, newest last."""
    shop = content.workshop
    for i, instrument in enumerate(shop.record.instruments if shop else ()):
        for k, (before, check) in enumerate(pairwise(instrument.checks), start=1):
            if shop and check.date < before.date:
                what = worded("This check is dated before the one above it ({date}).", date=before.date)
                do = worded("Correct the date, or move the check up: they stand from oldest to newest.")
                yield Fault(shop.at("instruments", i, "checks", k, "date"), "date-order", what, do)


def promised(content: Content, today: date) -> Iterator[Fault]:
    """Nothing is promised for a day before the frame was taken."""
    for entry in content.frames.values():
        for path, order in _orders(entry):
            if order.promised and order.taken and order.promised < order.taken:
                what = worded("It was taken on {taken}, and promised for a day before that.", taken=order.taken)
                yield Fault(entry.at(*path, "promised"), "date-order", what, worded("Correct the day that is wrong."))


def handed_back(content: Content, today: date) -> Iterator[Fault]:
    """No frame was handed back before the work on it was done."""
    for entry in content.frames.values():
        for i, job in enumerate(entry.record.jobs):
            if job.handed and job.handed.date and job.handed.date < job.date:
                what = worded(
                    "It was handed back on {date}, before this job of {date2}.", date=job.handed.date, date2=job.date
                )
                yield Fault(
                    entry.at("jobs", i, "handed", "date"), "date-order", what, worded("Correct the day that is wrong.")
                )


def _orders(entry: Entry[Frame]) -> Iterator[tuple[Path, Order]]:
    """The order that waits, and those that were done, with their paths in the record."""
    if entry.record.order:
        yield ("order",), entry.record.order
    for i, job in enumerate(entry.record.jobs):
        if job.order:
            yield ("jobs", i, "order"), job.order


def _dates(content: Content) -> Iterator[tuple[date, Place]]:
    for entry in content.frames.values():
        if entry.record.since:
            yield entry.record.since, entry.at("since")
        for i, job in enumerate(entry.record.jobs):
            yield job.date, entry.at("jobs", i, "date")
            if job.handed and job.handed.date:
                yield job.handed.date, entry.at("jobs", i, "handed", "date")
        for path, order in _orders(entry):
            if order.taken:
                yield order.taken, entry.at(*path, "taken")
    for blank in content.blanks.values():
        if blank.record.received:
            yield blank.record.received, blank.at("received")
    if content.workshop:
        for i, instrument in enumerate(content.workshop.record.instruments):
            for k, check in enumerate(instrument.checks):
                yield check.date, content.workshop.at("instruments", i, "checks", k, "date")
