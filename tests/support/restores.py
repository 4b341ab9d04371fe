"""What becomes of a workshop that comes back from a loss: a table, one line a loss.

``bash .dev/restores`` prints it. Each line ends in a sound workshop or in a clear stop with a way out that is then gone;
sound means that records and ledger have no error, that the site is built, that every address that was ever given out
answers, that whoever was erased stays erased, and that a new frame gets a number that nobody had.
"""

import re
import shutil
import sys
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import smallshop
from click.testing import Result
from commandline import passport

from passport.records.ledger import key, ledger
from passport.records.load import load
from passport.records.schema import numbers

ERASED = (smallshop.KEYS["bo"], smallshop.KEYS["only"])
MAIN = "players/ada/main.yaml"


@dataclass
class Place:
    """A workshop in a folder of its own: content, site, the file beside it, a backup of a week ago and one of today."""

    folder: Path
    said: list[str] = field(default_factory=list)
    lost: frozenset[str] = frozenset()
    """Keys of which, and of whose numbers, nothing can tell any more."""
    unheard: frozenset[str] = frozenset()
    """Keys that nothing tells of any more; that their numbers were given is known."""

    @property
    def content(self) -> Path:
        """The records."""
        return self.folder / "shop"

    @property
    def site(self) -> Path:
        """The last site."""
        return self.folder / "site"

    @property
    def beside(self) -> Path:
        """What is closed, beside the records."""
        return self.folder / "shop.closed.txt"

    def run(self, *arguments: str | Path) -> Result:
        """A command on the records, with the site at its place."""
        name, *rest = arguments
        return passport(name, self.content, *rest)

    def build(self) -> Result:
        """A build without cards."""
        return self.run("build", "--out", self.site, "--no-cards")

    def stopped(self, result: Result, *words: str) -> None:
        """The command stopped, with these words; they are remembered for the table."""
        assert result.exit_code == 1, result.output
        for word in words:
            assert word in result.output, word
        self.said.append(f"stop: {words[0]}")

    def done(self, *arguments: str | Path) -> None:
        """A way out that a stop named, gone."""
        result = self.run(*arguments)
        assert result.exit_code == 0, result.output
        self.said.append(" ".join(str(a) for a in arguments if a not in ("--yes", "--site", self.site))[:60])

    def old(self) -> None:
        """The records as they were a week ago, brought back by the command."""
        shutil.rmtree(self.content)
        result = passport("restore", self.folder / "week.zip", self.content, "--site", self.site)
        self.said.append(f"restore ended with {result.exit_code}")

    def keys(self) -> dict[str, str]:
        """Every key that was ever given out in this workshop, with its number."""
        text = (self.folder / "ever.txt").read_text(encoding="utf-8")
        return {line.key: line.number for line in ledger.parse(text).lines}


def make(folder: Path) -> Place:
    """A workshop that was saved, and in which then a frame got a number, a job was done, and a player was erased."""
    place = Place(folder)
    folder.mkdir(parents=True)
    smallshop.write(place.content)
    assert place.build().exit_code == 0
    assert place.run("backup", "--out", folder / "week.zip").exit_code == 0
    assert place.run("issue", "ada/new", "--site", place.site).exit_code == 0
    assert place.run("log", "ada/main", "--mass", "331 g", "--no-build").exit_code == 0
    assert place.run("erase", "bo", "--site", place.site, "--yes").exit_code == 0
    assert place.build().exit_code == 0
    assert place.run("backup", "--out", folder / "today.zip").exit_code == 0
    shutil.copyfile(place.content / ledger.FILE, folder / "ever.txt")
    return place


def sound(place: Place) -> None:
    """The workshop is sound, in every sense of the word above."""
    assert place.run("check").exit_code == 0
    assert place.build().exit_code == 0
    records, _ = load(place.content)
    ever = place.keys()
    answered = {path.name for path in place.site.iterdir() if numbers.is_key(path.name)}
    assert ever.keys() - place.lost - place.unheard <= answered
    for erased in ERASED if not place.lost else ():
        assert "This passport is closed" in (place.site / erased / "index.html").read_text(encoding="utf-8")
    known = ledger.read(place.content)
    assert known is not None
    assert not known.twice
    given = {number for one, number in ever.items() if one not in place.lost} | {
        entry.record.number for entry in records.frames.values()
    }
    result = place.run("issue", "ada/later", "--model", "larch-98", "--label", "Later", "--site", place.site, "--yes")
    assert result.exit_code == 0, result.output
    assert load(place.content)[0].frames["ada/later"].record.number not in given
    assert place.build().exit_code == 0


def _mended(place: Place) -> None:
    """The way out of a ledger that is behind: mended, the erased one erased again, a lost frame's address closed."""
    place.done("addresses", "--mend", "--site", place.site, "--yes")
    if (place.content / "players/bo").exists():
        place.stopped(place.build(), "closed for good, but has a record again", "passport erase")
        place.done("erase", "bo", *(("--site", place.site) if place.site.exists() else ()), "--yes")
    fresh = next(one for one, number in place.keys().items() if number == numbers.with_check(2009))
    known = ledger.read(place.content)
    if (
        known
        and fresh in known.issued
        and fresh not in known.closed
        and not load(place.content)[0].frames["ada/new"].record.key
    ):
        place.stopped(place.build(), "no record has it", f"passport retire {place.content} {fresh}")
        place.done("retire", fresh, "--yes")


def week_old_with_site(place: Place) -> None:
    """Records of a week ago, restored; the site and the file beside them are there."""
    place.old()
    place.stopped(place.build(), "its end is missing", "addresses", "--mend")
    _mended(place)


def week_old_copied_by_hand(place: Place) -> None:
    """The same copied by hand, cache and all: no number is given out before it is settled."""
    with zipfile.ZipFile(place.folder / "week.zip") as saved:
        shutil.rmtree(place.content / "players")
        for name in saved.namelist():
            if name.startswith("content/"):
                target = place.content / name.removeprefix("content/")
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(saved.read(name))
    place.stopped(place.run("issue", "ada/new", "--site", place.site), "its end is missing")
    place.stopped(place.run("check"), "closed for good, but has a record again")
    _mended(place)


def week_old_without_site(place: Place) -> None:
    """Records of a week ago; of the site nothing is left, but the file beside them is."""
    shutil.rmtree(place.site)
    place.old()
    place.stopped(place.build(), "its end is missing")
    place.unheard = frozenset(one for one, number in place.keys().items() if number == numbers.with_check(2009))
    _mended(place)


def week_old_on_another_computer(place: Place) -> None:
    """Records of a week ago where the file beside them is not: the site's manifest tells."""
    place.beside.unlink()
    place.old()
    place.beside.unlink()
    place.stopped(place.build(), "the manifest of the site")
    _mended(place)


def week_old_and_nothing_else(place: Place) -> None:
    """Records of a week ago, with no site and nothing beside them: nothing can tell, and that is said."""
    shutil.rmtree(place.site)
    place.beside.unlink()
    shutil.rmtree(place.content)
    result = passport("restore", place.folder / "week.zip", place.content, "--site", place.site)
    assert result.exit_code == 0
    assert "Nothing else tells what was given out or closed after" in result.output
    place.said.append("said: nothing else tells what was given out since")
    place.lost = frozenset(place.keys())


def all_gone_backup_of_today(place: Place) -> None:
    """Records and site gone, and the backup is of today."""
    shutil.rmtree(place.site)
    shutil.rmtree(place.content)
    place.beside.unlink()
    result = passport("restore", place.folder / "today.zip", place.content, "--site", place.site)
    assert result.exit_code == 0, result.output
    place.said.append("restore ended with 0")


def half_a_copy(place: Place) -> None:
    """A copy that was stopped: a player's folder is missing."""
    (place.content / "players/ada").rename(place.folder / "ada")
    place.stopped(place.build(), "no record has it", "Put the record back")
    (place.folder / "ada").rename(place.content / "players/ada")
    place.said.append("folder put back")


def sync_conflict(place: Place) -> None:
    """A cloud folder kept two versions of a record side by side."""
    twin = place.content / "players/ada/main (conflicted copy).yaml"
    shutil.copyfile(place.content / MAIN, twin)
    place.stopped(place.run("check"), "number-twice", "key-twice")
    twin.unlink()
    place.said.append("one of the two taken away")


def alike_but_for_capitals(place: Place) -> None:
    """Two records whose names differ by capitals alone are refused before one of them is lost on another disk."""
    other = place.content / "players/ada/Twin.yaml"
    other.write_text("model: larch-98\nlabel: Other\n", encoding="utf-8")
    place.stopped(place.run("backup", "--out", place.folder / "x.zip"), "differ by capitals alone")
    other.unlink()
    place.said.append("renamed")


def two_computers(place: Place) -> None:
    """Two computers gave out numbers from one ledger, and a merge kept the lines of both: one number was given twice."""
    other = Place(place.folder / "other")
    other.folder.mkdir()
    shutil.copytree(place.content, other.content)
    for where, name in ((place, "ada/here"), (other, "ada/there")):
        arguments = (name, "--model", "larch-98", "--label", name, "--site", place.site, "--yes")
        assert where.run("issue", *arguments).exit_code == 0
    common = (place.folder / "ever.txt").read_text(encoding="utf-8")
    theirs = (other.content / ledger.FILE).read_text(encoding="utf-8")
    with (place.content / ledger.FILE).open("a", encoding="utf-8") as file:
        file.write(theirs.removeprefix(common))
    shutil.copyfile(other.content / "players/ada/there.yaml", place.content / "players/ada/there.yaml")
    shutil.copyfile(place.content / ledger.FILE, place.folder / "ever.txt")
    place.stopped(place.run("check"), "Two computers went on from one ledger", "number-twice")
    record = place.content / "players/ada/there.yaml"
    lines = record.read_text(encoding="utf-8").splitlines(keepends=True)
    record.write_text("".join(line for line in lines if not line.startswith("number:")), encoding="utf-8")
    place.done("addresses", "--mend", "--site", place.site, "--yes")
    known = ledger.read(place.content)
    assert known is not None
    assert [line.event for line in known.lines].count("mended") == 1
    place.stopped(place.run("check"), "was given out twice", "run 'passport issue'")
    place.done("issue", "ada/there", "--site", place.site, "--yes")


def conflict_marks(place: Place) -> None:
    """A merge left its marks in the ledger."""
    path = place.content / ledger.FILE
    text = path.read_text(encoding="utf-8")
    path.write_text(text + "<<<<<<< HEAD\n=======\n>>>>>>> other\n", encoding="utf-8")
    place.stopped(place.build(), "this line was changed or cut short", "--mend")
    place.done("addresses", "--mend", "--site", place.site, "--yes")


def lost_end(place: Place) -> None:
    """The last two lines of the ledger are gone."""
    path = place.content / ledger.FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join(lines[:-2]), encoding="utf-8")
    place.stopped(place.build(), "its end is missing")
    place.done("addresses", "--mend", "--site", place.site, "--yes")


def lost_start(place: Place) -> None:
    """The first line of the ledger is gone."""
    path = place.content / ledger.FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    first = next(n for n, line in enumerate(lines) if not line.startswith("#"))
    path.write_text("".join([*lines[:first], *lines[first + 1 :]]), encoding="utf-8")
    place.stopped(place.build(), "what stood before this line was lost, changed or moved")
    place.done("addresses", "--mend", "--site", place.site, "--yes")


def lines_exchanged(place: Place) -> None:
    """Two lines of the ledger have changed their places."""
    path = place.content / ledger.FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([*lines[:-2], lines[-1], lines[-2]]), encoding="utf-8")
    place.stopped(place.build(), "what stood before this line was lost, changed or moved")
    place.done("addresses", "--mend", "--site", place.site, "--yes")


def ledger_gone(place: Place) -> None:
    """The ledger is gone altogether."""
    (place.content / ledger.FILE).unlink()
    place.stopped(place.build(), "There is no ledger.txt")
    place.done("addresses", "--mend", "--site", place.site, "--yes")


def key_gone(place: Place) -> None:
    """The manifest key is gone from the records; it is typed from the recovery sheet."""
    secret = key.read(place.content)
    (place.content / key.FILE).unlink()
    place.stopped(place.build(), "has a manifest that the key", "--key KEY")
    place.done("addresses", "--key", key.grouped(secret).lower(), "--site", place.site)


LOSSES: tuple[Callable[[Place], None], ...] = (
    week_old_with_site,
    week_old_copied_by_hand,
    week_old_without_site,
    week_old_on_another_computer,
    week_old_and_nothing_else,
    all_gone_backup_of_today,
    half_a_copy,
    sync_conflict,
    alike_but_for_capitals,
    two_computers,
    conflict_marks,
    lost_end,
    lost_start,
    lines_exchanged,
    ledger_gone,
    key_gone,
)


_KEYS = re.compile(r"\b[0-9A-Z]{26}\b|\b(?:[0-9a-z]{4} ){7}[0-9a-z]{4}\b")
"""Keys, which are others each time."""


def copied(whole: Place, folder: Path) -> Place:
    """A workshop to lose, like another one."""
    shutil.copytree(whole.folder, folder)
    return Place(folder)


def line(loss: Callable[[Place], None], place: Place) -> str:
    """Bring a loss about, take the way out, look whether all is sound; the line of the table."""
    loss(place)
    sound(place)
    what = (loss.__doc__ or "").strip().partition("\n")[0]
    return f"| {what} | {'; '.join(place.said)} | sound |"


def main() -> int:
    """Print the table."""
    import contextlib
    import io

    print("| What is lost | What is said, and the way out | In the end |\n|---|---|---|")
    with tempfile.TemporaryDirectory(prefix="restores-") as name:
        with contextlib.redirect_stdout(io.StringIO()):
            whole = make(Path(name) / "whole")
        for loss in LOSSES:
            with contextlib.redirect_stdout(io.StringIO()):
                said = line(loss, copied(whole, Path(name) / loss.__name__))
            print(_KEYS.sub("KEY", said.replace(f"{name}/{loss.__name__}/", "")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
