"""The page of a closed address."""

from collections.abc import Callable

from passport.records.load import Content
from passport.workshop.gathering.gather import Gatherer, public


def closed_page(records: Content) -> Callable[[], bytes]:
    """What makes the page of a closed address, when it is wanted."""

    def page() -> bytes:
        from passport.render.pages.pages import Pages
        from passport.render.theme import assets  # drawing and charts come with the pages

        with assets.using(records.root):
            return Pages(Gatherer(public(records)).shop, (), assets.folders()).closed()

    return page
