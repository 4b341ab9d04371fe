"""Checks of what a shop brings of its own: address, colours, logo, typefaces, words, templates, rules of style."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final, Literal

from passport.records.disk import opening, walking
from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.schema.numbers import KEY_LENGTH, SECRET_LENGTH
from passport.records.schema.workshop import Workshop
from passport.render.faces import signs
from passport.render.theme import assets
from passport.render.theme.palette import LIGHT, Token, weak_pairs
from passport.render.theme.words import languages, problems, shown_language, signs_of, words_of
from passport.workshop.facts.facts import languages_of

LABEL_MM: Final = 48.3
SEALED_LABEL_MM: Final = 43.3
LABEL_PT: Final = 7.0
"""The room of number and label at the head of a card's back, its narrowest line, and its smallest print; a sealed
passport's code takes more."""
TAG_LABEL_MM: Final = 50.0
SET_LABELS_MM: Final = 93.0
SET_LABEL_MM: Final = 42.0
SMALL_LABEL_PT: Final = 7.0
"""The room of a label on a tag; of all labels on the front of a set's card, side by side; of a label with its number on the
back of that; and the smallest print of both pieces."""
MOST_ON_A_SET: Final = 4
"""Frames on one card of a set."""
_FACE: Final = "text-600"
_SURELY_FITS: Final = 14
_SURELY_FITS_IN_A_SET: Final = 8
"""Plain letters that fit in whatever they are; fewer beside three other labels."""
ALWAYS_FITS: Final = 36
"""Characters of a web address whose codes can be printed whatever the address is, of sealed passports too."""
FINE_MM: Final = 0.5
"""Modules of a card's code below this are read neither at 20 cm nor in low light."""


def run(content: Content) -> list[Fault]:
    """Every fault in the shop's own look, in the order of the files; quick where there is nothing of its own."""
    shop = content.workshop
    if shop is None:
        return []
    found: list[Fault] = []
    for check in (_address, _colours, _logo, _fonts):
        found += check(content, shop)
    for folder, check_file in _FILES.items():
        for path in walking.files(content.root, folder):
            if path.is_file() and not path.name.startswith("."):
                found += _fit(content.root, path) or check_file(path)
    return sorted([*found, *_languages(content), *_labels(content), *glyphs(content)])


def glyphs(content: Content) -> list[Fault]:
    """What would be printed as boxes (see `passport.render.faces.signs`)."""
    return signs.run(content, assets.fonts(), signs_of, assets.look_fonts())


def _address(content: Content, shop: Entry[Workshop]) -> Iterator[Fault]:
    """An address that makes printed codes too fine: the open ones, or only the longer ones of sealed passports."""
    address = shop.record.address
    if len(address) <= ALWAYS_FITS:
        return
    sealed = any(entry.record.sealed for entry in content.frames.values())
    if over := _too_long(address, ""):
        what = worded("With this address the code on a card, tag or sticker would be too fine for a telephone to read.")
        do = worded("Take one with {over} characters less before any card is printed; pages need no change.", over=over)
    elif sealed and (over := _too_long(address, "K" * SECRET_LENGTH)):
        what = worded(
            "With this address the code of a sealed passport, which also holds its secret, would be too fine to read."
        )
        do = worded(
            "Take one with {over} characters less, or take the seal off with 'passport seal --open'.", over=over
        )
    else:
        return
    yield Fault(shop.at("address"), "long-address", what, do, "warning")


def _too_long(address: str, secret: str) -> int:
    """How many characters an address has too many for a printed code; 0 where it fits."""
    from passport.render.drawing.qr import QrTooLarge, budget, qr_matrix
    from passport.render.print.card import CODE_MM
    from passport.render.theme.address import written

    for over in range(len(address)):
        try:
            qr_matrix(written(address[: len(address) - over], "K" * KEY_LENGTH, secret), budget(CODE_MM, FINE_MM))
        except QrTooLarge:
            continue
        return over
    return len(address)


def _colours(content: Content, shop: Entry[Workshop]) -> Iterator[Fault]:
    from dataclasses import replace

    from passport.render.theme.look import readable

    look = shop.record.look
    named: tuple[tuple[str, str, Token], ...] = (("accent", look.accent, "petrol"), ("second", look.second, "plum"))
    for name, colour, token in named:
        weak = (
            [w for w in weak_pairs(replace(LIGHT, **{token: colour})) if token in (w.front, w.ground)] if colour else []
        )
        if weak:
            worst = min(weak, key=lambda pair: pair.ratio / pair.minimum)
            what = worded(
                "{colour} has a contrast of {ratio:.1f} where text needs {minimum:g}: many people could not read it.",
                colour=colour,
                ratio=worst.ratio,
                minimum=worst.minimum,
            )
            do = worded(
                "Take '{readable}', the nearest darker one, or another colour.", readable=readable(colour, token)
            )
            yield Fault(shop.at("look", name), "weak-colour", what, do)


def _logo(content: Content, shop: Entry[Workshop]) -> Iterator[Fault]:
    name = shop.record.look.logo
    if not name:
        return
    place = shop.at("look", "logo")
    path = _own_file(content.root, "style", name)
    if path is None:
        do = worded("Put an SVG or PNG file into the folder 'style' of the content and write its name alone.")
        yield Fault(
            place, "missing-logo", worded("There is no file '{name}' in the folder 'style'.", name=name[:60]), do
        )
        return
    from passport.render.theme.logo import NotALogo, logo

    try:
        logo(opening.read(path, most=assets.MOST_OWN, inside=content.root))
    except NotALogo as error:
        what = worded("'{name}' cannot be the logo: {error}.", name=name[:60], error=error)
        yield Fault(place, "bad-logo", what, worded("Save it from a drawing program as plain SVG, or as a PNG."))


def _fonts(content: Content, shop: Entry[Workshop]) -> Iterator[Fault]:
    fonts = shop.record.look.fonts
    for key, name in (("text", fonts.text), ("strong", fonts.strong), ("display", fonts.display)):
        if not name:
            continue
        place = shop.at("look", "fonts", key)
        path = _own_file(content.root, "fonts", name)
        do = worded("Put a WOFF2 file into the folder 'fonts' of the content and write its name alone.")
        if path is None:
            yield Fault(
                place, "missing-font", worded("There is no file '{name}' in the folder 'fonts'.", name=name[:60]), do
            )
        elif problem := _font_problem(opening.read(path, most=assets.MOST_OWN, inside=content.root), name):
            yield Fault(
                place, "bad-font", worded("'{name}' cannot be used: {problem}.", name=name[:60], problem=problem), do
            )


def _font_problem(data: bytes, name: str) -> str:
    """What is wrong with a typeface, as far as it is seen at once; empty where nothing is."""
    from passport.render.untrusted.typeface import NotATypeface, judge

    if not name.endswith(".woff2"):
        return "its name does not end with .woff2"
    try:
        judge(data)
    except NotATypeface as error:
        return str(error)
    return ""


def _own_file(root: Path, folder: str, name: str) -> Path | None:
    path = root / folder / name
    inside = Path(name).name == name and path.is_file() and path.resolve().is_relative_to((root / folder).resolve())
    return path if inside else None


def _fit(root: Path, path: Path) -> list[Fault]:
    """What is wrong with a file whatever it holds."""
    if not path.resolve().is_relative_to(root.resolve()):
        what = worded("This link leads outside the content folder.")
        return [
            Fault(
                Place(str(path)), "outside-link", what, worded("Copy the file that is meant into the content folder.")
            )
        ]
    size = path.stat().st_size
    if size > assets.MOST_OWN:
        what = worded(
            "This file has {size} kB; what pages are made with has at most {most_own} kB.",
            size=size // 1000,
            most_own=assets.MOST_OWN // 1000,
        )
        return [Fault(Place(str(path)), "too-large", what, worded("Make it smaller, or take it out of this folder."))]
    return []


def _messages(path: Path) -> Iterator[Fault]:
    if path.suffix != ".po":
        return
    from babel.core import Locale, UnknownLocaleError

    try:
        Locale.parse(path.stem, sep="-")
    except (UnknownLocaleError, ValueError):
        what = worded("'{stem}' is no language that has words, dates and numbers of its own.", stem=path.stem[:20])
        yield Fault(
            Place(str(path)), "unknown-language", what, worded("Name the file after a language tag, as in 'it.po'.")
        )
        return
    try:
        wrong = problems(opening.read(path), path.stem)
    except ValueError as error:
        do = worded('Write it in the form of templates/messages/passport.pot: msgid "…" and msgstr "…" in turn.')
        yield Fault(Place(str(path)), "bad-words", worded("This is not a message catalogue: {error}.", error=error), do)
        return
    for problem in wrong:
        do = worded("What stands between %( and )s or in braces is filled in: keep it as it is in the English text.")
        yield Fault(Place(str(path)), "bad-words", f"{problem}.", do)


def _templates(path: Path) -> Iterator[Fault]:
    if path.suffix == ".css":
        yield from _style(path)
    if path.suffix != ".j2":
        return
    import jinja2

    from passport.render.theme.templating import Environment

    try:
        Environment(assets.folders()).parse(opening.read_text(path), filename=str(path))
    except RecursionError:
        what = worded("This template cannot be read: it is nested too deep.")
        yield Fault(
            Place(str(path)), "bad-template", what, worded("Compare it with the shipped template of the same name.")
        )
    except jinja2.TemplateSyntaxError as error:
        what = worded("This template cannot be read: {value}.", value=error.message or worded("its form is wrong"))
        lines = opening.read_text(path).splitlines()
        excerpt = lines[error.lineno - 1] if 0 < error.lineno <= len(lines) else ""
        place = Place(str(path), error.lineno, 1, excerpt, max(1, len(excerpt)))
        yield Fault(place, "bad-template", what, worded("Compare it with the shipped template of the same name."))
    except UnicodeDecodeError:
        yield Fault(
            Place(str(path)),
            "not-utf8",
            worded("This file is not UTF-8 text."),
            worded("Save it with the encoding UTF-8."),
        )


def _style(path: Path) -> Iterator[Fault]:
    if path.suffix != ".css":
        return
    try:
        text = opening.read_text(path)
    except UnicodeDecodeError:
        yield Fault(
            Place(str(path)),
            "not-utf8",
            worded("This file is not UTF-8 text."),
            worded("Save it with the encoding UTF-8."),
        )
        return
    from passport.render.untrusted.own_style import slips

    lines = ["", *text.splitlines(), ""]
    for slip in slips(text):
        line = lines[min(slip.line, len(lines) - 1)]
        place = Place(str(path), slip.line, slip.column, line[:200], max(1, len(line[:200]) - slip.column + 1))
        if slip.foreign:
            what = worded("Pages load nothing from elsewhere: every reader's visit would be told to that place.")
            yield Fault(place, "foreign-address", what, worded("Put the file into the content's own folders instead."))
        else:
            what = worded("These rules of style cannot be read: {said}.", said=slip.said)
            yield Fault(
                place, "bad-style", what, worded("Correct this place: pages get what a parser of CSS understands.")
            )


_FILES: dict[str, Callable[[Path], Iterator[Fault]]] = {
    "messages": _messages,
    "templates": _templates,
    "style": _style,
}


def _languages(content: Content) -> Iterator[Fault]:
    """Languages that somebody wants and that have no words."""
    shop = content.workshop
    wanted = [(shop, shop.record.language)] if shop else []
    named = [(entry, language) for entry, language in wanted]
    named += [(entry, entry.record.language) for entry in content.players.values()]  # type: ignore[misc]
    for entry, language in named:
        tongue = language.partition("-")[0].lower()
        if language and shown_language(language).partition("-")[0] != tongue:
            instead = shown_language(languages_of(language, shop.record.language if shop else ""))
            what = worded(
                "There are no words in '{language}'; the pages will be in {named}.",
                language=language[:20],
                named=_named(instead),
            )
            do = worded(
                "Use one of: {languages}; or add messages/{tongue}.po to the content folder.",
                languages=", ".join(languages()),
                tongue=tongue[:8],
            )
            yield Fault(entry.at("language"), "no-words", what, do, "warning")


def _named(language: str) -> str:
    from babel.core import Locale

    return Locale.parse(language, sep="-").get_display_name("en") or language


def _labels(content: Content) -> Iterator[Fault]:
    """Labels that a card has no room for even in its smallest print: they are cut there, and whole on pages."""
    shop = content.workshop.record.language if content.workshop else ""
    for entry in content.frames.values():
        frame, owner = entry.record, content.players.get(entry.name.partition("/")[0])
        language = languages_of(owner.record.language if owner else "", shop)
        together = _on_one_card(content, entry)
        if cuts := label_cuts(frame.label, frame.number or "", language, sealed=bool(frame.sealed), together=together):
            what = " ".join(
                _WHERE_CUT[piece, first]() for first, piece in zip((True, False, False), cuts, strict=False)
            )
            most = min(cuts.values())
            do = worded("Shorten it to {most} characters or so, or leave it: pages show all of it.", most=most)
            yield Fault(entry.at("label"), "label-cut", what, do, "warning")


Piece = Literal["card", "tag", "set"]
_WHERE_CUT: Final[dict[tuple[Piece, bool], Callable[[], str]]] = {
    ("card", True): lambda: worded("This label is too long for the back of a card, and is cut there."),
    ("set", True): lambda: worded("This label is too long for the card of its set, and is cut there."),
    ("set", False): lambda: worded("The card of its set cuts it as well."),
    ("tag", False): lambda: worded("The tag cuts it as well."),
}
"""What is said of the first piece that cuts a label, and of those after it: a tag has more room than a card."""


def _on_one_card(content: Content, entry: Entry[Frame]) -> int:
    """How many frames stand with this one on the card of its set; 0 where it is in none."""
    if not entry.record.set:
        return 0
    player = entry.name.partition("/")[0]
    mates = [
        each.name
        for each in content.frames.values()
        if (each.name.partition("/")[0], each.record.set, each.record.status) == (player, entry.record.set, "active")
    ]
    if entry.name not in mates:
        return 0
    first = mates.index(entry.name) // MOST_ON_A_SET * MOST_ON_A_SET
    return len(mates[first : first + MOST_ON_A_SET])


def label_cuts(label: str, number: str, language: str, *, sealed: bool, together: int = 0) -> dict[Piece, int]:
    """Which pieces cut a label, each with after how many characters; none has to where there is room for all of it.

    ``together`` is how many frames stand on the card of its set.
    """
    if label.isascii() and len(label) <= (_SURELY_FITS if together < MOST_ON_A_SET else _SURELY_FITS_IN_A_SET):
        return {}
    from passport.render.theme.textfit import fits, text_width

    said = words_of(language).gettext("“%(label)s”")
    beside = text_width(number, "display-600", 9)
    rooms: dict[Piece, tuple[float, float]] = {"card": ((SEALED_LABEL_MM if sealed else LABEL_MM) - beside, LABEL_PT)}
    if together:
        rooms["set"] = (min(SET_LABELS_MM / together - 2, SET_LABEL_MM - beside), SMALL_LABEL_PT)
    rooms["tag"] = (TAG_LABEL_MM, SMALL_LABEL_PT)
    cuts: dict[Piece, int] = {}
    for piece, (room, size) in rooms.items():
        fitting = (n for n in range(len(label), 0, -1) if fits(said % {"label": label[:n]}, _FACE, room, size))
        most = next(fitting, 1)
        if most < len(label):
            cuts[piece] = most
    return cuts
