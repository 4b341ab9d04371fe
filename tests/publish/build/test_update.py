"""A site brought up to date is the site made from nothing, and only what changed is made."""

import os
import random
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
import smallshop
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from smallshop import KEYS, NUMBERS, TODAY
from updating import same_at_a_glance, tree, updated

from passport.publish.build.run import FaultyRecords
from passport.publish.cache.cache_database import FILE
from passport.records.schema.numbers import with_check


class Shop:
    """The small workshop on disk with its site and memory."""

    def __init__(self, root: Path) -> None:
        """Build it once."""
        self.root, self.content, self.out, self.memory = root, root / "content", root / "site", root / "memory"
        smallshop.write(self.content)
        updated(self.content, self.out, self.memory)
        self.count = 0

    def change(self, file: str, old: str, new: str) -> None:
        """Replace a text in a file of the content; nothing where it is not there."""
        path = self.content / file
        if path.exists():
            path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")

    def add(self, file: str, text: str) -> None:
        """Add to a file of the content, or begin it."""
        path = self.content / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text((path.read_text(encoding="utf-8") if path.exists() else "") + text, encoding="utf-8")

    def job(self, frame: str, day: int, string: str, hertz: int) -> None:
        """Restring a frame on a day and read it then and later."""
        date = TODAY - timedelta(days=day)
        path = self.content / "players" / f"{frame}.yaml"
        if path.exists() and "jobs:" not in path.read_text(encoding="utf-8"):
            self.add(
                f"players/{frame}.yaml",
                f"jobs:\n  - date: {date}\n    strings: {{mains: {{string: {string}, tension: 24 kg}}}}\n"
                f"    readings: {{ring: {hertz} Hz, age: 15 min}}\n"
                f"  - date: {date + timedelta(days=3)}\n    readings: {{ring: {hertz - 25} Hz, age: 3 d}}\n",
            )

    def frame(self, player: str, model: str = "larch-98") -> None:
        """A new frame."""
        self.count += 1
        key = f"{self.count:0>26}".replace("1", "Z")
        self.add(
            f"players/{player}/extra{self.count}.yaml",
            f"number: {with_check(5000 + self.count)}\nkey: {key}\nmodel: {model}\nlabel: Extra\n",
        )

    def check(self) -> None:
        """Bring the site up to date and compare it with one made from nothing."""
        fresh = self.root / "fresh"
        for path in (fresh, self.root / "nothing"):
            shutil.rmtree(path, ignore_errors=True)
        try:
            expected = updated(self.content, fresh, self.root / "nothing")
        except FaultyRecords:
            with pytest.raises(FaultyRecords):
                updated(self.content, self.out, self.memory)
            return
        glance = same_at_a_glance(self.content, self.out, self.memory)
        before = tree(self.out)
        report = updated(self.content, self.out, self.memory)
        if "notes.txt" in before:
            assert (self.out / "notes.txt").read_text() == "mine", "what others put there stays"
            (fresh / "notes.txt").write_text("mine")
        assert tree(self.out) == tree(fresh)
        assert report.faults == expected.faults
        assert (report.frames, report.players, report.files, report.size) == (
            expected.frames, expected.players, expected.files, expected.size,
        )  # fmt: skip
        if glance:
            assert before == tree(fresh), "the quick look said that nothing changed"
        again = updated(self.content, self.out, self.memory)
        assert again.made == 0


@pytest.fixture
def shop(tmp_path) -> Shop:
    """The small workshop, built."""
    return Shop(tmp_path)


EDITS: dict[str, Callable[[Shop, random.Random], object]] = {
    "nothing": lambda s, d: None,
    "label": lambda s, d: s.change("players/ada/main.yaml", "label: Main", f"label: Main {d.randrange(9)}"),
    "private note": lambda s, d: s.change("players/ada/main.yaml", "SECRET-JOB", f"SECRET-JOB-{d.randrange(9)}"),
    "comment": lambda s, d: s.add("players/bo/only.yaml", "# seen\n"),
    "restrung": lambda s, d: s.job(d.choice(["ada/fresh", "ada/new", "ada/torn"]), d.randrange(5, 900), "flint-120", d.randrange(500, 600)),
    "hybrid": lambda s, d: s.change("players/bo/only.yaml", "50 lb}}, note", "50 lb}, crosses: {string: reed-125, tension: 49 lb}, pieces: 2}, note"),
    "frame": lambda s, d: s.frame(d.choice(["ada", "bo"])),
    "player": lambda s, d: s.add(f"players/cy{d.randrange(3)}/player.yaml", "name: Cy\n") if d.random() < 0.5 else (s.content / "players/empty").mkdir(exist_ok=True),
    "player with a history": lambda s, d: (s.add("players/dee/player.yaml", "name: Dee\n"), s.add("players/dee/old.yaml", "model: larch-98\nlabel: Old\n"), s.job("dee/old", 700, "reed-125", d.randrange(500, 600))),
    "frame gone": lambda s, d: (s.content / "players/ada" / f"{d.choice(['split', 'gone', 'done', 'new'])}.yaml").unlink(missing_ok=True),
    "player gone": lambda s, d: shutil.rmtree(s.content / "players/bo", ignore_errors=True),
    "player renamed": lambda s, d: (s.content / "players/bo").exists() and (s.content / "players/bo").rename(s.content / f"players/bob{d.randrange(99)}"),
    "successor": lambda s, d: s.change("players/ada/torn.yaml", f"replaced_by: {NUMBERS['fresh']}", f"replaced_by: {NUMBERS[d.choice(['twin', 'fresh', 'split'])]}"),
    "string": lambda s, d: s.change("catalogue/strings.yaml", "name: Reed", f"name: Reed {d.randrange(9)}"),
    "new string": lambda s, d: s.add("catalogue/strings.yaml", f"moss-{d.randrange(10**6)}: {{maker: Oxbow, name: Moss, material: gut, gauge: 1.3 mm}}\n"),
    "price": lambda s, d: s.change("catalogue/strings.yaml", "SECRET-PRICE", f"SECRET-PRICE-{d.randrange(9)}"),
    "model": lambda s, d: s.change("catalogue/frames.yaml", "rim: 11 mm", f"rim: {d.choice([11, 12, 13])} mm"),
    "part": lambda s, d: s.change("catalogue/parts.yaml", "per_length: 20 g/m", f"per_length: {d.randrange(15, 25)} g/m"),
    "tagline": lambda s, d: s.change("workshop.yaml", "Strung by hand", f"Strung by hand {d.randrange(9)}"),
    "tolerance": lambda s, d: s.change("workshop.yaml", "mass: 1 g", f"mass: {d.randrange(1, 4)} g"),
    "shows": lambda s, d: s.change("players/bo/player.yaml", "history: no", "history: yes"),
    "plays": lambda s, d: s.change("players/ada/player.yaml", "plays_a_week: 3", f"plays_a_week: {d.randrange(1, 6)}"),
    "care": lambda s, d: s.change("pages/care.md", "Keep them dry.", f"Keep them dry, {d.randrange(9)} times."),
    "care's title": lambda s, d: s.change("pages/care.md", "# Care of strings", f"# Care {d.randrange(9)}"),
    "page": lambda s, d: s.add(f"pages/more{d.randrange(3)}.md", "# More\n\nWords.\n"),
    "page gone": lambda s, d: (s.content / "pages/care.md").unlink(missing_ok=True),
    "own template": lambda s, d: s.add("templates/pages/reach.html.j2", f"<p>Ring us {d.randrange(9)}</p>"),
    "touched": lambda s, d: os.utime(s.content / "players/ada/main.yaml"),
    "saved again": lambda s, d: (s.content / "workshop.yaml").write_bytes((s.content / "workshop.yaml").read_bytes()),
    "page deleted": lambda s, d: (s.out / KEYS["main"] / "index.html").unlink(missing_ok=True),
    "page edited": lambda s, d: (s.out / KEYS["twin"] / "index.html").write_text("mine"),
    "style cut": lambda s, d: (s.out / "assets/style.css").write_bytes(b""),
    "file of others": lambda s, d: (s.out / "notes.txt").write_text("mine"),
    "file at an address": lambda s, d: (s.out / KEYS["main"] / "notes.txt").write_text("mine") if (s.out / KEYS["main"]).is_dir() else None,
    "folder for a page": lambda s, d: (shutil.rmtree(s.out / KEYS["twin"], ignore_errors=True), (s.out / KEYS["twin"]).write_text("x")),
    "site gone": lambda s, d: shutil.rmtree(s.out, ignore_errors=True),
    "memory gone": lambda s, d: shutil.rmtree(s.memory, ignore_errors=True),
    "memory cut": lambda s, d: (s.memory / FILE).exists() and os.truncate(s.memory / FILE, d.randrange((s.memory / FILE).stat().st_size)),
    "number twice": lambda s, d: s.change("players/ada/split.yaml", NUMBERS["split"], NUMBERS["main"]),
    "number alone": lambda s, d: s.change("players/ada/split.yaml", NUMBERS["main"], NUMBERS["split"]),
    "typo": lambda s, d: s.change("players/bo/only.yaml", "label: Only", "lable: Only"),
    "typo mended": lambda s, d: s.change("players/bo/only.yaml", "lable: Only", "label: Only"),
    "over the limit": lambda s, d: s.change("players/ada/main.yaml", "tension: 23 kg", f"tension: {d.randrange(26, 30)} kg"),
}  # fmt: skip


@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(st.tuples(st.sampled_from(sorted(EDITS)), st.integers(0, 2**30)), min_size=1, max_size=5), st.booleans()
)
def test_random_edits_give_what_a_build_from_nothing_gives(tmp_path_factory, edits, at_once):
    """After any changes of records, catalogue, templates, site and memory the site is that of a build from nothing."""
    shop = Shop(tmp_path_factory.mktemp("shop"))
    for name, seed in edits:
        EDITS[name](shop, random.Random(seed))
        if not at_once:
            shop.check()
    if at_once:
        shop.check()


@pytest.mark.parametrize("name", sorted(EDITS))
def test_each_edit_gives_what_a_build_from_nothing_gives(shop, name):
    """Each kind of change alone leads to the site that a build from nothing makes."""
    EDITS[name](shop, random.Random(1))
    shop.check()
