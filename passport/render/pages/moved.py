"""The page that an old address shows: where the passport is now. It needs nothing of the site, which is elsewhere."""

from passport.render.theme import assets
from passport.render.theme.formats import Formats
from passport.render.theme.templating import environment


def moved_page(there: str, language: str, root: str) -> bytes:
    """The page in a language; ``there`` is the new address, ``root`` leads from the page to the old site's top."""
    f = Formats(language)
    title = f.words.gettext("This address has moved")
    page = environment(assets.folders()).get_template("hosting/moved.html.j2")
    return page.render(f=f, lang=f.words.language, title=title, there=there, root=root).encode()


def moved_script() -> bytes:
    """The script of those pages, which takes along what stands behind the ``#``."""
    return assets.data(assets.find("hosting/moved.js"))
