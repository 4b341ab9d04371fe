"""The recovery sheet: what brings a workshop back, on paper, with the key of the site's manifest."""

from collections.abc import Callable
from pathlib import Path

from passport.acts.change import base_of, held
from passport.acts.clock import today
from passport.acts.refused import Refused, writing
from passport.records.ledger import key
from passport.records.transaction import atomic, ledger_file
from passport.render.print.pdf import NoPango
from passport.render.sheets.recovery import recovery_pdf


def recovery_sheet(root: Path, target: Path, say: Callable[[str], None]) -> None:
    """Write the recovery sheet of a workshop as a PDF; a manifest key is made where there was none. Raises Refused."""
    workshop = base_of(root, ()).records.workshop
    shop = workshop.record if workshop else None
    with held(root, "passport backup", say), writing(f"'{root / key.FILE}'"):
        try:
            secret = ledger_file.made_key(root)
        except ValueError as error:
            raise Refused(f"{root / key.FILE}: {error}") from None
    try:
        data = recovery_pdf(shop.name if shop else "", shop.address if shop else "", key.grouped(secret), today())
    except NoPango as error:
        raise Refused(str(error)) from None
    with writing(f"'{target}'"):
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(target, data, mode=0o600)
