"""``passport bench`` as a running program."""

import re
import signal
import subprocess
import sys
import urllib.error
import urllib.request

from commandline import passport


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
