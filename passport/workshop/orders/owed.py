"""What is owed for frames that were handed back, for reminders and invoices. For the bench alone: it holds contacts."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from passport.records.load import Content
from passport.records.schema.player import PlayerContact
from passport.workshop.facts.facts import languages_of

_AMOUNT = re.compile(
    r"(?P<before>[£€$¥]|[A-Z]{2,3})? ?(?P<amount>[0-9]{1,7}(?:[.,][0-9]{2})?) ?(?P<after>[£€$¥]|[A-Z]{2,3})?(?:$|[ ,;][^0-9]*)"
)


@dataclass(frozen=True, slots=True)
class Owed:
    """One job that is owed for: whose frame it is and how to reach the player, when it was ``done`` and ``handed`` back
    and ``to`` whom, the ``price``, what was ``paid`` and what is ``owed``, as they were written; the ``work`` in a word."""

    frame: str
    number: str
    label: str
    player: str
    full_name: str
    language: str
    contact: PlayerContact
    done: date
    work: str
    handed: date | None
    to: str
    price: str
    paid: str
    owed: str

    @property
    def amount(self) -> tuple[str, Decimal] | None:
        """Currency and amount, as far as the text begins with one; see `amount_of`."""
        return amount_of(self.owed)


def amount_of(text: str) -> tuple[str, Decimal] | None:
    """The currency and the amount that a text begins with, ``£84.00, to the treasurer``, ``21,00 €`` or ``EUR 21``.

    None where it does not say both in so many words, says more figures, or could be read in two ways, as ``1,200`` could.
    """
    found = _AMOUNT.fullmatch(" ".join(text.split()))
    if found is None or bool(found["before"]) == bool(found["after"]):
        return None
    return found["before"] or found["after"], Decimal(found["amount"].replace(",", "."))


def owed_list(content: Content) -> tuple[Owed, ...]:
    """Every job that is owed for, the one that was handed back first first."""
    return tuple(sorted(_entries(content), key=lambda one: (one.handed or one.done, one.frame, one.done)))


def totals(entries: Iterable[Owed]) -> dict[str, Decimal]:
    """What is owed in all, by currency, of the entries whose amount can be read."""
    sums: dict[str, Decimal] = {}
    for entry in entries:
        if entry.amount:
            currency, amount = entry.amount
            sums[currency] = sums.get(currency, Decimal(0)) + amount
    return dict(sorted(sums.items()))


def _entries(content: Content) -> Iterator[Owed]:
    usual = content.workshop.record.language if content.workshop else ""
    for name, entry in content.frames.items():
        owner = content.players.get(name.partition("/")[0])
        for job in entry.record.jobs if owner else ():
            if owner and job.handed and job.handed.owed:
                player = owner.record
                yield Owed(
                    frame=name,
                    number=entry.record.number,
                    label=entry.record.label,
                    player=player.name,
                    full_name=player.full_name or player.name,
                    language=languages_of(player.language, usual),
                    contact=player.contact,
                    done=job.date,
                    work="restrung" if job.strings else "work",
                    handed=job.handed.date,
                    to=job.handed.to,
                    price=job.price,
                    paid=job.handed.paid,
                    owed=job.handed.owed,
                )
