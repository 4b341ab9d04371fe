"""What starts the bench without a terminal: the files are what systems read, told one by one, and only ours are taken away."""

import configparser
import plistlib
import shlex
import xml.etree.ElementTree as ET

import pytest
from commandline import passport

from passport.acts.devices.atlogin import MARK, login_files, set_up, taken_away
from passport.acts.refused import Refused

COMMAND = ("/opt/my tools/passport", "bench", '/home/x/100 % "good" $HOME `id` \\ shop', "--port", "8030")


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    """A home of its own."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    return tmp_path


def test_the_icon_is_a_desktop_entry(home):
    """The keys that the Desktop Entry Specification 1.5 needs; its Exec says the command, word for word."""
    icon, entry, *_ = login_files(COMMAND, "linux")
    assert entry.path == home / ".local/share/applications/racquet-passport-bench.desktop"
    read = configparser.RawConfigParser(comment_prefixes="#")
    read.optionxform = str
    read.read_string(entry.text)
    keys = dict(read["Desktop Entry"])
    assert {"Type": "Application", "Terminal": "false", "Icon": icon.path.stem}.items() <= keys.items() and keys["Name"]
    one = (
        keys["Exec"].replace("%%", "%").replace("\\\\", "\\")
    )  # a string's own backslashes, then quotes like a shell's
    exec_line = one.replace("\\$", "$").replace("\\`", "`")
    assert shlex.split(exec_line) == [*COMMAND, "--open"]
    assert ET.fromstring(icon.text).tag == "{http://www.w3.org/2000/svg}svg"


def test_the_service_is_a_unit(home):
    """The unit says the command, word for word; it stands where a user's units do, and is wanted at log-in."""
    *_, unit, link = login_files(("/bin/true", *COMMAND[1:]), "linux")
    assert unit.path.parent == home / ".config/systemd/user" and link.path.parent.name == "default.target.wants"
    read = configparser.RawConfigParser(comment_prefixes="#")
    read.optionxform = str
    read.read_string(unit.text)
    words = shlex.split(read["Service"]["ExecStart"].replace("$$", "$").replace("%%", "%"))
    assert words == ["/bin/true", *COMMAND[1:]]
    assert read["Install"]["WantedBy"] == "default.target" and read["Service"]["StandardOutput"] == "null"


def test_the_others_are_what_their_systems_read():
    """macOS: a property list with the words of the command; Windows: a batch file. Neither was run on such a system."""
    agent, script = login_files(COMMAND, "darwin")
    assert plistlib.loads(agent.text.encode())["ProgramArguments"] == list(COMMAND)
    assert shlex.split(script.text.splitlines()[-1]) == ["exec", *COMMAND, "--open"] and script.runs
    start, opens = login_files(("C:\\x\\passport.exe", "bench", "D:\\100 %"), "win32")
    assert start.path.parent.name == "Startup" and '"D:\\100 %%"' in start.text and '"--open"' in opens.text


@pytest.mark.parametrize("system", ["linux", "darwin", "win32"])
def test_everything_is_written_and_taken_away_again(home, system):
    """What is written is all that there is, carries the mark, and is gone afterwards; a second time changes nothing."""
    files = login_files(COMMAND, system)
    for _ in range(2):
        set_up(files)
        assert {path for path in home.rglob("*") if path.is_file() or path.is_symlink()} == {one.path for one in files}
        assert all(MARK in one.path.read_text(encoding="utf-8") for one in files)
    assert set(taken_away(files)) == {one.path for one in files}
    assert not [path for path in home.rglob("*") if path.is_file() or path.is_symlink()]
    assert taken_away(files) == []


@pytest.mark.parametrize("place", range(4))
def test_what_others_made_stays(home, place):
    """A file or link of somebody else under one of the names stops everything, and is never taken away."""
    files = login_files(COMMAND, "linux")
    other = files[place].path
    other.parent.mkdir(parents=True)
    other.write_text("mine")
    with pytest.raises(Refused, match="not made by this program"):
        set_up(files)
    assert [path for path in home.rglob("*") if path.is_file()] == [other] and other.read_text() == "mine"
    assert taken_away(files) == [] and other.exists()


def test_the_command_tells_each_file_and_is_undone(home, monkeypatch, shop):
    """`--at-login` says exactly what it wrote, with the options beside it in the service; `--not-at-login` takes it away."""
    done = passport("bench", shop, "--at-login", "--phone", "--port", "8055", "--address", "192.0.2.7")
    files = {path for path in home.rglob("*") if (path.is_file() or path.is_symlink()) and shop not in path.parents}
    assert (
        files and all(str(path) in done.output for path in files) and done.output.count(str(home / ".")) >= len(files)
    )
    unit = next(path for path in files if path.suffix == ".service" and not path.is_symlink()).read_text()
    assert f'"bench" "{shop}" "--port" "8055" "--phone" "--phone-port" "8031" "--address" "192.0.2.7"' in unit
    gone = passport("bench", shop, "--not-at-login")
    assert all(str(path) in gone.output for path in files)
    assert not any(path.is_symlink() or path.exists() for path in files)


@pytest.fixture
def shop(tmp_path):
    """A small shop."""
    import smallshop

    return smallshop.write(tmp_path / "shop" / "content")
