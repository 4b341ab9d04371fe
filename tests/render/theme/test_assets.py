"""Where templates and fonts are found."""

from pathlib import Path

import pytest

from passport.render.theme import assets


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
    """Each shipped typeface comes with its licence."""
    families = {path.name.partition("-")[0] for path in assets.fonts().glob("*.ttf")}
    licences = {path.stem.partition("-")[2].lower() for path in assets.fonts().glob("OFL-*.txt")}
    assert families == licences


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
