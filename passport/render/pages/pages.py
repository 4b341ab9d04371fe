"""HTML pages from facts, through the templates in ``templates/pages``."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import lru_cache, partial
from pathlib import Path
from typing import Any
from urllib.parse import quote

from markupsafe import Markup

from passport.render.charts import figures
from passport.render.charts.figures import Later
from passport.render.drawing.freshbar import fresh_bar
from passport.render.drawing.ornament import band, rosette
from passport.render.faces.direction import ordered
from passport.render.pages.data import setup_line
from passport.render.pages.depths import freshest_first, lately, visits
from passport.render.pages.lending import with_lent
from passport.render.pages.photos import shown_size
from passport.render.pages.restring_request import dialled, felt_message, restring_request
from passport.render.pages.tongues import PageSpot, Tongue, spot, told_in
from passport.render.theme import assets, bed_words
from passport.render.theme.formats import Formats, formats_of, raised, shown_language
from passport.render.theme.look import own_logo, palettes
from passport.render.theme.palette import CSS_PAINT
from passport.render.theme.prose import Prose, prose
from passport.render.theme.templating import Environment, speak
from passport.render.theme.templating import environment as environment_of
from passport.render.theme.wording import place
from passport.render.theme.words import SOURCE, attributes
from passport.workshop.facts.facts import HOME, LEGAL, FrameFacts, PageFacts, PlayerFacts, ShopFacts
from passport.workshop.facts.standing import standing


@lru_cache(maxsize=8)
def _environment(folders: tuple[Path, ...], own: assets.Own) -> Environment:
    environment = environment_of(folders)
    environment.filters["place"] = place
    environment.filters.update(bed_words.FILTERS)
    environment.filters["tel"] = dialled
    return environment


def get_ready() -> None:
    """Have the templates of frames and players parsed before the first page."""
    names = ("base", "words", "fresh", "acts", "life", "lately", "bench", "reach", "frame", "player")
    _environment(assets.folders(), assets.own()).compile_all(*(f"pages/{name}.html.j2" for name in names))


class Pages:
    """Renders every kind of page of one shop; the templates are parsed once."""

    def __init__(
        self, shop: ShopFacts, pages: tuple[PageFacts, ...], folders: tuple[Path, ...], index: str = ""
    ) -> None:
        """``folders`` are searched in turn for a template; ``index`` is appended to links to folders (``index.html``
        for a site that is opened from disk)."""
        self.shop, self.index = shop, index
        self.prose = {p.slug: prose(p.text, p.slug.replace("-", " ").capitalize()) for p in pages}
        self._folders = folders

    @property
    def _environment(self) -> Environment:
        return _environment(self._folders, assets.own())

    def frame(self, frame: FrameFacts, files: Mapping[str, str], *, too: bool = False) -> bytes:
        """The page of one frame; ``files`` names its downloads: ``card``, ``reminder``, ``setup``. ``too`` is the page in
        the workshop's language, which stands in a folder of its own beside them; of a sealed one there is none."""
        if frame.status in ("lost", "retired") or frame.successor:
            return self.notice(frame, too=too)
        at = spot(frame.language, self.shop, too=too, alone=frame.sealed)
        frame = replace(frame, language=self.shop.language) if too else frame
        f = formats_of(frame)
        return self._render(
            "frame",
            frame.language,
            at,
            seed=frame.number,
            private=True,
            units=f.units,
            frame=frame,
            files={"card": "", "reminder": "", **{name: at.up + file for name, file in files.items()}},
            setup=setup_line(frame, self.shop.name),
            charts={name: Later(draw) for name, draw in figures.frame_figures(frame, f).items()},
            pieces=figures.numbered(frame),
            standing=standing(frame),
            bar=_bar(frame),
            asked=restring_request(frame, self.shop),
            lately=lately(frame),
            asked_felt=felt_message(frame, self.shop),
            years=visits(frame.jobs),
            photo_size=shown_size(frame.photo.width, frame.photo.height) if frame.photo else None,
            materials={p.material for p in frame.parts},
            pages=self._notes(frame.language),
        )

    def sealed(self, key: str, box: str) -> bytes:
        """The page of a sealed frame: it tells nothing, and opens ``box``, the sealed page in base64, with the secret."""
        return self._render("sealed", self.shop.language, PageSpot("../"), seed="", private=True, key=key, box=box)

    def notice(self, frame: FrameFacts, *, too: bool = False) -> bytes:
        """The page of a frame that is lost, retired or replaced: it says that and no more."""
        successor = frame.successor if frame.status == "broken" else None
        at = spot(frame.language, self.shop, too=too, alone=frame.sealed)
        language = self.shop.language if too else frame.language
        return self._render("notice", language, at, seed="", private=True, status=frame.status, successor=successor)

    def closed(self) -> bytes:
        """The page of an address that was closed for good: it names nobody and nothing."""
        return self._render(
            "notice", self.shop.language, PageSpot("../"), seed="", private=True, status="closed", successor=None
        )

    def player(self, player: PlayerFacts, *, too: bool = False) -> bytes:
        """The page of one player with all frames side by side; ``too``: in the workshop's language."""
        at = spot(player.language, self.shop, too=too)
        player = replace(player, language=self.shop.language) if too else player
        f = formats_of(player)
        groups = [
            {
                "name": g.name,
                "matched": g.matched,
                "frames": g.frames,
                "bag": [(frame, standing(frame), _bar(frame)) for frame in freshest_first(g.frames)],
                "equality": g.equality,
                "batches": g.batches,
                "chart": Later(partial(figures.equality_figure, g, f, f"{player.key}-{i}")),
            }
            for i, g in enumerate(player.groups)
        ]
        told = {"player": player, "groups": groups}
        return self._render("player", player.language, at, seed=player.key, private=True, units=f.units, **told)

    def home(self, slug: str = "") -> bytes:
        """The workshop's home page; with the name of its text in another language, that one."""
        language = told_in(slug, self.shop.language)[1]
        at = PageSpot("../../" if slug else "", tongues=self._tongues(HOME, language, "../" if slug else "care/"))
        return self._render(
            "home",
            language,
            at,
            seed=self.shop.name,
            private=False,
            about=self._about(language),
            pages=self._notes(language),
            rosette=Markup(rosette(self.shop.name, paint=CSS_PAINT, stroke="weave", line=4)),
            emblem=Markup(figures.emblem(Formats(language))),
        )

    def care(self, slug: str) -> bytes:
        """One page of care notes."""
        name, language = told_in(slug, self.shop.language)
        if name == HOME:
            return self.home(slug)
        legal = name in LEGAL
        others = [note for note in self._notes(language) if note["name"] != name and not legal]
        page = {**self._texts()[slug], "lang": attributes(language, shown_language(language)), "legal": legal}
        at = PageSpot("../../", tongues=self._tongues(name, language, "../"))
        return self._render("care", language, at, seed=name, private=False, page=page, others=others)

    def missing(self, root: str) -> bytes:
        """The page for addresses that lead nowhere; ``root`` is the site's own absolute path."""
        return self._render(
            "missing", self.shop.language, PageSpot(root), seed="", private=True, pages=self._notes(self.shop.language)
        )

    def keep(self, language: str) -> bytes:
        """The page that keeps a passport in a browser and shares its strings; which one stands in its address alone."""
        return self._render("keep", language, PageSpot("../../"), seed="", private=True)

    def care_slugs(self) -> list[str]:
        """The care notes and legal pages in all their languages, in the order of their files."""
        return [slug for slug in self.prose if slug.partition(".")[0] != HOME]

    def _about(self, language: str) -> dict[str, Any] | None:
        """The home page's own text, in the nearest language that it stands in."""
        told = self._of_name(HOME)
        found = self._nearest(told, language)
        return (
            None
            if found is None
            else {**self._texts()[told[found]], "lang": attributes(found, shown_language(language))}
        )

    def _nearest(self, told: Collection[str], wanted: str) -> str | None:
        """Of the languages that a text stands in the reader's own, else the workshop's, else English, else any."""
        first = wanted.partition(":")[0]
        for tongue in map(_tongue, (wanted, self.shop.language, SOURCE)):
            if of_it := sorted((one for one in told if _tongue(one) == tongue), key=lambda one: (one != first, one)):
                return of_it[0]
        return min(told, default=None)

    def _of_name(self, wanted: str) -> dict[str, str]:
        """The pages of text of a name, by the language that they stand in."""
        told = {slug: told_in(slug, self.shop.language) for slug in self.prose}
        return {language: slug for slug, (name, language) in told.items() if name == wanted}

    def _tongues(self, name: str, language: str, to: str) -> tuple[Tongue, ...]:
        """The same page of text in other languages; ``to`` leads to the folder of all of them."""
        own, found = shown_language(self.shop.language), dict[str, Tongue]()
        for other, slug in self._of_name(name).items():
            shown = shown_language(other)
            home = name == HOME and shown == own
            found[shown] = Tongue(f"{to}../" if home else f"{to}{quote(slug)}/", shown)
        if name == HOME and own not in found:  # the home page stands in the workshop's language with or without a text
            found[own] = Tongue(f"{to}../", own)
        return tuple(tongue for shown, tongue in sorted(found.items()) if shown != shown_language(language))

    def _home(self, language: str, root: str) -> str:
        """The way to the home page in a language, else to the workshop's own."""
        if language != shown_language(self.shop.language):
            for told, slug in self._of_name(HOME).items():
                if shown_language(told) == language:
                    return f"{root}care/{quote(slug)}/"
        return root or "./"

    def _notes(self, language: str, *, legal: bool = False) -> list[dict[str, Any]]:
        """Each care note, or each legal page, once, in the nearest language that it stands in."""
        found: dict[str, dict[str, str]] = {}
        for slug in self.care_slugs():
            name, tongue = told_in(slug, self.shop.language)
            if (name in LEGAL) == legal:
                found.setdefault(name, {})[tongue] = slug
        texts, notes, shown = self._texts(), [], shown_language(language)
        for name, slugs in found.items():
            nearest = self._nearest(slugs, language) or ""
            slug = slugs[nearest]
            notes.append({"name": name, "slug": quote(slug), "lang": attributes(nearest, shown), **texts[slug]})
        return notes

    def _theirs(self, language: str) -> str:
        """The attribute of an element whose words are the workshop's own, on a page in another language."""
        return attributes(self.shop.language or language, language)

    def _texts(self) -> dict[str, dict[str, Any]]:
        return {slug: _shown(text) for slug, text in self.prose.items()}

    def _render(
        self, name: str, language: str, at: PageSpot, *, seed: str, private: bool, units: str = "", **facts: Any
    ) -> bytes:
        light, dark = palettes(self.shop.accent, self.shop.second)
        template, f = self._environment.get_template(f"pages/{name}.html.j2"), Formats(language, units)
        speak(f.words)
        text = template.render(
            f=f,
            lang=f.words.language,
            root=at.root,
            up=at.up,
            there=at.there,
            tongues=at.tongues,
            home=self._home(f.words.language, at.root),
            index=self.index,
            private=private,
            shop=self.shop,
            legal=self._notes(language, legal=True),
            logo=own_logo(self.shop),
            theirs=self._theirs(f.words.language),
            theme_light=light.petrol,
            theme_dark=dark.band,
            ornament=Later(partial(band, seed or self.shop.name, paint=CSS_PAINT, sparse=True)),
            **facts,
        )
        text = raised(text)
        if f.direction == "rtl":
            text = ordered(text, inside=True)
        return with_lent(text, f.words.language, at.root).encode()


def _bar(frame: FrameFacts) -> Later | str:
    """The bar from the day that a frame was strung to the day that it is due; empty where there is no such day."""
    if not frame.stringing or not frame.restring:
        return ""
    return Later(partial(fresh_bar, frame.stringing.date, frame.restring.day, frame.restring.soon))


def _tongue(language: str) -> str:
    """The first of some languages, without its region."""
    return language.partition(":")[0].partition("-")[0].lower()


def _shown(text: Prose) -> dict[str, Any]:
    return {"title": text.title, "summary": text.summary, "body": Markup(text.body)}
