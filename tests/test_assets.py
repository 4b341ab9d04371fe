"""Where templates and fonts are found."""

from pathlib import Path

import pytest

from passport.render import assets


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
