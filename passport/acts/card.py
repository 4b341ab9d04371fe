"""The card of one frame, made into a folder outside the site."""

import re
from pathlib import Path

from passport.acts.reading import checked
from passport.acts.refused import Refused
from passport.records.faults import has_errors
from passport.records.load import Content, load
from passport.records.transaction import atomic
from passport.workshop.gathering.gather import Gatherer, public, secrets_of


def make_card(records: Content, name: str, folder: Path) -> Path:
    """Make the card of a frame into ``folder``; where it is. Raises Refused where it cannot be made or written.

    ``records`` need hold no more than the player of the frame; all are read again, since a set's card tells of others.
    """
    from passport.render.print import pdf  # WeasyPrint takes a second to import

    problem = pdf.available()
    whole, faults = load(records.root)
    if problem or has_errors([*faults, *checked(whole)]):
        raise Refused(
            problem or "The card was not made: there are errors in the records, which 'passport check' shows."
        )
    path = folder / f"card-{records.frames[name].record.number}.pdf"
    try:
        data = _card(whole, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(path, data)
    except OSError as error:
        raise Refused(f"The card could not be written: {error}.") from None
    return path


def _card(records: Content, name: str) -> bytes:
    from passport.render.print.card import card_pdf  # as above

    gatherer = Gatherer(public(records), secrets=secrets_of(records))
    return card_pdf(gatherer.frame(name), gatherer.shop)


def from_disk(site: Path) -> bool:
    """Whether the links of a site name index.html, so that it can be opened without a server."""
    try:
        return re.search(rb'href="[^":]*/index\.html"', (site / "index.html").read_bytes()) is not None
    except OSError:
        return False


def without_cards(site: Path) -> bool:
    """Whether a site was built without cards."""
    return not any(site.glob("*/card-*.pdf"))
