"""Cards, tags, stickers, wraps and set cards: which frames get one, and how they share sheets and files."""

import gc
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from passport.acts.picking import pick
from passport.acts.reading import SoundPart, owned
from passport.acts.refused import Faulty, Misused, Refused, writing
from passport.records.language.worded import numbered, unsaid, worded
from passport.records.load import Content
from passport.records.transaction import atomic
from passport.workshop.gathering.gather import Gatherer, gatherer_of

if TYPE_CHECKING:
    from passport.render.print.imposition import Layout
    from passport.render.print.page_box import Standard
    from passport.render.print.piece_kit import PrintItem
    from passport.render.sheets.label import Roll
    from passport.workshop.strings.string_priors import StringPriors

KINDS = ("card", "tag", "sticker", "wrap", "set")
_PIECES = {
    "card": unsaid("card"),
    "tag": unsaid("tag"),
    "sticker": unsaid("sticker"),
    "wrap": unsaid("wrap"),
    "set": unsaid("set card"),
    "label": unsaid("intake label"),
}
"""What stands in sentences for what is printed."""
PAPERS = ("a4", "letter", "own")
SHEETS_A_FILE, PIECES_A_FILE = 10, 100
"""What goes into one PDF at most: laying out takes about 3 MB of memory a card."""
_OUT_OF_USE = ("lost", "retired")


@dataclass(frozen=True, slots=True)
class PrintOrder:
    """What is to be printed and how.

    ``frames`` names the frames; empty means all in use, or those with a job from ``since`` on. ``circular`` is for
    stickers. ``paper`` is one of PAPERS; ``own`` or ``bleed`` give each side a page of its own. ``skip`` places of the
    first sheet stay free. ``press`` makes a print shop's file. ``fold`` lays front and back beside each other; ``shift`` is
    how far a printer puts backs too far right and down, seen from the front, mm. ``archive`` makes a file for an archive,
    single pages with the frames' public data in it.
    """

    frames: tuple[str, ...]
    since: date | None
    kind: str
    circular: bool
    paper: str
    skip: int
    bleed: bool
    press: bool = False
    fold: bool = False
    shift: tuple[float, float] = (0.0, 0.0)
    archive: bool = False

    @property
    def single(self) -> bool:
        """Whether each side is a page of its own."""
        return self.bleed or self.archive or self.paper == "own"


@dataclass(frozen=True, slots=True)
class PrintFile:
    """One PDF of an order: where it goes, what is on it, and how many places of its first sheet stay free."""

    path: Path
    items: "Sequence[PrintItem]"
    free: int


@dataclass(frozen=True, slots=True)
class PrintRun:
    """An order with its printed items, in the order of the frames; ``layout`` is None for single pages."""

    order: PrintOrder
    items: "Sequence[PrintItem]"
    layout: "Layout | None"
    workshop: str = ""

    @property
    def how(self) -> tuple[str, ...]:
        """How to print, for the margin of fronts and backs."""
        if self.order.fold:
            return ("Print at 100 %, on one side · cut, then fold backwards at the broken line",)
        if len(self.items[0].sides) == 1:
            return ("Print at 100 %",)
        return tuple(f"Print at 100 %, on both sides, flipped on the long edge · {side}" for side in ("front", "back"))

    def files(self, target: Path) -> list[PrintFile]:
        """The files of the run: ``target`` itself, or several with a number each where there is too much for one."""
        skip = self.order.skip
        most = SHEETS_A_FILE * self.layout.places if self.layout else PIECES_A_FILE
        cuts = [0, *range(most - skip, len(self.items), most), len(self.items)]
        shares = list(pairwise(cuts))
        paths = [target.with_stem(f"{target.stem}-{i}") for i in range(1, len(shares) + 1)]
        return [
            PrintFile(path, self.items[start:stop], skip if start == 0 else 0)
            for path, (start, stop) in zip(paths if len(shares) > 1 else [target], shares, strict=True)
        ]

    def write(self, file: PrintFile) -> None:
        """Lay out one file and write it. Raises Refused where that cannot be done."""
        data = self.laid_out(file)
        with writing(f"'{file.path}'"):
            file.path.parent.mkdir(parents=True, exist_ok=True)
            atomic.write(file.path, data)

    def laid_out(self, file: PrintFile) -> bytes:
        """One file as PDF. Raises Refused where it cannot be made."""
        from passport.render.print import imposition
        from passport.render.print.page_box import UA
        from passport.render.print.pdf import BadEpoch, FaultyDocument

        asked, press = self._standard(file), self.order.press
        try:
            if self.layout is None:
                return imposition.single(file.items, bleed=self.order.bleed or press, standard=asked or UA)
            return imposition.sheets(
                file.items, self.layout.paper, skip=file.free, notice=self.how, shift=self.order.shift, standard=asked
            )
        except (BadEpoch, FaultyDocument) as error:
            raise Refused(str(error)) from None
        finally:
            gc.collect()  # a document is a ring of references and would stay until much later

    def _standard(self, file: PrintFile) -> "Standard | None":
        """What a file follows where that is not what all prints follow."""
        from passport.render.standards.pdfx import PRESS

        return PRESS if self.order.press else self._archived(file) if self.order.archive else None

    def _archived(self, file: PrintFile) -> "Standard":
        from passport.render.pages.data import setup_json
        from passport.render.standards.pdfa import NO_DAY, ArchivedFile, ArchiveStandard

        frames = {frame.number: frame for item in file.items for frame in item.shows}
        return ArchiveStandard(
            tuple(
                ArchivedFile(
                    f"setup-{number}.json", f"The setup of {number} as data", frame.updated or NO_DAY,
                    setup_json(frame, self.workshop),
                )
                for number, frame in frames.items()
            )
        )  # fmt: skip


def chosen(records: Content, order: PrintOrder) -> tuple[str, ...]:
    """The frames that an order means, each once. Raises Refused for a frame that is named and gets no card."""
    if order.frames:
        return tuple(dict.fromkeys(_printable(records, text) for text in order.frames))
    return tuple(_in_use(records, order.since))


def _in_use(records: Content, since: date | None) -> Iterator[str]:
    for name, entry in records.frames.items():
        record = entry.record
        day = record.jobs[-1].date if record.jobs else record.since
        # Without a key there is no page yet that a code could lead to.
        if record.key and not _closed(records, name) and (since is None or (day is not None and day >= since)):
            yield name


def _printable(records: Content, text: str) -> str:
    """The frame that a text names, which must be in use and have its number."""
    entry = pick(records, text)
    if not entry.record.number or not entry.record.key:
        do = worded("Next: passport issue {root} {entry}", root=records.root, entry=entry.name)
        raise Refused(
            worded(
                "'{entry}' has no number and no key yet, so there is no card for it.\n  {do}", entry=entry.name, do=do
            )
        )
    closed = _closed(records, entry.name)
    if closed:
        raise Refused(
            worded("{number} is {closed}: no card is printed for it.", number=entry.record.number, closed=closed)
        )
    return entry.name


def _closed(records: Content, name: str) -> str:
    """Why nothing is printed for a frame any more; empty for one in use."""
    record = records.frames[name].record
    if record.status in _OUT_OF_USE:
        return record.status
    return f"replaced by {record.replaced_by}" if record.replaced_by else ""


def need_pango() -> None:
    """Raise Refused where the libraries that lay out a PDF are missing; the text says what to install."""
    from passport.render.print import pdf  # WeasyPrint takes a second to import

    problem = pdf.available()
    if problem:
        raise Refused(problem)


def prepared(
    records: Content, names: Sequence[str], order: PrintOrder, priors: "StringPriors | None" = None
) -> PrintRun | None:
    """An order with everything that it prints of the frames ``names``; None where no two of them belong to one set.

    ``priors`` is what all string beds told, where ``records`` are of some players only. Raises Refused where a frame that
    is named belongs to no set or an address is too long for a code, and Misused where more places are to be skipped than a
    sheet has.
    """
    gatherer = gatherer_of(records, priors)
    items = _items(gatherer, names, order)
    if not items:
        return None
    if order.fold or any(order.shift):
        items = _two_sided(items, order)
    return PrintRun(order, items, None if order.single else _layout(items[0], order), gatherer.shop.name)


def _two_sided(items: "list[PrintItem]", order: PrintOrder) -> "list[PrintItem]":
    """The items, folded where that is asked for. Raises Misused where they have no back."""
    from passport.render.print import imposition

    if len(items[0].sides) != 2:
        option = "--fold" if order.fold else "--shift"
        raise Misused(
            worded(
                "{option} is for pieces with a front and a back: leave it out for a {kind}.",
                option=option,
                kind=worded(_PIECES[order.kind]),
            )
        )
    return imposition.folded(items) if order.fold else items


def _items(gatherer: Gatherer, names: Sequence[str], order: PrintOrder) -> "list[PrintItem]":
    from passport.render.drawing.qr import QrTooLarge
    from passport.render.print.card import card_piece
    from passport.render.print.sticker import sticker_piece, wrap_piece
    from passport.render.print.tag import tag_piece

    try:
        if order.kind == "set":
            return list(_sets(gatherer, names, strict=bool(order.frames)))
        facts = [gatherer.frame(name) for name in names]
        if order.kind == "sticker":
            made = [sticker_piece(frame, gatherer.shop, circular=order.circular) for frame in facts]
        else:
            make = {"card": card_piece, "tag": tag_piece, "wrap": wrap_piece}[order.kind]
            made = [make(frame, gatherer.shop) for frame in facts]
        return [replace(piece, shows=(frame,)) for piece, frame in zip(made, facts, strict=True)]
    except QrTooLarge as error:
        raise Refused(worded("The shop's web address is too long to print: {error}.", error=error)) from None


def _sets(gatherer: Gatherer, names: Sequence[str], *, strict: bool) -> "Iterator[PrintItem]":
    """The cards of the matched sets that the frames belong to; ``strict`` refuses a frame that belongs to none."""
    from passport.render.print.setcard import set_pieces

    players = {_owner(name) for name in names}
    # A set card shows the whole set, so the frames beside those asked for are gathered, too.
    facts = tuple(
        gatherer.frame(name) for name, e in gatherer.content.frames.items() if e.record.key and _owner(name) in players
    )
    numbers = [frame.number for frame in facts if frame.name in names]
    found: set[str] = set()
    for player in gatherer.players(facts, printed=True):
        for group in player.groups:
            own = {frame.number for frame in group.frames}
            if group.matched and len(own) > 1 and own & set(numbers):
                found |= own
                yield from (replace(piece, shows=group.frames) for piece in set_pieces(player, group, gatherer.shop))
    alone = [number for number in numbers if number not in found]
    if strict and alone:
        do = worded(
            "Give frames that are meant to be equal the same 'set', and their player a key with 'passport issue'."
        )
        raise Refused(
            numbered(
                len(alone),
                "{alone} is in no set of two.\n  {do}",
                "{alone} are in no set of two.\n  {do}",
                alone=", ".join(alone),
                do=do,
            )
        )


def _owner(name: str) -> str:
    return name.partition("/")[0]


def _layout(item: "PrintItem", order: PrintOrder) -> "Layout":
    from passport.render.print import imposition

    plan = imposition.layout(imposition.PAPERS[order.paper], item.format, shop=order.press)
    if order.skip >= plan.places:
        raise Misused(
            worded("A sheet has {places} places: skip at most {places2}.", places=plan.places, places2=plan.places - 1)
        )
    return plan


def make_card(records: Content, name: str, folder: Path) -> Path:
    """Make the card of a frame into ``folder``; where it is. Raises Refused where it cannot be made or written.

    ``records`` need hold no more than the player of the frame; they are read again, beside what all strings told.
    """
    card = card_of(records.root, name)
    path = folder / card.file
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(path, card.data)
    except OSError as error:
        raise Refused(worded("The card could not be written: {error}.", error=error)) from None
    return path


@dataclass(frozen=True, slots=True)
class PrintedPiece:
    """Something printed, as PDF, and what its file is called."""

    file: str
    data: bytes


def card_of(folder: Path, name: str) -> PrintedPiece:
    """The card of a frame, ``player/frame``, of a content folder. Raises Refused where it cannot be made."""
    from passport.render.print.card import card_pdf

    found = _sound_for(folder, name, "card")
    frame = found.records.frames[name].record
    if not frame.number or not frame.key:
        raise Refused(worded("This frame has no number yet, and so no card: passport issue gives it one."))
    gatherer = gatherer_of(found.records, found.priors)
    try:
        return PrintedPiece(f"card-{frame.number}.pdf", card_pdf(gatherer.frame(name), gatherer.shop))
    except OSError as error:
        raise Refused(worded("The card could not be made: {error}.", error=error)) from None


def piece_of(folder: Path, name: str, kind: str) -> PrintedPiece:
    """One of KINDS of a frame, each side a page of its own. Raises Refused where it cannot be made."""
    found = _sound_for(folder, name, kind)
    order = PrintOrder((name,), None, kind, circular=False, paper="own", skip=0, bleed=False)
    run = prepared(found.records, chosen(found.records, order), order, found.priors)
    if run is None:
        raise Refused(worded("There is no {kind} of this frame.", kind=worded(_PIECES[kind])))
    number = found.records.frames[name].record.number
    return PrintedPiece(f"{kind}-{number}.pdf", run.laid_out(PrintFile(Path(), run.items, 0)))


def label_of(folder: Path, name: str) -> PrintedPiece:
    """The label that hangs on a frame while it waits, for the shop's roll; private. Raises Refused."""
    from passport.render.sheets.label import label_pdf
    from passport.workshop.orders.label import intake_label

    records = _sound_for(folder, name, "label").records
    entry = records.frames[name]
    language = records.workshop.record.language if records.workshop else "en"
    data = label_pdf([intake_label(records, entry, records.catalogue)], roll_of(records), language)
    return PrintedPiece(f"label-{entry.record.number or name.replace('/', '-')}.pdf", data)


def roll_of(records: Content) -> "Roll":
    """The roll in the shop's label printer; 62 mm where nobody says."""
    return "29" if records.workshop and records.workshop.record.label_roll == "29 mm" else "62"


def _sound_for(folder: Path, name: str, what: str) -> SoundPart:
    """The records that something is printed from, sound whatever is wrong with those of other players.

    Raises Refused where these have errors, or nothing can be printed.
    """
    need_pango()
    try:
        return owned(folder, _owner(name))
    except Faulty as faulty:
        text = worded(
            "The {what} was not made: there are errors in the records, which 'passport check' shows.",
            what=worded(_PIECES[what]),
        )
        raise Faulty(faulty.faults, text) from None
