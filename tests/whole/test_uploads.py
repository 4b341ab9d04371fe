"""Publishing to real servers, cut at random: nothing half is ever served as whole, and a second run completes it.

OpenSSH (SFTP, git and a bare repository), moto (S3), wsgidav (WebDAV over https), pyftpdlib (FTP with TLS), on 127.0.0.1.
"""

import re
import subprocess
import sys
from pathlib import Path

import pytest
import uploads

HARNESS = Path(uploads.__file__)


@pytest.mark.parametrize("protocol", uploads.PROTOCOLS)
def test_cut_at_random_nothing_half_is_served_and_the_next_run_completes_it(protocol, counted):
    """The short form of ``.dev/uploads``, in a process of its own, as the libraries leave sockets when a wire is cut."""
    command = [sys.executable, str(HARNESS), "4", protocol]
    result = subprocess.run(command, check=False, capture_output=True, text=True, timeout=500)
    assert result.returncode == 0, result.stdout + result.stderr
    found = re.search(r"4 runs, (\d) cut, .*, 0 wrong", result.stdout)
    assert found and int(found[1]) >= 2, result.stdout
    counted(result.stdout.strip())
