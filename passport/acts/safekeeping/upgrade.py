"""Bringing a workshop up to the form that this version writes: what is to be done, first shown, then done in one step.

Records of every released form are read as they are; the upgrade only makes sure that nothing older has to be guessed at
later. Nothing that was ever written into the ledger is changed: it is continued.
"""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path

from passport.acts.change import Base, base_of, commit, held, overtaken
from passport.acts.reading import known
from passport.acts.refused import Refused, writing
from passport.acts.safekeeping.backup import BackedUp, back_up
from passport.records.language.worded import worded
from passport.records.ledger import key, ledger, witness
from passport.records.ledger.ledger import LedgerLine
from passport.records.schema.frame import Frame
from passport.records.schema.workshop import FORMAT, Workshop
from passport.records.transaction import ledger_file
from passport.records.transaction.journal import Wanted
from passport.records.yaml.edit import with_block, with_first_lines, with_value, without

UPGRADED = "upgraded"
"""What the ledger says when it is continued in a new form; in the place of a web address stands which."""
_FILE = "workshop.yaml"


@dataclass(frozen=True, slots=True)
class Upgrade:
    """What an upgrade does: new texts of records, lines for the ledger, a key or file that is made; ``said`` lists all
    of it, and is empty where nothing is to be done."""

    said: tuple[str, ...]
    files: dict[str, bytes]
    lines: tuple[LedgerLine, ...]
    key: bool
    beside: bool


def base_for(folder: Path, reading: Callable[[], AbstractContextManager[None]] = nullcontext) -> Base:
    """The records that an upgrade may change: of sound ones only those of the players with a line 'rack'. Raises Faulty
    where there is no workshop."""
    with reading():
        found = known(folder, review=False)
    if found is None:
        return base_of(folder, None, reading)
    players = {name.partition("/")[0] for name, entry in found.all.frames.items() if entry.record.rack}
    return Base(found.read(players), found.faults, players)


def upgrade_of(base: Base) -> Upgrade:
    """What has to be done to a workshop. Raises CannotEdit where a record cannot be added to."""
    root, known = base.records.root, base.ledger()
    files, lines, said = dict[str, bytes](), tuple[LedgerLine, ...](), list[str]()
    text = base.text(_FILE) or ""
    raised = _raised(text, base.records.workshop.record if base.records.workshop else None)
    if raised != text:
        files[_FILE] = raised.encode("utf-8")
        said.append(worded("{file}: format: {format}", file=_FILE, format=FORMAT))
    for name, entry in base.records.frames.items():
        if entry.record.rack:  # what is wanted, in one line, as records before the order was data have it
            path = f"players/{name}.yaml"
            old = base.text(path) or ""
            new = with_block(without(old, "rack"), "order", {"asked": entry.record.rack}, Frame.model_fields)
            files[path] = new.encode("utf-8")
            said.append(worded("{path}: what stands on the line 'rack' becomes an order", path=path))
    if known.lines and known.format < ledger.FORMAT and not any(line.event == UPGRADED for line in known.lines):
        lines = (LedgerLine(UPGRADED, "", "ledger", "", f"format-{ledger.FORMAT}"),)
        said.append(
            worded(
                "{file}: a line that ties all {lines} lines before it together",
                file=ledger.FILE,
                lines=len(known.lines),
            )
        )
    no_key = not key.path_of(root).exists()
    alone = bool(known.lines) and witness.read(root) is None
    said += [worded("{file}: a key for the manifest on the site", file=key.FILE)] if no_key else []
    said += [worded("a file beside the folder that says what is closed")] if alone else []
    return Upgrade(tuple(said), files, lines, no_key, alone)


def _raised(text: str, record: Workshop | None) -> str:
    """The text of workshop.yaml with the form of today; as it is where it says so."""
    if record is None or ("format" in record.model_fields_set and record.format == FORMAT):
        return text
    if "format" in record.model_fields_set:
        return with_value(text, "format", str(FORMAT))
    return with_first_lines(text, {"format": str(FORMAT)})


def carry_out(base: Base, upgrade: Upgrade, say: Callable[[str], None]) -> BackedUp:
    """Save a backup, then upgrade. Raises Refused."""
    root = base.records.root
    saved = back_up(root, None, "", say)
    with held(root, "passport upgrade", say), writing(f"'{root}'"):
        if overtaken(base):
            raise Refused(worded("Nothing was upgraded: another command changed the records meanwhile. Run it again."))
        if upgrade.files or upgrade.lines:
            summary = worded("Brought up to format {format}", format=FORMAT)
            commit(root, Wanted("passport upgrade", summary, upgrade.files, upgrade.lines), say)
        if upgrade.key:
            ledger_file.made_key(root)
        if upgrade.beside:
            ledger_file.write_beside(root, ledger.read(root) or ledger.Ledger())
    return saved


def done(root: Path) -> str:
    """What is said when nothing has to be done."""
    return worded("'{root}' is in the form of this version already (format {format}).", root=root, format=FORMAT)
