"""What is not as it was at the last build: the players whose records, or what they are read with, changed."""

from passport.publish.build.run import FaultyRecords, RecordsLook
from passport.publish.cache import player_state, toolchain
from passport.publish.cache.build_state import SHOP, PlayerState
from passport.publish.folder.digest import digest
from passport.publish.folder.listing import Mark, unsure
from passport.records import checks
from passport.records.folders import blocked
from passport.records.language.worded import spoken
from passport.records.load import load
from passport.render import look_checks
from passport.render.theme import assets
from passport.render.theme.words import languages


class Shared:
    """What all players share, as it is now, and whose files are whose."""

    def __init__(self, run: RecordsLook) -> None:
        """Look at it. Raises FaultyRecords where there is no workshop."""
        self.run, self.marks, self.unsure = run, run.seen.content, unsure(run.seen.content)
        root = self.run.order.content
        assets.use(root)
        self.common, faults = load(root, ())
        if self.common.workshop is None or blocked(faults):
            raise FaultyRecords
        self.faults = [*faults, *checks.run(self.common, self.run.order.today), *look_checks.run(self.common)]
        # A typeface that was added or taken away may put a player's records right or wrong; a language that pages can
        # be shown in may give a player's pages a second one, or take it. What is remembered of faults is in words, so
        # it holds in the language alone that they were said in.
        faces = repr(sorted(assets.typefaces().added))
        self.base = digest(
            *(toolchain.program(), toolchain.libraries(), repr(self.common.workshop.record), faces, spoken()),
            *languages(),
        )
        self.catalogue = player_state.catalogue(self.common)
        self.players: dict[str, dict[str, Mark]] = {}
        for path, mark in self.marks.items():
            top, _, rest = path.partition("/")
            name, slash, file = rest.partition("/")
            if top == player_state.PLAYERS and slash:
                own = self.players.setdefault(name, {})
                if file and not file.endswith("/"):
                    own[path] = mark

    def gone(self) -> list[str]:
        """The players of the last build who are not there any more."""
        return [name for name in self.run.states if name != SHOP and name not in self.players]

    def dirty(self) -> list[str]:
        """The players whose records, or what they are read with, are not as they were."""
        return [name for name in sorted(self.players) if not self._clean(name)]

    def _clean(self, name: str) -> bool:
        state, own = self.run.states.get(name), self.players[name]
        if state is None or state.base != self.base or not state.survey:
            return False
        if any(self.catalogue.get(used, "") != print_ for used, print_ in state.uses.items()):
            return False
        latest = state.survey["latest"]
        # A day in the future is an error until it comes; only a new look can tell that it has come.
        if latest and latest > self.run.order.today.isoformat():
            return False
        beside = {path for path in state.files if path not in own}
        if own.keys() | beside != state.files.keys() or any(path.startswith(player_state.PLAYERS) for path in beside):
            return False
        return all(self._same_file(state, path) for path in state.files)

    def _same_file(self, state: PlayerState, path: str) -> bool:
        """Whether a file is as it was: by its marks, else by its content."""
        mark, known = self.marks.get(path), state.marks.get(path)
        if mark and known and tuple(known) == mark:
            return True
        if player_state.fingerprint(self.run.order.content / path, self.run.order.content) != state.files[path]:
            return False
        self._remember_mark(state, path)
        return True

    def mark(self, path: str) -> Mark | None:
        """The mark by which a file is known next time; None where it proves nothing."""
        return None if path in self.unsure else self.marks.get(path)

    def _remember_mark(self, state: PlayerState, path: str) -> None:
        state.marks[path] = self.mark(path)
        self.run.changed.add(state.name)
