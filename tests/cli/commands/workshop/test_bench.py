"""``passport bench`` as a running program."""

import re
import signal
import subprocess
import sys
import urllib.error
import urllib.request

import pytest
from commandline import passport

from passport.acts.devices.handed import handed_over


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    """A folder in the place of this user's settings."""
    for name in ("XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "settings"))


def test_it_opens_one_browser_by_its_address_and_stops_at_once(demo_content):
    """The address that is shown opens the bench once, another one is then shown, and Ctrl-C ends it with a word."""
    command = [sys.executable, "-u", "-m", "passport.cli.main", "bench", str(demo_content.root), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
        assert process.stdout
        first = address_in(process.stdout)
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with opener.open(first, timeout=30) as answer:
            assert b"Quillmoor" in answer.read()
        other = address_in(process.stdout)
        assert other != first
        assert handed_over(demo_content.root) == other
        for closed in (first, other.partition("?")[0]):
            try:
                urllib.request.urlopen(closed, timeout=30).close()
                raise AssertionError(f"{closed} is open")
            except urllib.error.HTTPError as error:
                assert error.code == 403
                error.close()
        process.send_signal(signal.SIGINT)
        assert "Stopped." in process.stdout.read()
        assert process.wait(timeout=20) == 0
        assert handed_over(demo_content.root) is None


def test_the_icon_opens_the_bench_that_runs(demo_content, monkeypatch):
    """With --open, a bench of the folder that runs already is opened in the browser, and no second one is begun."""
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr("passport.cli.commands.workshop.bench.handed_over", lambda content: f"http://x/{content.name}")
    done = passport("bench", demo_content.root, "--open")
    assert (done.exit_code, opened) == (0, [f"http://x/{demo_content.root.name}"])


def test_with_phone_it_tells_the_room_s_address_and_the_fingerprint(demo_content):
    """The address for devices and the certificate's SHA-256 are shown; without encryption, what can be read is."""
    for more, told in (((), "certificate's SHA-256: "), (("--plain-http",), "Unencrypted: ")):
        command = [sys.executable, "-u", "-m", "passport.cli.main", "bench", str(demo_content.root), "--port", "0",
                   "--phone", "--phone-port", "0", "--address", "127.0.0.1", *more]  # fmt: skip
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
            assert process.stdout
            said = "".join(iter(process.stdout.readline, "Ctrl-C stops it.\n"))
            process.send_signal(signal.SIGINT)
            assert "Stopped." in process.stdout.read() and process.wait(timeout=20) == 0
        assert told in said and re.search(
            rf"For devices in the room: {'http' if more else 'https'}://127\.0\.0\.1:\d+\.", said
        )


def test_what_is_for_the_room_needs_phone(demo_content):
    """An address or plain http without --phone is wrong usage; an address that is not this computer's is said."""
    for option in (("--plain-http",), ("--address", "127.0.0.1")):
        done = passport("bench", demo_content.root, *option)
        assert done.exit_code == 2 and "--phone" in done.stderr
    done = passport("bench", demo_content.root, "--port", "0", "--phone", "--address", "192.0.2.9")
    assert done.exit_code == 1 and "192.0.2.9" in done.stderr


def address_in(lines) -> str:
    """The next address that the program shows."""
    return next(found[0] for line in lines if (found := re.search(r"http://127\.0\.0\.1:\d+/\?key=\S+", line)))


def test_a_folder_without_a_workshop_is_wrong_usage(tmp_path):
    """A folder that is not a content folder ends with code 2, and so does a port that is none."""
    assert passport("bench", str(tmp_path)).exit_code == 2
    assert passport("bench", str(tmp_path), "--port", "70000").exit_code == 2


def test_a_port_in_use_is_said(demo_content):
    """A port that another program holds is named, with what to do."""
    import socket

    with socket.create_server(("127.0.0.1", 0)) as taken:
        done = passport("bench", demo_content.root, "--port", str(taken.getsockname()[1]))
        assert done.exit_code == 1 and "--port 0" in done.stderr


def test_it_stops_at_once_where_the_shell_ignores_ctrl_c(demo_content):
    """Begun in the background, where a shell has Ctrl-C ignored, it stops by it from the moment that it says so."""
    command = [sys.executable, "-u", "-m", "passport.cli.main", "bench", str(demo_content.root), "--port", "0"]
    ignored = (
        f"import os, signal, sys; signal.signal(signal.SIGINT, signal.SIG_IGN); os.execv(sys.executable, {command!r})"
    )
    with subprocess.Popen([sys.executable, "-c", ignored], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout
        for _ in iter(process.stdout.readline, "Ctrl-C stops it.\n"):
            pass
        process.send_signal(signal.SIGINT)
        try:
            assert "Stopped." in process.communicate(timeout=30)[0]
        finally:
            process.kill()
