"""HTML to PDF: one WeasyPrint engine a process, with fonts and style sheets read once.

WeasyPrint is imported only here and only when a PDF is wanted, because it needs the Pango library of the operating
system: without it pages still build.
"""

import contextlib
import gc
import io
import logging
import os
import re
import warnings
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from functools import cache, lru_cache
from html import escape
from multiprocessing.util import Finalize
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname
from xml.etree.ElementTree import Element, ParseError, fromstring

from passport.records.disk import opening
from passport.render.faces.alone import alone
from passport.render.faces.cutting import cut
from passport.render.faces.direction import printed
from passport.render.faces.joined import joined
from passport.render.faces.shelf import HouseStyle, LentSigns
from passport.render.print import front_door
from passport.render.print.page_box import UA, PageBox, Standard, Tools, set_boxes, set_languages
from passport.render.print.stand_ins import SCHEME, StandIns, fetched
from passport.render.theme import assets
from passport.render.theme.assets import BESIDE, Own, look_folder, note, own, templates
from passport.render.theme.words import direction

_LENT = "lent:"
_NO_DAY = "1970-01-01"
"""The date of a document that must have one where no record and nobody gives one: the first day of computers' time."""
_MOST_IMAGES = 2000
"""Images of stand-ins that are kept before all are forgotten."""

_MISSING = """\
Cards and sheets need the Pango library, which is not on this machine ({reason}).
Install it, then run the same command again:
  Debian, Ubuntu   sudo apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0
  Fedora           sudo dnf install pango
  macOS            brew install pango
  Windows          with MSYS2: pacman -S mingw-w64-ucrt-x86_64-pango
The pages of the site are built without it."""


class NoPango(RuntimeError):
    """The libraries that lay out a PDF are missing; the message says what to install."""


class BadEpoch(ValueError):
    """SOURCE_DATE_EPOCH is set but is not a number of seconds."""


class FaultyDocument(RuntimeError):
    """WeasyPrint had to leave something out, or no typeface has a sign; the message says what."""


@cache
def available() -> str | None:
    """None when PDFs can be made; else a text that names the package to install on each operating system."""
    try:
        # WeasyPrint prints its own advice on a missing library, and warns of missing system fonts and of an old
        # HarfBuzz: the text above replaces the first, the shipped fonts make the rest irrelevant.
        with contextlib.redirect_stdout(io.StringIO()), warnings.catch_warnings(), alone(assets.fonts()):
            warnings.simplefilter("ignore")
            import weasyprint  # noqa: F401
    except OSError as error:
        reason = str(error).partition("\n")[0].partition(":")[0].strip() or "unknown library"
        return _MISSING.format(reason=reason)
    return None


def stamp(given: date | None = None) -> str:
    """The date that goes into a document, as W3C date text: ``given``, else SOURCE_DATE_EPOCH, else none (empty).

    The clock is never asked, so the same input gives the same bytes on any day.

    Raises:
        BadEpoch: SOURCE_DATE_EPOCH is not a whole number of seconds that a date can have, used or not.
    """
    text = os.environ.get("SOURCE_DATE_EPOCH", "")
    moment = None
    if text:
        try:
            if not re.fullmatch(r"[0-9]+", text, re.ASCII):
                raise ValueError
            moment = datetime.fromtimestamp(int(text), UTC)
        except (ValueError, OverflowError, OSError):
            message = (
                f"SOURCE_DATE_EPOCH must be a whole number of seconds since 1970, not {text!r}. Correct or unset it."
            )
            raise BadEpoch(message) from None
    if given:
        return given.isoformat()
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ") if moment else ""


class Engine:
    """Writes PDFs with the fonts and style sheets below some templates folders; use `engine` to get one.

    A font configuration and the sheets parsed with it belong together, and each process needs one of each.
    """

    def __init__(self, *roots: Path, lent: tuple[LentSigns, ...] = ()) -> None:
        """Read nothing yet but the libraries; of several folders the first that has a file wins.

        ``lent`` is what other typefaces lend to those of the style sheets.

        Raises:
            NoPango: the libraries are missing.
        """
        missing = available()
        if missing:
            raise NoPango(missing)
        from weasyprint import CSS
        from weasyprint.text.fonts import FontConfiguration

        # The fonts' temporary folder must go before the interpreter takes WeasyPrint apart; in a worker process
        # multiprocessing runs this, where atexit would not.
        Finalize(None, _release, exitpriority=10)
        self._roots = tuple(root.resolve() for root in roots)
        # A shop's own templates may write HTML that is no XML; only the shipped ones are read as such.
        self._shipped = not any(
            (root / "card").is_dir() for root in self._roots if not root.is_relative_to(self._roots[-1])
        )
        with alone(assets.fonts()):
            self._fonts = FontConfiguration()
        # A shop's own style sheets may name no typeface that is there, and Pango cannot do without any. It is none of the
        # house's own two, since a file keeps its own name beside the one that it is given.
        last = (assets.fonts().resolve() / "fira-c-400.ttf").as_uri()
        confined = _fetcher([assets.fonts().resolve()], {}, set())
        face = f'@font-face{{font-family:"Last";src:url("{last}")}}'
        CSS(string=face, font_config=self._fonts, url_fetcher=confined)
        self._lent = lent
        self._sheets: dict[str, tuple[Any, set[str]]] = {}
        self._texts: dict[str, str] = {}
        self._pages: dict[str, Any] = {}
        self._styles = front_door.ElementStyles(self._fonts)
        self._images: dict[str, Any] = {}

    def write(
        self,
        body: str,
        css: Sequence[str],
        *,
        title: str,
        lang: str,
        when: date | None = None,
        pictures: Mapping[str, str] | None = None,
        page_box: PageBox | None = None,
        spoken: Sequence[str] = (),
        tidy: bool = False,
        standard: Standard = UA,
        tools: Sequence[Tools] = (),
    ) -> bytes:
        """The PDF of an HTML body with style sheets named relative to the templates folders.

        ``when`` is the document's date (see `stamp`); ``pictures`` are SVG texts that styles reach as
        ``url(picture:NAME)``: a background is decoration to a screen reader, where an ``<svg>`` is a figure.
        ``page_box`` is the size of its pages where no style sheet gives one; ``spoken`` the language of each
        ``<section>`` in turn, where a document holds several. ``tidy`` says that the shipped templates write the body
        as XML, with all that HTML would add; those of a shop's own are read as HTML in any case. ``standard`` is what the
        PDF follows, ``tools`` what it may draw on each page.

        Raises:
            BadEpoch: SOURCE_DATE_EPOCH is malformed.
            FaultyDocument: the document asks for a file outside the templates folders, or lacks what a screen reader
                needs.
        """
        from weasyprint import HTML

        other = self._with_lent("".join((body, *(pictures or {}).values(), *map(self._written, css))), lang)
        if other is not self:
            return other.write(
                body, css, title=title, lang=lang, when=when, pictures=pictures, page_box=page_box, spoken=spoken,
                tidy=tidy, standard=standard, tools=tools,
            )  # fmt: skip
        way = ""
        if direction(lang) == "rtl" and not spoken:  # pieces say it themselves, each in its own language
            body, way = printed(body, self._joined), ' dir="rtl"'
            pictures = {name: self._joined(svg) for name, svg in (pictures or {}).items()}
        created = stamp(when)
        dated = f'<meta name="dcterms.created" content="{created}"/>' if created else ""
        if standard.dated:
            moment = created if "T" in created else f"{created or _NO_DAY}T00:00:00Z"
            dated = "".join(f'<meta name="dcterms.{what}" content="{moment}"/>' for what in ("created", "modified"))
        document = (
            f'<!DOCTYPE html><html lang="{escape(lang)}"{way}><head><meta charset="utf-8"/>'
            f"<title>{escape(title)}</title>{dated}</head><body>{body}</body></html>"
        )
        drawings = StandIns(pictures or {})

        def finish(_: object, pdf: Any) -> None:
            if lost := drawings.finish(pdf):
                raise FaultyDocument(f"{lost} drawings did not find their place")
            if page_box:
                set_boxes(pdf, page_box)
            set_languages(pdf, [language if language != lang else "" for language in spoken])
            standard.finish(pdf, tools)

        fetcher = _fetcher(self._roots, pictures or {}, set())
        from_here = {"base_url": self._roots[-1].as_uri() + "/", "url_fetcher": fetcher}
        with _whole():
            sheets = [self._sheet(name) for name in css] + ([self._page(page_box)] if page_box else [])
            root = _read(document) if tidy and self._shipped and front_door.fits() else None
            if root is None:
                html, images = HTML(string=document, **from_here), None
            else:
                drawings.put_into(root, self._styles.name)
                sheets.append(self._styles.sheet())
                html, images = front_door.document(root, **from_here), self._kept_images()
            with standard.making():
                data: bytes = html.write_pdf(
                    stylesheets=sheets, font_config=self._fonts, finisher=finish, cache=images,
                    pdf_variant=standard.variant, **standard.options,
                )  # fmt: skip
        return data

    def _with_lent(self, shown: str, lang: str) -> "Engine":
        """The engine for what is shown: this one, unless the house's typefaces lack a sign of it.

        Fonts cannot be taken back from a configuration, so each set of signs has an engine of its own.
        """
        lent = assets.lent(shown, lang)
        if lent.missing:
            signs = " ".join(f"{sign} (U+{ord(sign):04X})" for sign in sorted(lent.missing))
            raise FaultyDocument(f"no typeface has {signs}: run 'passport fonts', which says what to do")
        return self if lent.pieces == self._lent else _lent_engine(self._roots, own(), lent.pieces)

    def _joined(self, svg: str) -> str:
        """A drawing with its words from right to left as outlines."""
        return joined(svg, assets.typefaces())

    def _written(self, name: str) -> str:
        """The text of a style sheet, which may add signs, without its comments; nothing where it has no unusual ones."""
        if name not in self._texts:
            path = next((path for path in (_within(root, name) for root in self._roots) if path.is_file()), None)
            text = re.sub(r"/\*.*?\*/", "", opening.read_text(path), flags=re.DOTALL) if path else ""
            self._texts[name] = "" if text.isascii() else text
        return self._texts[name]

    def _page(self, page_box: PageBox) -> Any:
        """The style sheet that says how large the pages are."""
        if page_box.css not in self._pages:
            from weasyprint import CSS

            self._pages[page_box.css] = CSS(string=page_box.css, font_config=self._fonts)
        return self._pages[page_box.css]

    def _kept_images(self) -> dict[str, Any]:
        """The images of stand-ins, which are the same in every document that has one of a number and size."""
        if len(self._images) > _MOST_IMAGES:
            self._images = {}
        return self._images

    def _sheet(self, name: str) -> Any:
        """A parsed style sheet, read at its first use; it counts as used each time, with all that it names."""
        if name not in self._sheets:
            from weasyprint import CSS

            used = {name}
            tried = [_within(root, name) for root in self._roots]
            path = next((path for path in tried if path.is_file()), tried[-1])
            if not self._sheets and self._lent:
                self._lend()
            fetcher = _fetcher(self._roots, {}, used)
            self._sheets[name] = (CSS(filename=path, font_config=self._fonts, url_fetcher=fetcher), used)
        # Noted each time, also when it was parsed long ago: each document must know all that it was made from.
        sheet, used = self._sheets[name]
        for each in used:
            note(each)
        return sheet

    def _lend(self) -> None:
        """Give the configuration what is lent."""
        from weasyprint import CSS
        from weasyprint.urls import URLFetcher, URLFetcherResponse

        class _Pieces(URLFetcher):  # type: ignore[misc]
            def fetch(inner, url: str, headers: object = None) -> Any:
                piece = self._lent[int(url.removeprefix(_LENT))]
                return URLFetcherResponse(url, cut(piece.face, piece.signs))

        # One face has one name: what is printed tells faces apart by name and weight. `alone.conf` says who stands beside whom.
        beside: Counter[HouseStyle] = Counter()
        rules = ""
        for i, piece in enumerate(self._lent):
            family = f"{piece.style.family} beside {beside[piece.style]}"
            beside[piece.style] += 1
            rules += f'@font-face{{font-family:"{family}";font-weight:{piece.style.weight};src:url("{_LENT}{i}")}}'
        CSS(string=rules, font_config=self._fonts, url_fetcher=_Pieces(fail_on_errors=True))


def _read(document: str) -> Element | None:
    """The elements of a document that is XML; None where it is not."""
    try:
        return fromstring(document)
    except ParseError:
        return None


def engine(root: Path | None = None) -> Engine:
    """This process's engine for a templates folder; by default for the shop's own files above the shipped ones.

    Raises:
        NoPango: the libraries are missing.
    """
    if root:
        return _engine((root,), Own())
    inside = own()
    own_ones = [inside.content / name for name in ("templates", *BESIDE)] if inside.content else []
    look = look_folder()
    return _engine((*own_ones, *([look] if look else []), templates()), inside)


@lru_cache(maxsize=4)
def _engine(roots: tuple[Path, ...], _: Own) -> Engine:
    return Engine(*roots)


@lru_cache(maxsize=8)
def _lent_engine(roots: tuple[Path, ...], _: Own, lent: tuple[LentSigns, ...]) -> Engine:
    return Engine(*roots, lent=lent)


def _release() -> None:
    """Let go of the engine and of the documents that still refer to it in cycles."""
    _engine.cache_clear()
    _lent_engine.cache_clear()
    gc.collect()


class _Errors(logging.Handler):
    """Remembers what WeasyPrint reports as errors; it carries on after them."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.texts: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.texts.append(record.getMessage())


@contextlib.contextmanager
def _whole() -> Iterator[None]:
    """Raise FaultyDocument when WeasyPrint reports an error inside the block."""
    from weasyprint.urls import FatalURLFetchingError

    logger, errors = logging.getLogger("weasyprint"), _Errors()
    # WeasyPrint reports a missing font or picture as a log entry and goes on; a card without it must not be printed.
    logger.addHandler(errors)
    try:
        yield
    except FatalURLFetchingError as error:
        raise FaultyDocument(f"{error}: {error.__cause__}") from error
    finally:
        logger.removeHandler(errors)
    if errors.texts:
        raise FaultyDocument("; ".join(errors.texts))


def _fetcher(roots: Sequence[Path], pictures: Mapping[str, str], used: set[str]) -> Any:
    """What WeasyPrint may read: files below the ``roots`` and the pictures given with the document, nothing else.

    The names of the files, relative to their root, go into ``used``.
    """
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class _Confined(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: object = None) -> Any:
            if stand_in := fetched(url):
                return stand_in
            if url.startswith(SCHEME):
                svg = pictures.get(unquote(url[len(SCHEME) :]))
                if svg is None:
                    raise FileNotFoundError(url)
                return URLFetcherResponse(url, svg.encode(), {"Content-Type": "image/svg+xml"})
            path, root = _confined(roots, url)
            used.add((root.name + "/" if root.name in BESIDE else "") + path.relative_to(root).as_posix())
            return URLFetcherResponse(url, opening.read(path, inside=root))

    return _Confined(fail_on_errors=True)


def _within(root: Path, name: str) -> Path:
    """Where a name is below a root; a root may be one of the folders that the name begins with."""
    return root.parent / name if root.name in BESIDE and name.startswith(root.name + "/") else root / name


def _confined(roots: Sequence[Path], url: str) -> tuple[Path, Path]:
    """The file that a URL names, with the root that it is below; PermissionError for anything else."""
    parts = urlsplit(url)
    if parts.scheme == "file" and not parts.netloc:
        path = Path(url2pathname(parts.path)).resolve()
        for root in roots:
            if path.is_relative_to(root):
                return path, root
    message = f"A printed document may only use files of the templates folders, not {url}"
    raise PermissionError(message)
