"""A run that is stopped at any step: nothing half is served, the order holds, and a second run completes it."""

from contextlib import nullcontext
from pathlib import Path

import pytest
from onlineshop import files_of, online, served, wrong

from passport.acts.publishing.publish import Wish, publish
from passport.acts.refused import Refused
from passport.publish.remote.far import Trouble
from passport.publish.remote.folder import FolderFar


class Hearing:
    """Hears what is said, and how much was sent."""

    def __init__(self):
        """Nothing yet."""
        self.words, self.files = [], 0

    def say(self, words):
        """Keep it."""
        self.words.append(words)

    def sending(self, files, size):
        """Count."""
        return nullcontext(self._told)

    def _told(self, files, size):
        self.files = files


class Breaking(FolderFar):
    """A folder whose connection is cut at one step, before it is done or just after."""

    left, after = 10**9, False

    def _step(self, do, *arguments):
        cls = type(self)
        cls.left -= 1
        if cls.left < 0 or (cls.left == 0 and not cls.after):
            raise Trouble("cut")
        found = do(*arguments)
        if cls.left == 0:
            raise Trouble("cut")
        return found

    def read(self, path):
        """Read, or break."""
        return self._step(super().read, path)

    def write(self, path, data):
        """Write, or break."""
        return self._step(super().write, path, data)

    def create(self, path, data):
        """Create, or break."""
        return self._step(super().create, path, data)

    def remove(self, path):
        """Remove, or break."""
        return self._step(super().remove, path)


def test_cut_at_every_step_nothing_half_is_served_and_the_next_run_completes_it(tmp_path, monkeypatch, counted):
    """At each step of a run, before and after it, the far side has old or new files in order; then it is completed."""
    monkeypatch.setattr("passport.publish.remote.folder.FolderFar", Breaking)
    old, new = files_of(6), files_of(5, edition=1, other=2)
    cuts = resumed = 0
    for after in (False, True):
        for step in range(1, 100):
            root = tmp_path / f"{after}-{step}"
            far = root / "far"
            far.mkdir(parents=True)
            (far / "CNAME").write_text("cards.shop.example")
            shop = online(root, str(far), old)
            Breaking.left = 10**9
            publish(shop.content, shop.site, Wish(), Hearing())
            before = served(far)
            shop.write(new)
            Breaking.left, Breaking.after = step, after
            try:
                publish(shop.content, shop.site, Wish(delete=1), Hearing())
                finished = True
            except Refused:
                finished = False
                cuts += 1
            assert wrong(before, {**new, "CNAME": before["CNAME"]}, served(far)) == []
            Breaking.left = 10**9
            told = Hearing()
            publish(shop.content, shop.site, Wish(delete=1), told)
            resumed += told.files < 8
            files = served(far)
            assert files.pop("manifest.bin") == (shop.site / "manifest.bin").read_bytes()
            assert files.pop("CNAME") == b"cards.shop.example"
            assert files == new
            assert not (far / "publishing-lock").exists()
            if finished:
                break
        else:
            pytest.fail("no run came to its end")
    counted(f"{cuts} cuts, {resumed} runs that went on where it stopped")
    assert cuts >= 30 and resumed > 20


def test_only_what_changed_goes_up_by_hash_not_by_date(tmp_path):
    """Of twelve passports the four that changed are sent; touched files are not; a second run sends nothing."""
    far = tmp_path / "far"
    far.mkdir()
    shop = online(tmp_path, str(far))
    publish(shop.content, shop.site, Wish(), Hearing())
    told = Hearing()
    shop.write(files_of(12))
    assert publish(shop.content, shop.site, Wish(), told).plan.nothing and told.files == 0
    shop.write(files_of(12, 1, 2))
    plan = publish(shop.content, shop.site, Wish(), told).plan
    assert (len(plan.contents), len(plan.pages), plan.gone) == (4, 4, ())


def test_another_computer_believes_nothing_of_a_run_that_was_stopped(tmp_path, monkeypatch):
    """After one computer's run was stopped, another one completes its own site without the first one's notes."""
    monkeypatch.setattr("passport.publish.remote.folder.FolderFar", Breaking)
    monkeypatch.setattr("passport.publish.remote.lease.PATIENCE", 0.2)
    far = tmp_path / "far"
    far.mkdir()
    one = online(tmp_path / "one", str(far))
    Breaking.left = 10**9
    publish(one.content, one.site, Wish(), Hearing())
    two = online(tmp_path / "two", str(far))
    (two.content / "manifest-key.txt").write_bytes((one.content / "manifest-key.txt").read_bytes())
    two = online(tmp_path / "two", str(far), files_of(12, 3))
    one.write(files_of(12, 2))
    Breaking.left = 20
    with pytest.raises(Refused):
        publish(one.content, one.site, Wish(), Hearing())
    Breaking.left = 10**9
    publish(two.content, two.site, Wish(), Hearing())
    files = served(far)
    files.pop("manifest.bin")
    assert files == files_of(12, 3)
    publish(one.content, one.site, Wish(), Hearing())
    files = served(far)
    files.pop("manifest.bin")
    assert files == files_of(12, 2)


def test_a_file_that_is_not_what_the_build_wrote_is_not_sent(tmp_path):
    """A site's file that was changed since the build stops the run, names it, and what it lists stays as it was."""
    far = tmp_path / "far"
    far.mkdir()
    shop = online(tmp_path, str(far))
    page = next(shop.site.glob("KKK*/index.html"))
    page.write_bytes(b"x" * page.stat().st_size)
    with pytest.raises(Refused, match="is not what the build wrote"):
        publish(shop.content, shop.site, Wish(), Hearing())
    assert page.relative_to(shop.site).as_posix() not in served(far)
    page.unlink()
    with pytest.raises(Refused, match="is not what the build wrote"):
        publish(shop.content, shop.site, Wish(), Hearing())


@pytest.mark.parametrize("number", [28, 13])
def test_a_full_disk_and_a_refused_right_leave_all_whole(tmp_path, monkeypatch, number):
    """Where the disk is full, or a right is missing, in the middle, it is said, and the next run completes it."""
    from passport.records.transaction import atomic

    far = tmp_path / "far"
    far.mkdir()
    shop = online(tmp_path, str(far))
    publish(shop.content, shop.site, Wish(), Hearing())
    before = served(far)
    shop.write(files_of(12, 2))
    real, left = atomic.write, iter(range(9))

    def write(path: Path, data: bytes, *mode: int) -> None:
        if far in path.parents and next(left, None) is None:
            raise OSError(number, "No space left" if number == 28 else "Permission denied")
        real(path, data, *mode)

    monkeypatch.setattr(atomic, "write", write)
    with pytest.raises(Refused, match="disk of .* is full" if number == 28 else "does not allow it"):
        publish(shop.content, shop.site, Wish(), Hearing())
    assert wrong(before, files_of(12, 2), served(far)) == []
    monkeypatch.setattr(atomic, "write", real)
    publish(shop.content, shop.site, Wish(), Hearing())
    assert {k: v for k, v in served(far).items() if k != "manifest.bin"} == files_of(12, 2)
