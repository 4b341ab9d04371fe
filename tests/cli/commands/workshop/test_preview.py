"""``passport preview`` as a running program."""

import re
import subprocess
import sys
import urllib.error
import urllib.request

import pytest
from commandline import passport


@pytest.fixture
def address(demo_content):
    """The address of a preview on any free port, on this computer alone."""
    command = [
        sys.executable,
        "-u",
        "-m",
        "passport.cli.main",
        "preview",
        str(demo_content.root),
        "--port",
        "0",
        "--here",
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
        assert process.stdout
        for line in process.stdout:
            found = re.search(r"http://127\.0\.0\.1:\d+/$", line.strip())
            if found:
                break
        yield found[0]
        process.terminate()
        process.stdout.read()


def test_it_serves_the_site_and_keeps_no_record_of_who_asked(address):
    """Pages come with headers that keep their address to themselves."""
    with urllib.request.urlopen(address, timeout=20) as answer:
        assert answer.status == 200
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert answer.headers["Cache-Control"] == "no-store"
        assert b"Quillmoor" in answer.read()
    with pytest.raises(urllib.error.HTTPError) as missing, urllib.request.urlopen(address + "nope", timeout=20):
        pass
    assert missing.value.code == 404
    missing.value.close()


def test_the_list_of_frames_needs_this_computers_own_name(address):
    """A page from elsewhere whose name leads to this computer (DNS rebinding) is not shown the list of frames."""
    for host, status in (("elsewhere.example", 404), ("localhost", 200)):
        asked = urllib.request.Request(f"{address}-frames", headers={"Host": host})
        try:
            with urllib.request.urlopen(asked, timeout=20) as answer:
                found = answer.status
        except urllib.error.HTTPError as error:
            found = error.code
            error.close()
        assert found == status


def test_a_folder_without_a_workshop_is_wrong_usage(tmp_path):
    """A folder that is not a content folder ends with code 2."""
    assert passport("preview", str(tmp_path)).exit_code == 2
