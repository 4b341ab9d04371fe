"""What the acts that put a site on-line have in common."""

from pathlib import Path

from passport.acts.refused import Faulty, Misused, Refused
from passport.publish.remote.expected import Expected
from passport.records.faults import has_errors
from passport.records.language.worded import worded
from passport.records.ledger import key, ledger, witness
from passport.records.ledger.witness import Witness
from passport.records.load import load
from passport.records.schema.workshop import Workshop


def shop_of(content: Path) -> Workshop:
    """The record of a workshop, without reading a player's. Raises Faulty where it is not sound, Misused without one."""
    if not (content / "workshop.yaml").is_file():
        raise Misused(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    records, faults = load(content, ())
    if records.workshop is None or has_errors(faults):
        raise Faulty(faults)
    return records.workshop.record


def key_of(content: Path) -> str:
    """The key of a workshop's manifest, empty where it has none yet. Raises Refused where it cannot be read."""
    try:
        return key.read(content)
    except (OSError, ValueError) as error:
        raise Refused(
            worded(
                "The manifest's key in '{content}' could not be read: {error}", content=content / key.FILE, error=error
            )
        ) from None


def knows_more(there: Expected, content: Path) -> bool:
    """Whether a site knows of addresses that the ledger here does not: then it was published from newer records."""
    return witness.behind(ledger.read(content) or ledger.Ledger(), Witness(last=there.said.last))
