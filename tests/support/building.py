"""The site made by the builder that the commands use, with nobody to speak to: for tests that look at what it made."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from smallshop import TODAY

from passport.acts.site import Means, up_to_date_site
from passport.publish.build import changes, reading
from passport.publish.build.run import Progress
from passport.publish.cache import player_state
from passport.publish.cache.up_to_date import BuildOrder, Report
from passport.records.load import Content
from passport.render.print import pdf
from passport.render.theme import assets


class Silent:
    """Hears what a build says and how far it is, and keeps it."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.said: list[str] = []
        self.steps: list[tuple[str, float, float]] = []

    def say(self, words: str) -> None:
        """Keep it."""
        self.said.append(words)

    def warn(self, words: str) -> None:
        """Keep it, unless it is empty."""
        self.said += [words] if words else []

    @contextmanager
    def progress(self) -> Iterator[Progress]:
        """Keep each step."""
        yield lambda *step: self.steps.append(step)


def built(
    content: Path, out: Path, *, cards: bool = False, from_disk: bool = False, telling: Silent | None = None
) -> Report:
    """Build the site of a content folder from nothing, as of `TODAY`, in this process. Raises what the act raises.

    The test is skipped where it wants cards and none can be made.
    """
    if cards and (missing := pdf.available()):
        pytest.skip(missing.splitlines()[0])
    order = BuildOrder(content, out, TODAY, cards, "index.html" if from_disk else "")
    with TemporaryDirectory() as cache, assets.using(content):
        return up_to_date_site(order, Means(Path(cache), jobs=1), telling or Silent())


def built_of(content: Content, out: Path, *, cards: bool = False) -> Report:
    """Build the site of records in hand: the builder is given them wherever it reads those of the folder they are from."""

    def load(root: Path, only: tuple[str, ...] | None = None) -> tuple[Content, list[object]]:
        assert root == content.root
        chosen = {name: entry for name, entry in content.players.items() if only is None or name in only}
        frames = {name: entry for name, entry in content.frames.items() if name.partition("/")[0] in chosen}
        return replace(content, players=chosen, frames=frames), []

    with pytest.MonkeyPatch.context() as patch:
        for reader in (player_state, changes, reading):
            patch.setattr(reader, "load", load)
        return built(content.root, out, cards=cards)
