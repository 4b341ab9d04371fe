"""A player takes the whole history along: a folder that opens as pages without any program, and that another workshop's
``adopt`` reads. Nothing private is in it."""

import html
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from passport.acts.clock import today
from passport.acts.refused import Refused, writing
from passport.publish.cache import toolchain
from passport.publish.outputs.tasks import File, SiteContext, Task, frame_tasks, made, player_tasks, shop_tasks
from passport.records.disk import walking
from passport.records.exchange.history import FILE, history_json
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.render.print.pdf import NoPango
from passport.workshop.gathering.gather import gatherer_of

START = "index.html"
_SHARED = ("style", "other-style", "logo", "asset")


def exported(content: Content, player: str, folder: Path) -> int:
    """Write a player's folder; how many files it has. Raises Refused where there is nothing to take along, or something
    is in the way."""
    frames = [entry for entry in content.frames_of(player) if entry.record.number]
    if not frames:
        raise Refused(
            worded("'{player}' has no frame with a number yet, so there is nothing to take along.", player=player)
        )
    if folder.exists() and (not folder.is_dir() or any(walking.listed(folder))):
        raise Refused(worded("'{folder}' is there already: name a new folder with --out.", folder=folder))
    files = [File(FILE, history_json(content, player, today().isoformat())), *_pages(content, player)]
    with writing(f"'{folder}'"):
        for file in files:
            path = folder / file.path
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(file.data)
    return len(files)


def _pages(content: Content, player: str) -> Iterator[File]:
    """The player's page and those of the frames as the site has them, all of them open, and what they need."""
    gatherer = gatherer_of(_unsealed(content, player))
    site = gatherer.site()
    found = next((each for each in site.players if each.key == content.players[player].record.key), None)
    if found is None:
        raise Refused(worded("'{player}' has no page yet, so there is nothing to take along.", player=player))
    shop = SiteContext(site.shop, (), START)
    names, spoken = sorted(toolchain.templates()), (site.shop.language, found.language)
    tasks = [task for task in shop_tasks(shop, (), names, spoken) if task.kind in _SHARED]
    tasks += player_tasks(found, shop)
    for frame in site.frames:
        if frame.player_key == found.key:
            tasks += frame_tasks(frame, shop)
    for task in tasks:
        yield from _file(task)
    yield File(START, _first_page(found.name, f"{found.key}/{START}").encode())


def _file(task: Task) -> Iterator[File]:
    with suppress(NoPango):  # no card, then
        yield made(task)


def _unsealed(content: Content, player: str) -> Content:
    """The same content with that player's pages open: who takes them along may read them."""
    own = {entry.name for entry in content.frames_of(player)}

    def opened(entry: Entry[Frame]) -> Entry[Frame]:
        if entry.name not in own:
            return entry
        return replace(entry, record=entry.record.model_copy(update={"sealed": False, "secret": ""}))

    return replace(content, frames={name: opened(entry) for name, entry in content.frames.items()})


def _first_page(name: str, target: str) -> str:
    """The page that a person opens first: it leads to the player's."""
    shown = html.escape(name)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{shown}</title>'
        f'<meta http-equiv="refresh" content="0; url={target}"></head>'
        f'<body><p><a href="{target}">{shown}</a></p></body></html>\n'
    )
