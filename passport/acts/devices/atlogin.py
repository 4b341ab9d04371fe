"""The bench without a terminal: an icon that opens it, and a start at log-in. Everything that is written is told, and only
what was written here is taken away again."""

import os
import plistlib
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from passport.acts.refused import Refused, writing
from passport.records.disk import opening
from passport.records.language.worded import worded
from passport.records.transaction import atomic
from passport.render.theme import assets

MARK = "Made by 'passport bench' with the option at-login; with not-at-login it takes this away."
NAME = "racquet-passport-bench"
_LABEL = "racquet-passport.bench"
_MOST = 100_000


@dataclass(frozen=True, slots=True)
class LoginFile:
    """A file that has the bench started: where it goes, what it holds, what it is for; a link where ``to`` is given."""

    path: Path
    text: str
    what: str
    to: str = ""
    runs: bool = False


def login_files(command: Sequence[str], system: str = sys.platform) -> tuple[LoginFile, ...]:
    """The files for a system whose bench is started by a command; the icon's adds ``--open`` to it."""
    opens = (*command, "--open")
    if system == "darwin":
        return _for_macos(command, opens)
    if system == "win32":
        return _for_windows(command, opens)
    return _for_linux(command, opens)


def set_up(files: Sequence[LoginFile]) -> None:
    """Write the files. Raises Refused where one stands there that was not made here, or something cannot be written."""
    foreign = next((one.path for one in files if _there(one.path) and not _ours(one)), None)
    if foreign:
        raise Refused(
            worded(
                "Nothing was written: '{foreign}' is there and was not made by this program. Move it first.",
                foreign=foreign,
            )
        )
    for one in files:
        with writing(f"'{one.path}'"):
            one.path.parent.mkdir(parents=True, exist_ok=True)
            if one.to:
                one.path.unlink(missing_ok=True)
                one.path.symlink_to(one.to)
            else:
                atomic.write(one.path, one.text.encode(), mode=0o755 if one.runs else 0o644)


def taken_away(files: Sequence[LoginFile]) -> list[Path]:
    """Take away those of the files that were made here; which these were. Raises Refused."""
    gone = [one.path for one in reversed(files) if _there(one.path) and _ours(one)]
    for path in gone:
        with writing(f"'{path}'"):
            path.unlink()
    return gone


def _for_linux(command: Sequence[str], opens: Sequence[str]) -> tuple[LoginFile, ...]:
    """By the Desktop Entry Specification 1.5 and systemd's unit files, in the places of the XDG base directories."""
    data = _folder("XDG_DATA_HOME", ".local/share")
    units = _folder("XDG_CONFIG_HOME", ".config") / "systemd" / "user"
    icon = data / "icons" / "hicolor" / "scalable" / "apps" / f"{NAME}.svg"
    drawn = assets.text(assets.templates() / "assets" / "icon.svg").rstrip()
    desktop = (
        f"# {MARK}\n[Desktop Entry]\nType=Application\nVersion=1.5\nName=Racquet bench\n"
        f"Comment=The rack, each frame at the machine, jobs\nExec={' '.join(map(_desktop_word, opens))}\n"
        f"Icon={NAME}\nTerminal=false\nCategories=Office;\n"
    )
    unit = (
        f"# {MARK}\n[Unit]\nDescription=The racquet bench in a browser\n\n[Service]\n"
        f"ExecStart={' '.join(map(_unit_word, command))}\nRestart=on-failure\nRestartSec=10\n"
        "# What it says there are addresses that open it, which are for no log.\nStandardOutput=null\n\n"
        "[Install]\nWantedBy=default.target\n"
    )
    service = f"{NAME}.service"
    return (
        LoginFile(icon, f"{drawn}\n<!-- {MARK} -->\n", "the picture of the icon"),
        LoginFile(data / "applications" / f"{NAME}.desktop", desktop, "the icon that opens the bench"),
        LoginFile(units / service, unit, "the service that runs the bench"),
        LoginFile(
            units / "default.target.wants" / service, "", "the link that starts it at log-in", to=f"../{service}"
        ),
    )


def _for_macos(command: Sequence[str], opens: Sequence[str]) -> tuple[LoginFile, ...]:
    agent = plistlib.dumps({"Label": _LABEL, "ProgramArguments": list(command), "RunAtLoad": True}).decode()
    script = f"#!/bin/sh\n# {MARK}\nexec {' '.join(map(_shell_word, opens))}\n"
    return (
        LoginFile(
            Path.home() / "Library" / "LaunchAgents" / f"{_LABEL}.plist",
            f"{agent}<!-- {MARK} -->\n",
            "the start at log-in",
        ),
        LoginFile(
            Path.home() / "Applications" / "Racquet bench.command", script, "the icon that opens the bench", runs=True
        ),
    )


def _for_windows(command: Sequence[str], opens: Sequence[str]) -> tuple[LoginFile, ...]:
    programs = _folder("APPDATA", "AppData/Roaming") / "Microsoft" / "Windows" / "Start Menu" / "Programs"

    def script(words: Sequence[str]) -> str:
        return f"@echo off\r\nrem {MARK}\r\n{' '.join(map(_batch_word, words))}\r\n"

    return (
        LoginFile(programs / "Startup" / f"{NAME}.cmd", script(command), "the start at log-in"),
        LoginFile(programs / "Racquet bench.cmd", script(opens), "the icon that opens the bench"),
    )


def _folder(variable: str, below_home: str) -> Path:
    """A folder of this user's: the one that the system names, or the usual one."""
    named = os.environ.get(variable, "")
    return Path(named) if Path(named).is_absolute() else Path.home() / below_home


def _desktop_word(word: str) -> str:
    """A word of a desktop entry's Exec: quoted, and then with the backslashes of any of its strings doubled."""
    quoted = re.sub(r'(["`$\\])', r"\\\1", word)
    return f'"{quoted}"'.replace("\\", "\\\\").replace("%", "%%")


def _unit_word(word: str) -> str:
    """A word of a unit's ExecStart: quoted, with what systemd would put values in for doubled."""
    quoted = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{quoted}"'


def _shell_word(word: str) -> str:
    quoted = word.replace("'", "'\\''")
    return f"'{quoted}'"


def _batch_word(word: str) -> str:
    return f'"{word.replace("%", "%%")}"'


def _there(path: Path) -> bool:
    return path.is_symlink() or path.exists()


def _ours(one: LoginFile) -> bool:
    """Whether what stands there was made here: a link of ours, or a text with our mark."""
    if one.to or one.path.is_symlink():
        return bool(one.to) and one.path.is_symlink() and str(one.path.readlink()) == one.to
    try:
        return MARK in opening.read_text(one.path, most=_MOST, errors="replace")
    except OSError:
        return False
