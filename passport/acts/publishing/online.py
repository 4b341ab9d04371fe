"""What is not on-line yet, as far as this computer knows, and the whole way there: the site built, then published."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Protocol

from passport.acts.amending.undo import changes
from passport.acts.clock import today
from passport.acts.publishing.publish import Published, UploadTelling, Wish, memo_of, publish
from passport.acts.publishing.shop import key_of, shop_of
from passport.acts.refused import writing
from passport.acts.site import Means, NoCards, Telling, from_disk, records_since, up_to_date_site, without_cards
from passport.publish.cache.up_to_date import BuildOrder, Report
from passport.publish.folder.digest import digest
from passport.publish.folder.manifest import Sealed, TooNew
from passport.publish.remote.expected import expected_of
from passport.records.language.worded import worded
from passport.records.transaction.entries import Transaction


@dataclass(frozen=True, slots=True)
class OnlineState:
    """How the records, the site and what is on-line stand to each other, as far as this computer knows.

    ``place`` is where the site is published to, empty where nothing says so; ``address`` what the web calls it. ``built``
    says that there is a site; ``newer`` that records changed since, None where nobody knows; ``last`` the file of them
    that was written last. ``published`` is when this computer published last, ``sent`` whether it sent this very site, and
    ``since`` are the changes made after that.
    """

    place: str
    address: str
    built: bool
    newer: bool | None
    last: str
    published: datetime | None
    sent: bool
    since: Sequence[Transaction]

    @property
    def waits(self) -> bool:
        """Whether something is not on-line yet."""
        return not (self.built and self.newer is False and self.sent)


class OnlineTelling(Telling, UploadTelling, Protocol):
    """How both halves of the way speak with the person who waits."""


def online_state(content: Path, site: Path) -> OnlineState:
    """How it stands; nobody far away is asked. Raises Refused, Faulty."""
    shop = shop_of(content)
    with writing(worded("What was built")):
        since = records_since(content, site)
    memo = memo_of(content, shop.publish) if shop.publish.to else None
    when = memo.when if memo else None
    made = [entry for entry in changes(content) if when is None or datetime.fromisoformat(entry.time) >= when]
    try:
        wanted = expected_of(site, key_of(content))
    except (Sealed, TooNew, OSError):
        wanted = None
    sent = bool(memo and wanted and memo.last == digest(wanted.data))
    return OnlineState(
        shop.publish.to, shop.address, wanted is not None, since.newer, since.last, when, sent, made if when else ()
    )


def built(content: Path, site: Path, telling: Telling) -> Report:
    """Bring the site up to date as it was built before, without its cards where they cannot be made, which is said.

    Raises Faulty, Refused.
    """
    cards = not site.exists() or not without_cards(site)
    order = BuildOrder(content, site, today(), cards, "index.html" if from_disk(site) else "")
    try:
        return up_to_date_site(order, Means(), telling)
    except NoCards as error:
        telling.warn(str(error))
        return up_to_date_site(replace(order, cards=False), Means(), telling)


def brought_online(content: Path, site: Path, delete: int, telling: OnlineTelling) -> Published:
    """Build the site and publish it; up to ``delete`` passports may go away. Raises Refused, Faulty."""
    built(content, site, telling)
    return publish(content, site, Wish(delete=delete), telling)
