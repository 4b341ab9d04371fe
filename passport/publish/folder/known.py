"""What is known of the addresses of a workshop, from everywhere where it is written down.

The records say what is; the ledger what was ever given out; the file beside the content folder and the site's manifest
how far the ledger had come and what is closed, when records and ledger were put back from an older copy. Where they
differ, nobody guesses: what stops a command is said by `problems`, with what to do.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from passport.publish.folder import manifest, site_pages
from passport.publish.folder.manifest import Manifest
from passport.records.language.worded import unsaid, worded
from passport.records.ledger import key, ledger, witness
from passport.records.ledger.beside import path_beside
from passport.records.ledger.ledger import Ledger, LedgerLine
from passport.records.ledger.witness import Witness
from passport.records.load import Content
from passport.records.schema import numbers

_SHOWN = 5
_RIGHTS = unsaid("Give yourself the right to read it, or put it back from a backup.")


@dataclass(frozen=True, slots=True)
class Unsettled:
    """What must be settled by a person: the name of the rule, what is wrong, and the ways to settle it."""

    rule: str
    what: str
    do: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it, as a command prints it."""
        return "\n  ".join((self.what, *self.do))


@dataclass(frozen=True)
class KnownAddresses:
    """What ledger, the file beside the folder, manifest and pages of the last site tell.

    ``sealed`` says why the manifest of a site cannot be read, where it cannot, and what to do.
    """

    root: Path
    site: Path
    ledger: Ledger
    witness: Witness = field(default_factory=Witness)
    manifest: Manifest = field(default_factory=Manifest)
    sealed: Unsettled | None = None

    @cached_property
    def closed(self) -> tuple[str, ...]:
        """The keys that are closed for good by any of them, those of the ledger first."""
        others = (self.witness.closed | self.manifest.closed) - self.ledger.reopened - self.ledger.closed.keys()
        return (*self.ledger.closed, *sorted(others))

    @property
    def highest(self) -> int:
        """The highest running number that any of them knows, pages of the site too where its manifest tells nothing."""
        pages = 0 if self.manifest.highest else numbers.highest(site_pages.site_numbers(self.site))
        return max(self.ledger.highest, self.witness.highest, self.manifest.highest, pages)

    @property
    def began(self) -> bool:
        """Whether a ledger, or a word on one, is there at all."""
        return bool(self.ledger.lines or self.witness.count or self.manifest.count)


def survey(root: Path, site: Path, records: Content, known: Ledger | None = None) -> KnownAddresses:
    """Look everywhere. The site counts only where it shares a key with records or ledger, or its manifest opens.

    Raises OSError where the ledger cannot be read.
    """
    book = (ledger.read(root) or Ledger()) if known is None else known
    beside = witness.read(root) or Witness()
    try:
        said = manifest.read(site, key.read(root))
    except OSError as error:
        what = f"'{root / key.FILE}' or the site's manifest could not be read: {error}."
        return KnownAddresses(root, site, book, beside, sealed=Unsettled("sealed-manifest", what, (worded(_RIGHTS),)))
    except (manifest.Sealed, ValueError):
        ours = site_pages.site_keys(site) & (ledger.keys_in(records) | book.issued.keys())
        return KnownAddresses(root, site, book, beside, sealed=_sealed(root, site) if ours else None)
    except manifest.TooNew as error:
        what = f"The manifest of the site at '{site}' is of a newer version of this program ({error})."
        return KnownAddresses(
            root, site, book, beside, sealed=Unsettled("newer-manifest", what, ("Use that version.",))
        )
    return KnownAddresses(root, site, book, beside, said or Manifest())


def problems(known: KnownAddresses, records: Content) -> tuple[Unsettled, ...]:
    """Everything that must be settled by a person before an address is published."""
    found = (_newer(known), _short(known), _back(known, records), *_twice(known, records), known.sealed)
    return tuple(one for one in found if one)


def doubts(known: KnownAddresses) -> tuple[Unsettled, ...]:
    """What must be settled before a number is given out: what was given out cannot be known without that."""
    return tuple(one for one in (_newer(known), _short(known), known.sealed) if one)


def called(line: LedgerLine) -> str:
    """An address as a person knows it."""
    if line.number:
        return f"The address of passport {line.number}"
    return f"The address {line.key} of a {'player' if line.kind == 'player' else 'frame'}"


def mending(root: Path, site: Path) -> str:
    """The command that makes the ledger anew from what is left."""
    return f"passport addresses {root} --mend --site {site}"


def _newer(known: KnownAddresses) -> Unsettled | None:
    """That ledger or the file beside the folder are of a newer program."""
    for name, have, most in (
        (ledger.FILE, known.ledger.format, ledger.FORMAT),
        (f"the file {path_beside(known.root)}", known.witness.format, witness.FORMAT),
    ):
        if have > most:
            what = f"{name} is of format {have}, and this version of the program knows no higher one than {most}."
            return Unsettled(
                "newer-ledger", what[0].upper() + what[1:], ("Use the version that wrote it, or a later one.",)
            )
    return None


def _short(known: KnownAddresses) -> Unsettled | None:
    """That the ledger lacks its end, or is another one."""
    others = [(f"'{path_beside(known.root)}'", known.witness.last, known.witness.count)]
    others.append((f"the manifest of the site at '{known.site}'", known.manifest.last, known.manifest.count))
    for who, last, count in others:
        if witness.behind(known.ledger, Witness(last=last)):
            have = len(known.ledger.lines)
            what = f"{ledger.FILE} has {have} lines" if have else f"There is no {ledger.FILE}"
            lack = "its end is missing" if have < count else "it is not the one that was here"
            lost = f"{what}, and {who} knows of {count}: {lack}, and with it what was given out or closed."
            put = "Put the file back from the newest backup, or have it made anew from what is left:"
            return Unsettled("ledger-behind", lost, (f"{put} {mending(known.root, known.site)}",))
    return None


def _back(known: KnownAddresses, records: Content) -> Unsettled | None:
    closed = set(known.closed)
    back = [line for line in ledger.in_content(records) if line.key in closed]
    if not back:
        return None
    lines = [f"{called(line)} ({line.key}) was closed for good, but has a record again." for line in back[:_SHOWN]]
    lines += [f"So have {len(back) - _SHOWN} more."] if len(back) > _SHOWN else []
    folders = sorted({name.partition("/")[0] for name in _holders(records, {line.key for line in back})})
    do = (
        f"Erase it again: {' and '.join(f'passport erase {known.root} {name}' for name in folders[:_SHOWN])}",
        f"It was a mistake, and its card may be used again: passport addresses {known.root} --reopen {back[0].key}",
        "It is another frame: take number and key out of its record and run 'passport issue' for new ones.",
    )
    return Unsettled("closed-again", "\n".join(lines), do)


def _holders(records: Content, keys: set[str]) -> Iterator[str]:
    for table in (records.players, records.frames):
        yield from (name for name, entry in table.items() if entry.record.key in keys)


def _twice(known: KnownAddresses, records: Content) -> Iterator[Unsettled]:
    """Numbers that two open keys have, by the ledger, or by records and ledger or manifest together."""
    given: dict[str, set[str]] = {number: set(keys) for number, keys in known.ledger.twice.items()}
    owner = {number: key for key, number in {**_of_manifest(known), **known.ledger.numbers}.items()}
    closed = set(known.closed)
    for entry in records.frames.values():
        number, mine = entry.record.number, entry.record.key
        other = owner.get(number, mine)
        if number and mine and other != mine and {other, mine}.isdisjoint(closed):
            given.setdefault(number, set()).update((other, mine))
    for number, keys in given.items():
        holders = {entry.record.key: name for name, entry in records.frames.items() if entry.record.key in keys}
        said = " and ".join(f"{one} ({holders.get(one, 'no record')})" for one in sorted(keys))
        yield Unsettled("given-twice", f"Passport {number} was given out twice, for the keys {said}.", (
            "A card may exist of each: compare them. Of the frame that keeps the number nothing changes.",
            "Take 'number' out of the other's record and run 'passport issue' for it: it keeps its key and gets a number.",
            f"An address whose card nobody has is closed by its key: passport retire {known.root} KEY",
        ))  # fmt: skip


def _of_manifest(known: KnownAddresses) -> dict[str, str]:
    return {line.key: line.number for line in known.manifest.keys if line.number}


def _sealed(root: Path, site: Path) -> Unsettled:
    what = (
        f"The site at '{site}' has a manifest that the key in '{root / key.FILE}' does not open, "
        "so what was given out since the records were last saved cannot be known."
    )
    do = (
        f"Put {key.FILE} back from a backup, or type it from the recovery sheet: passport addresses {root} --key KEY",
        f"It is gone for good, or the manifest is damaged: passport addresses {root} --forget-manifest --site {site}",
    )
    return Unsettled("sealed-manifest", what, do)
