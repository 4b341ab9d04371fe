"""Pages and cards made by the workers of a Dask cluster: the same bytes, whoever of them dies."""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
import smallshop
from clustering import cluster, until
from commandline import EPOCH, tree

from passport.publish.workers import cluster as made_there
from passport.publish.workers.pool import Lost, Unmanned
from passport.render.print import pdf

WORDS = """\
msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"

msgid "Pull tension"
msgstr "Pull of ours"
"""


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    """A scheduler with two workers."""
    with cluster(tmp_path_factory.mktemp("cluster"), 2) as found:
        yield found


@pytest.fixture
def content(tmp_path):
    """The small workshop with words and a style of its own."""
    own = {"style/extra.css": ".ticket { letter-spacing: 0.01em }\n", "messages/en.po": WORDS}
    return smallshop.write(tmp_path / "content", own)


def build(content: Path, out: Path, *more: str, epoch: str = EPOCH) -> subprocess.Popen[str]:
    """``passport build`` in a process of its own."""
    call = [sys.executable, "-m", "passport.cli.main", "build", str(content), "--out", str(out), *more]
    environment = {**os.environ, "SOURCE_DATE_EPOCH": epoch}
    return subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment)


def ended(process: subprocess.Popen[str]) -> tuple[int, str]:
    """The exit code of a build, and what it said."""
    out, err = process.communicate(timeout=300)
    return process.returncode, out + err


def cards() -> tuple[str, ...]:
    """With cards where they can be made here, without where not."""
    return ("--no-cards",) if pdf.available() else ()


def many(folder: Path, frames: int) -> Path:
    """The small workshop with so many more frames of one player."""
    numbers = smallshop_numbers(frames)
    changes = {
        f"players/cy/f{i}.yaml": f"number: {number}\nkey: {key}\nmodel: larch-98\nlabel: F{i}\n"
        for i, (number, key) in enumerate(numbers)
    }
    return smallshop.write(folder, {"players/cy/player.yaml": "name: Cy\n", **changes})


def smallshop_numbers(count: int) -> list[tuple[str, str]]:
    """Numbers and keys that no other frame has."""
    from passport.records.schema.numbers import with_check

    return [(with_check(7001 + i), f"{i:026d}") for i in range(count)]


def test_workers_make_the_same_bytes(running, content, tmp_path):
    """A site made by a cluster is, byte for byte, the one made here; the shop's own words are used there."""
    assert ended(build(content, tmp_path / "here", *cards()))[0] == 0
    code, said = ended(build(content, tmp_path / "there", "--anew", "--scheduler", running.address, *cards()))
    assert code == 0, said
    made = tree(tmp_path / "there")
    assert made == tree(tmp_path / "here")
    assert b"Pull of ours" in made[f"{smallshop.KEYS['main']}/index.html"]
    if not pdf.available():
        assert any(name.endswith(".pdf") for name in made)


def test_a_second_build_there_makes_only_what_changed(running, content, tmp_path):
    """What a cluster made is remembered like anything else: without a change nothing is sent, with one only that."""
    given = ("--scheduler", running.address, "--no-cards")
    ended(build(content, tmp_path / "site", *given))
    path = content / "players/ada/main.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("Said to", "Told"), encoding="utf-8")
    code, said = ended(build(content, tmp_path / "site", *given))
    assert code == 0, said
    assert re.search(r"\b[1-9] made anew", said), said
    ended(build(content, tmp_path / "fresh", "--no-cards", "--anew"))
    assert tree(tmp_path / "site") == tree(tmp_path / "fresh")


def test_a_worker_that_is_killed_takes_nothing_with_it(tmp_path):
    """Of two workers at work one is killed in the middle: the site is whole and the same, and no error is told."""
    content = many(tmp_path / "content", 40)
    ended(build(content, tmp_path / "here", "--no-cards"))
    with cluster(tmp_path / "cluster", 2) as own:
        from distributed import Client

        with Client(own.address, set_as_default=False) as watching:
            until(lambda: len(watching.nthreads()) == 2)
            process = build(content, tmp_path / "there", "--no-cards", "--anew", "--scheduler", own.address)
            doomed = own.workers[0]
            mine = watching.run(os.getpid)
            (address,) = (where for where, number in mine.items() if number == doomed.pid)
            held = lambda: watching.processing().get(address, ())  # noqa: E731
            until(lambda: held() and pages_in(tmp_path) > 2)
            doomed.kill()
            doomed.wait()
            before = pages_in(tmp_path)
            assert process.poll() is None, "it was in the middle"
            code, said = ended(process)
            assert code == 0, said
            assert set(watching.nthreads()) == set(mine) - {address}
    here = tree(tmp_path / "here")
    assert before < sum(name.endswith(".html") for name in here)
    assert tree(tmp_path / "there") == here


def pages_in(folder: Path) -> int:
    """The pages that are made so far, in whatever folder beside the site."""
    return sum("here" not in path.parts and "content" not in path.parts for path in folder.rglob("*.html"))


def test_a_worker_of_another_version_gets_no_work(tmp_path):
    """A worker with another version of the program is not used; where there is no other, the build says so and stops."""
    content = smallshop.write(tmp_path / "content")
    (tmp_path / "other.py").write_text("import passport\npassport.__version__ = '0.0.0'\n", encoding="utf-8")
    with cluster(tmp_path / "cluster", 0) as own:
        own.hire("--preload", str(tmp_path / "other.py"))
        given = ("--no-cards", "--scheduler", own.address)
        code, said = ended(build(content, tmp_path / "site", *given))
        assert code == 1
        assert "the version of racquet-passport" in said
        assert "Traceback" not in said
        assert not (tmp_path / "site").exists()
        own.hire()
        from distributed import Client

        with Client(own.address, set_as_default=False) as watching:
            until(lambda: len(watching.nthreads()) == 2)
        code, said = ended(build(content, tmp_path / "site", *given))
        assert code == 0, said
    ended(build(content, tmp_path / "here", "--no-cards", "--anew"))
    assert tree(tmp_path / "site") == tree(tmp_path / "here")


def test_where_nobody_answers_the_old_site_stays(tmp_path):
    """An address without a scheduler is an error of one sentence that says how to start one."""
    content = smallshop.write(tmp_path / "content")
    code, said = ended(build(content, tmp_path / "site", "--no-cards", "--scheduler", "nonsense://x"))
    assert code == 1
    assert "No scheduler answers at 'nonsense://x'" in said
    assert "dask scheduler" in said
    assert "Traceback" not in said
    assert not (tmp_path / "site").exists()


def test_without_the_package_it_says_what_to_install(tmp_path, monkeypatch):
    """Where the extra is not installed, the message names it."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(Unmanned, match=r"racquet-passport\[cluster\]"):
        made_there.Cluster("tcp://127.0.0.1:1", tmp_path)


def test_a_scheduler_without_workers_is_given_up(tmp_path):
    """Where no worker comes, the build ends after a while and says what to start."""
    with (
        cluster(tmp_path / "cluster", 0) as own,
        made_there.Cluster(own.address, tmp_path, patience=1.0) as nobody,
        pytest.raises(Unmanned, match="has had no worker for 1 s"),
    ):
        list(nobody.each(len, ["a"]))


def test_a_scheduler_that_goes_away_is_noticed(tmp_path):
    """A scheduler that ends in the middle ends the build with a sentence, and not with a wait for ever."""
    with cluster(tmp_path / "cluster", 1) as own, made_there.Cluster(own.address, tmp_path, patience=3.0) as there:
        started = time.monotonic()
        with pytest.raises(Unmanned, match=r"No scheduler answers|has had no worker"):
            for n, _ in enumerate(there.each(time.sleep, [0.1] * 400)):
                if n == 3:
                    own.scheduler.kill()
        assert time.monotonic() - started < 60


def test_what_goes_wrong_there_is_told_of_its_item(running, tmp_path):
    """An error on a worker stands in the place of that item's result; all others come."""
    with made_there.Cluster(running.address, tmp_path) as there:
        found = dict(there.each(int, [*"0123", "three", *"4567"]))
    assert [found.pop(str(n)) for n in range(8)] == list(range(8))
    assert list(found) == ["three"]
    assert isinstance(found["three"], Lost)
    assert found["three"].reason.startswith("ValueError: invalid literal")


def test_a_cluster_without_this_program_is_named(running, tmp_path):
    """Work that the cluster cannot even read, as where the program is not installed there, ends the build at once."""
    with (
        made_there.Cluster(running.address, tmp_path) as there,
        pytest.raises(Unmanned, match=r"racquet-passport\[cluster\]"),
    ):
        list(there.each(only_here, range(3)))


def only_here(number: int) -> int:
    """Work that no worker knows, since the tests are not installed there."""
    return number


def test_a_worker_keeps_the_files_of_a_few_shops(tmp_path, monkeypatch):
    """A worker unpacks each shop's files once, works with them, and drops those it has not used for longest."""
    monkeypatch.setattr(made_there, "_SHOPS", 2)
    monkeypatch.setattr(made_there._Counter, "folders", type(made_there._Counter.folders)())
    same = made_there.parts()
    shops = [
        made_there.ShopEnvironment(f"mark-{n}", tuple(p for p in same if p[0] != "the templates")) for n in range(3)
    ]
    monkeypatch.setattr(made_there, "parts", lambda: same[:3])
    for shop in shops:
        assert made_there.work(len, shop, None, "abc") == made_there.Unseen()
        assert made_there.work(len, shop, (("style/extra.css", b"/* */"),), "abc") == 3
    kept = [Path(folder.name) for folder in made_there._Counter.folders.values()]
    assert [list(made_there._Counter.folders)] == [["mark-1", "mark-2"]]
    assert all((folder / "style/extra.css").read_bytes() == b"/* */" for folder in kept)
    assert made_there.work(len, shops[0], None, "abc") == made_there.Unseen()
    for folder in made_there._Counter.folders.values():
        folder.cleanup()


def test_a_shops_own_templates_are_not_sent(tmp_path):
    """K1: a shop with a template of its own is told to build here; nothing of it is sent anywhere."""
    content = smallshop.write(tmp_path / "content", {"templates/pages/reach.html.j2": "own"})
    code, said = ended(build(content, tmp_path / "site", "--no-cards", "--scheduler", "tcp://127.0.0.1:1"))
    assert code == 1
    assert "templates/pages/reach.html.j2" in said
    assert "Build without --scheduler" in said


@pytest.mark.parametrize(
    "name",
    [
        "templates/pages/base.html.j2", "templates/assets/age.js", "style/x.j2", "style/../templates/x", "../hit", "/tmp/hit",
        "style/../../hit", "style\\..\\hit", "C:/hit", "", "players/ada/main.yaml", "messages/x.J2",
    ],
)  # fmt: skip
def test_a_worker_takes_no_templates_and_no_paths(name, monkeypatch):
    """K1, K2: whatever a client sends as a shop's files, templates and paths out of its folder are refused, unwritten."""
    monkeypatch.setattr(made_there._Counter, "folders", type(made_there._Counter.folders)())
    shop = made_there.ShopEnvironment("mark", made_there.parts())
    with pytest.raises(ValueError, match="no file of a shop"):
        made_there.work(len, shop, ((name, b"x"),), "abc")
    assert not made_there._Counter.folders


def test_what_a_worker_keeps_is_its_owners_alone(monkeypatch):
    """K2: the folder with a shop's files is closed to others, and gone with the shop."""
    monkeypatch.setattr(made_there._Counter, "folders", type(made_there._Counter.folders)())
    made_there._unpack("mark", (("style/extra.css", b""),))
    (folder,) = made_there._Counter.folders.values()
    assert Path(folder.name).stat().st_mode & 0o077 == 0
    folder.cleanup()
    assert not Path(folder.name).exists()


def test_the_day_that_stands_in_for_the_clock_goes_along(monkeypatch):
    """SOURCE_DATE_EPOCH holds on the worker for the length of a batch and is as before afterwards."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1")
    with made_there._stamped("2"):
        assert os.environ["SOURCE_DATE_EPOCH"] == "2"
    with made_there._stamped(""):
        assert "SOURCE_DATE_EPOCH" not in os.environ
    assert os.environ["SOURCE_DATE_EPOCH"] == "1"
