"""What proves that a stop was a mistake: an address opened again, a manifest key put back, a manifest given up."""

from collections.abc import Callable
from pathlib import Path

from passport.acts.change import Base, commit, held
from passport.acts.refused import Misused, Refused, writing
from passport.publish.folder import manifest
from passport.publish.folder.foreign import MARK
from passport.publish.folder.known import KnownAddresses
from passport.records.language.worded import worded
from passport.records.ledger import key, ledger
from passport.records.ledger.ledger import REOPENED, LedgerLine
from passport.records.schema import numbers
from passport.records.transaction import ledger_file
from passport.records.transaction.journal import Wanted


def closed_one(base: Base, known: KnownAddresses, who: str) -> LedgerLine:
    """The closed address that is meant, by its key, or by its number where one alone has that. Raises Refused.

    It must have a record again: an address without one would lead nowhere.
    """
    number = numbers.normalise(who)
    back = [line for line in ledger.in_content(base.records) if line.key in known.closed]
    meant = [line for line in back if who == line.key] or [line for line in back if line.number == number]
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise Refused(
            worded(
                "Several closed addresses have the number {number}: name the key of the one that is meant.",
                number=number,
            )
        )
    raise Refused(worded("No closed address '{who}' has a record again, so there is nothing to open.", who=who))


def reopen(base: Base, line: LedgerLine, say: Callable[[str], None]) -> None:
    """Open a closed address again, which the ledger then says for good. Raises Refused."""
    root = base.records.root
    with held(root, "passport addresses", say):
        known = ledger.read(root) or ledger.Ledger()
        lines = (*known.unlisted(base.records), LedgerLine(REOPENED, line.key, line.kind, line.number))
        commit(
            root,
            Wanted(
                "passport addresses",
                worded("The address {value} opened again", value=line.number or line.key),
                {},
                lines,
            ),
            say,
        )


def put_key(root: Path, typed: str, site: Path, say: Callable[[str], None]) -> bool:
    """Keep a manifest key as it is typed from the recovery sheet; whether it opens the manifest of a site. Raises Refused,
    Misused where it is no key."""
    try:
        secret = key.plain(typed)
    except ValueError as error:
        raise Misused(str(error)) from None
    try:
        opens = manifest.read(site, secret) is not None
    except manifest.Sealed:
        raise Refused(
            worded("This key does not open the manifest of the site at '{site}'. Nothing was written.", site=site)
        ) from None
    except (manifest.TooNew, OSError) as error:
        raise Refused(
            worded("The manifest of the site at '{site}' cannot be read: {error}.", site=site, error=error)
        ) from None
    with held(root, "passport addresses", say), writing(f"'{root / key.FILE}'"):
        ledger_file.write_key(root, secret)
    return opens


def forget_manifest(site: Path) -> bool:
    """Take the manifest of a site away that cannot be opened any more; whether there was one. Raises Refused."""
    if not (site / MARK).is_file():
        raise Misused(worded("'{site}' is not a site that this program made.", site=site))
    path = site / manifest.FILE
    there = path.is_file() or path.is_symlink()
    with writing(f"'{path}'"):
        path.unlink(missing_ok=True)
    return there
