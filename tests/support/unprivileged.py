"""The rights of files and folders count for the administrator too, as they do for everybody else.

Tests often run as root, who may read and write anywhere. Another user would be no help: the temporary folder, the
checkout or a folder above them may be closed to others. So the process stays who it is, and gives up the right to pass
over the rights of files that it owns (capabilities(7), capget(2); numbers from linux/capability.h).
"""

import contextlib
import ctypes
import io
import json
import os
import sys
from pathlib import Path

from testground import run_command

_VERSION_3 = 0x20080522
_DAC_OVERRIDE, _DAC_READ_SEARCH = 1, 2
_PR_CAPBSET_DROP = 24
_NOBODY = 65534


def obey_rights() -> None:
    """Let the rights of files count for this process, whoever runs it. Raises OSError where that is refused."""
    if os.getuid() != 0:
        return
    if sys.platform != "linux":
        os.setgid(_NOBODY)
        os.setuid(_NOBODY)
        return
    libc = ctypes.CDLL(None, use_errno=True)
    header, sets = (ctypes.c_uint32 * 2)(_VERSION_3, 0), (ctypes.c_uint32 * 6)()
    for right in (_DAC_OVERRIDE, _DAC_READ_SEARCH):
        libc.prctl(_PR_CAPBSET_DROP, right, 0, 0, 0)  # or programs started from here would have it again
    done = libc.capget(header, sets)
    for i in range(3):  # what is in effect, permitted and handed on; the second half holds numbers from 32 on
        sets[i] &= ~(1 << _DAC_OVERRIDE | 1 << _DAC_READ_SEARCH)
    if done or libc.capset(header, sets):
        raise OSError(ctypes.get_errno(), "capset")


def _tried(folder: str, mode: int, arguments: list[str]) -> dict[str, object]:
    """A command while something has other rights: its exit code, 70 for a crash, and what it said."""
    before, said = Path(folder).stat().st_mode, io.StringIO()
    Path(folder).chmod(mode)
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = run_command(arguments)
    finally:
        Path(folder).chmod(before)
    return {"code": code, "said": said.getvalue()}


if __name__ == "__main__":
    # A list of [path, its rights meanwhile, arguments of the command] comes in, what became of each goes out.
    obey_rights()
    json.dump([_tried(*case) for case in json.load(sys.stdin)], sys.stdout)
