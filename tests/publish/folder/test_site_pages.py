"""What a site shows at its addresses."""

from passport.publish.folder.foreign import MARK
from passport.publish.folder.site_pages import site_pages
from passport.records.ledger.repair import Page


def test_what_a_site_shows(tmp_path):
    """Only a site of this program is read; a page tells what it is of by its files, its kind and its heading."""
    key, player, closed = "A" * 26, "B" * 26, "C" * 26
    pages = {key: "<h1>Main</h1>", player: '<body class="player"><h1>Ada</h1>', closed: "<h1>Closed</h1>"}
    for name, text in pages.items():
        (tmp_path / name).mkdir()
        (tmp_path / name / "index.html").write_text(text)
    (tmp_path / key / "setup-1042-9.json").write_text("{}")
    (tmp_path / "care").mkdir()
    assert site_pages(tmp_path, b"") == ()
    (tmp_path / MARK).write_text("")
    assert site_pages(tmp_path, b"<p>x</p><h1> Closed </h1>") == (
        Page(key, "1042-9"),
        Page(player, player=True),
        Page(closed, closed=True),
    )
