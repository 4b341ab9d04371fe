"""Whether a job that is to be added is there already, or speaks against one that is. Pure."""

from collections.abc import Iterable

from pydantic import BaseModel

from passport.records.schema.balance import BalanceValue
from passport.records.schema.frame import Job, Stringing
from passport.records.schema.places import FittedPlace
from passport.records.schema.quantities import Quantity


def already(jobs: Iterable[Job], new: Job) -> bool:
    """Whether one of the jobs says all that the new one says, however it is spelt; it may say more."""
    return any(old.date == new.date and covers(old, new) for old in jobs)


def clashes(jobs: Iterable[Job], new: Job) -> bool:
    """Whether the frame was strung otherwise on the day of the new job's stringing."""
    return any(old.date == new.date and old.strings and new.strings and not covers(old, new) for old in jobs)


def covers(old: object, new: object) -> bool:
    """Whether ``old`` says what ``new`` says: quantities by their value, places by their spot, lists in any order."""
    if isinstance(new, tuple) and isinstance(old, tuple):
        return all(any(covers(one, other) for one in old) for other in new)
    if isinstance(new, Stringing) and isinstance(old, Stringing):
        sides = all(covers(one, other) for one, other in zip(old.both, new.both, strict=True))
        return sides and _fields(old, new, new.model_fields_set - {"mains", "crosses"})
    if isinstance(new, BaseModel) and isinstance(old, BaseModel):
        return _fields(old, new, new.model_fields_set)
    return _told(old) == _told(new)


def _told(value: object) -> object:
    """What a value says, without its spelling."""
    if isinstance(value, Quantity):
        return round(value.value, 6)
    if isinstance(value, BalanceValue):
        return value.mm_value, value.points_light
    return value.spot if isinstance(value, FittedPlace) else value


def _fields(old: BaseModel, new: BaseModel, names: Iterable[str]) -> bool:
    return all(covers(getattr(old, name), getattr(new, name)) for name in names)
