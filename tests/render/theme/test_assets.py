"""Where templates and fonts are found."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from passport.records.schema.workshop import READY
from passport.render.drawing.ornament import band_paths, rosette_paths
from passport.render.theme import assets
from passport.render.theme.look import readable


@pytest.fixture
def fresh():
    """Nothing remembered from before, nor afterwards."""
    assets.shipped.cache_clear()
    yield
    assets.shipped.cache_clear()


def test_templates_fonts_and_demo_are_found():
    """Pages, styles, the card's template, fonts and the demo belong to every installation."""
    folder = assets.templates()
    for name in ("pages/base.html.j2", "style/pages.css", "assets/age.js"):
        assert (folder / name).is_file(), name
    assert list(assets.fonts().glob("*.woff2"))
    assert list(assets.fonts().glob("*.ttf"))
    assert (assets.shipped("content_demo") / "workshop.yaml").is_file()


def test_what_the_package_carries_stands_above_the_checkout(fresh, tmp_path, monkeypatch):
    """An installed package uses the templates inside it, a checkout those beside it."""
    package = tmp_path / "site-packages/passport"
    beside = package.parent / "templates"
    beside.mkdir(parents=True)
    monkeypatch.setattr(assets, "_PACKAGE", package)
    assert assets.templates() == beside
    assets.shipped.cache_clear()
    inside = package / "shipped/templates"
    inside.mkdir(parents=True)
    assert assets.templates() == inside


def test_a_damaged_installation_says_so(fresh, tmp_path, monkeypatch):
    """Where the templates are gone the error says what to do."""
    monkeypatch.setattr(assets, "_PACKAGE", tmp_path / "passport")
    with pytest.raises(FileNotFoundError, match="install racquet-passport anew"):
        assets.templates()


def test_licences_are_shipped_with_the_fonts():
    """Each shipped typeface comes with its licence, and no licence without its typeface."""
    for folder in (assets.fonts(), *assets.templates().glob("looks/*/fonts")):
        families = {family(path) for path in folder.glob("*.ttf")}
        licences = {path.stem.partition("-")[2] for path in folder.glob("OFL-*.txt")}
        assert families and all(any(family.startswith(name) for name in licences) for family in families), families
        assert all(any(family.startswith(name) for family in families) for name in licences), licences


def family(path: Path) -> str:
    """What a typeface calls itself, without spaces."""
    with TTFont(path, lazy=True) as font:
        names = font["name"]
        return str(names.getDebugName(16) or names.getDebugName(1)).replace(" ", "")


def test_the_styles_load_nothing_from_elsewhere():
    """No style sheet of the pages imports anything or names an address outside the site."""
    for path in Path(assets.templates() / "style").glob("*.css"):
        text = path.read_text(encoding="utf-8")
        assert "@import" not in text
        assert "//" not in text.replace("/*", "").replace("*/", ""), path.name


@pytest.fixture
def content(tmp_path):
    """A content folder with a template, a style, words and a font of its own."""
    for name in ("templates/pages/reach.html.j2", "templates/assets/share.png", "style/extra.css", "messages/it.po",
                 "fonts/mill.woff2", "style/pages.css", "pages/home.md"):  # fmt: skip
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"own {name}", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("name", "own"),
    [
        ("pages/reach.html.j2", "templates/pages/reach.html.j2"),
        ("assets/share.png", "templates/assets/share.png"),
        ("style/pages.css", "style/pages.css"),
        ("messages/it.po", "messages/it.po"),
        ("fonts/mill.woff2", "fonts/mill.woff2"),
    ],
)
def test_the_shops_own_file_stands_above_the_shipped_one(content, name, own):
    """What stands in the content folder is found first, whether or not there is a shipped file of that name."""
    with assets.using(content):
        assert assets.find(name) == content / own
        assert len(assets.sources(name)) == 1 + (assets.templates() / name).is_file()
    assert content not in assets.sources(name)


def test_only_set_folders_of_the_content_are_looked_into(content):
    """Records and pages of text are no templates, whatever they are called."""
    with assets.using(content):
        assert assets.sources("pages/home.md") == ()
        assert assets.sources("pages/home.html.j2") == (assets.templates() / "pages/home.html.j2",)
        with pytest.raises(FileNotFoundError, match="no 'pages/nothing'"):
            assets.find("pages/nothing")


def test_the_marks_tell_that_a_file_changed(content):
    """Whatever is kept by the shop's own files is made anew when one of them changes, and only then."""
    with assets.using(content):
        first = assets.own()
        assets.use(content)
        assert assets.own() == first
        (content / "style/extra.css").write_text("a longer text than before", encoding="utf-8")
        assets.use(content)
        assert assets.own() != first


def test_using_ends_with_its_block(content):
    """After the block the folder from before is in use again, also after an error."""
    before = assets.folders()
    with pytest.raises(ValueError, match="stop"), assets.using(content):
        assert assets.folders()[0] == content / "templates"
        raise ValueError("stop")
    assert assets.folders() == before


def test_a_ready_look_stands_between_the_shops_files_and_the_shipped_ones(tmp_path):
    """What workshop.yaml names, in short or not, is in use with the folder; the shop's own file stands above it, the usual
    one below; a name that is unknown, or a file that cannot be read, leaves the usual look."""
    shop = tmp_path / "workshop.yaml"
    for text, ready in (
        ("look: gauge\n", "gauge"), ("look: {ready: gauge, accent: '#0d5566'}\n", "gauge"), ("look: weave\n", ""),
        ("look: gauges\n", ""), ("name: gauge\n", ""), ("look: [gauge\n", ""), ("look: {accent: gauge}\n", ""),
    ):  # fmt: skip
        shop.write_text(text, encoding="utf-8")
        with assets.using(tmp_path):
            assert assets.own().ready == ready, text
    shop.write_text("look: gauge\n", encoding="utf-8")
    with assets.using(tmp_path):
        assert assets.find("style/look.css").is_relative_to(assets.templates() / "looks" / "gauge")
        assert assets.find("style/pages.css") == assets.templates() / "style" / "pages.css"
        assert assets.typeface("text-400.ttf").is_relative_to(assets.templates() / "looks" / "gauge")
        assert assets.typeface("fira-c-400.ttf") == assets.fonts() / "fira-c-400.ttf"
        assert assets.with_look("style/fonts-print.css", "card/card.css")[-1] == "card/look.css"
        own = tmp_path / "style" / "look.css"
        own.parent.mkdir()
        own.write_text("p { color: #123 }", encoding="utf-8")
        assert assets.sources("style/look.css")[0] == own
    with assets.using(None):
        assert assets.sources("style/look.css") == ()


def test_every_ready_look_has_its_files():
    """Each has its style sheets, an ornament of its own, and colours that can be read."""
    for name in assets.LOOKS:
        for file in (
            "style/look.css",
            "style/fonts-print.css",
            "card/look.css",
            "bench/look.css",
            "fonts/display-600.woff2",
        ):
            assert (assets.templates() / "looks" / name / file).is_file(), (name, file)
        for colour, token in zip(READY[name], ("petrol", "plum"), strict=True):
            assert readable(colour, token) == colour, name
        with assets.using(None, name):
            made = {rosette_paths("1042-9")[0], band_paths("1042-9")[0]}
        assert not made & {rosette_paths("1042-9")[0], band_paths("1042-9")[0]}
