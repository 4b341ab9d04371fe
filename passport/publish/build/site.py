"""The whole public site from facts in hand: every task done here, one after the other, and all files written."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from passport.publish.cache import toolchain
from passport.publish.folder.swap import replacing
from passport.publish.outputs.tasks import Card, SiteContext, Task, frame_tasks, made, player_task, shop_tasks
from passport.render.theme.files import File
from passport.workshop.facts.facts import SiteFacts

Progress = Callable[[str, int, int], None]
"""Told what is being made, how many things are done, and of how many."""


@dataclass(frozen=True, slots=True)
class Built:
    """What a build made: counts and bytes."""

    frames: int
    players: int
    cards: int
    files: int
    size: int


def build(
    site: SiteFacts,
    target: Path,
    *,
    card: Card | None,
    index: str,
    progress: Progress,
    closed: Sequence[str] = (),
) -> Built:
    """Write the site to ``target`` in place of the old one.

    ``card`` makes a frame's PDF card, or is None where cards cannot be made; ``index`` is appended to links to folders;
    ``closed`` are keys whose addresses say no more than that they are closed.
    Raises `passport.publish.folder.swap.NotOurs` for a foreign folder, and OSError; then ``target`` is untouched.
    """
    shop = SiteContext(site.shop, site.pages, index, cards=card is not None)
    steps = [(said, list(group)) for said, group in groupby(site_tasks(site, shop, closed), key=lambda task: task.said)]
    count = size = cards = 0
    with replacing(target) as folder:
        for done, (said, tasks) in enumerate(steps):
            progress(said, done, len(steps))
            for task in tasks:
                file = made(task, card)
                write(folder, file)
                count, size, cards = count + 1, size + len(file.data), cards + (task.kind == "card")
        progress("", len(steps), len(steps))
    return Built(len(site.frames), len(site.players), cards, count, size)


def site_tasks(site: SiteFacts, shop: SiteContext, closed: Sequence[str] = ()) -> Iterator[Task]:
    """Everything that the site is made of."""
    yield from shop_tasks(shop, closed, sorted(toolchain.templates()))
    for player in site.players:
        yield player_task(player, shop)
    for frame in site.frames:
        yield from frame_tasks(frame, shop)


def write(folder: Path, file: File) -> None:
    """Write one file of the site below a folder. Raises OSError."""
    path = folder / file.path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(file.data)
