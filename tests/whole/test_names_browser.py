"""Names in other scripts in a real browser: set in the typefaces that their page holds, open and sealed."""

import pytest
import smallshop
from browsing import opened, served
from building import built
from manynames import add

from passport.render.theme import assets

pytestmark = pytest.mark.browser

SECRET = "7K2M9QX4C8VTRN5B3WJH6YDPZ1GSFA0E"
PLAYER, MAIN = "players/ada/player.yaml", "players/ada/main.yaml"
NAME = "ليلى Ελένη 王伟明"
LENT = "[...document.fonts].filter(f => f.status == 'loaded' && /U\\+(3B|644|738B)/.test(f.unicodeRange)).length"


@pytest.mark.parametrize("sealed", [False, True])
def test_a_page_shows_names_in_its_own_typefaces(browser, tmp_path, monkeypatch, sealed):
    """Every script's typeface is loaded from the page itself and nothing is refused by its policy, nor asked for elsewhere."""
    more = f"sealed: yes\nsecret: {SECRET}\n" if sealed else ""
    lines = smallshop.FILES[PLAYER].splitlines(keepends=True)
    changes = {
        PLAYER: "".join(f"name: {NAME}\n" if line.startswith("name:") else line for line in lines),
        MAIN: smallshop.FILES[MAIN] + more,
    }
    content = smallshop.write(tmp_path / "content", changes)
    add(content, monkeypatch)
    built(content, tmp_path / "site", cards=False)
    assets.use(None)
    key = smallshop.KEYS["main"]
    page_text = (tmp_path / "site" / key / "index.html").read_text(encoding="utf-8")
    assert ("U+644" in page_text) is not sealed, "a sealed page does not tell which signs a name has"
    way = f"/{key}/" + (f"#{SECRET}" if sealed else "")
    with served(tmp_path / "site") as home, opened(browser, home + way) as page:
        page.wait_for_selector(".ticket-number")
        assert NAME in page.locator("body").inner_text().replace("\u2068", "").replace("\u2069", "")
        page.wait_for_function(f"{LENT} >= 3")
