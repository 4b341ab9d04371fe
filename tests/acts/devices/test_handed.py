"""The icon finds the bench that runs, by an address that only this user can read."""

import socket
import stat
from contextlib import closing

import pytest

from passport.acts.devices import kept
from passport.acts.devices.handed import hand_over, handed_over, take_back


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    """A folder in the place of this user's settings."""
    for name in ("XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "settings"))


def test_a_bench_that_runs_is_found_and_one_that_stopped_is_not(tmp_path):
    """While something answers on the port the address is there; afterwards, or once it was taken back, it is not."""
    with closing(socket.create_server(("127.0.0.1", 0))) as server:
        address = f"http://127.0.0.1:{server.getsockname()[1]}/?key=x"
        hand_over(tmp_path, address)
        assert handed_over(tmp_path) == address
        assert handed_over(tmp_path / "other") is None
        assert {stat.S_IMODE(path.stat().st_mode) for path in kept.folder().iterdir()} == {0o600}
    assert handed_over(tmp_path) is None
    with closing(socket.create_server(("127.0.0.1", 0))) as server:
        hand_over(tmp_path, f"http://127.0.0.1:{server.getsockname()[1]}/?key=x")
        take_back(tmp_path)
        assert handed_over(tmp_path) is None


@pytest.mark.parametrize(
    "text", ["", "[]", '{"address": 1}', '{"address": "https://evil.example/"}', '{"address": "http://127.0.0.1/"}']
)
def test_what_is_no_address_of_the_bench_opens_nothing(tmp_path, text):
    """A file that holds anything else is not believed."""
    hand_over(tmp_path, "http://127.0.0.1:1/")
    (path,) = kept.folder().iterdir()
    path.write_text(text)
    assert handed_over(tmp_path) is None
