"""Attacks by the files of a content folder, from THREATS.md: C1 (files), C2 (folders), C6 (style), C7 (logo, typeface)."""

import io
import os
import random
import re
import socket
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest
import smallshop
from commandline import EPOCH, passport

from passport.records.disk import opening, walking
from passport.records.load import load
from passport.render.theme import assets
from passport.render.theme.logo import NotALogo, logo
from passport.render.untrusted import own_style, typeface

SECONDS = 90.0
"""What a command may take here, on a busy machine; those that hung did so for ever."""
COMMANDS = {
    "check": ("check", "CONTENT"),
    "build": ("build", "CONTENT", "--out", "SITE", "--no-cards"),
    "find": ("find", "CONTENT", "ada"),
    "show": ("show", "CONTENT", "ada/main"),
    "issue": ("issue", "CONTENT", "ada/new", "--yes"),
    "log": ("log", "CONTENT", "ada/main", "--again", "--no-build", "--yes"),
    "addresses": ("addresses", "CONTENT"),
    "due": ("due", "CONTENT"),
    "erase": ("erase", "CONTENT", "bo", "--yes"),
}


def run(name: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own, ended by force after `SECONDS`."""
    words = [{"CONTENT": str(folder), "SITE": str(folder.parent / "site")}.get(word, word) for word in COMMANDS[name]]
    return subprocess.run(
        [sys.executable, "-m", "passport.cli.main", *words], capture_output=True, text=True, check=False, timeout=SECONDS,
        cwd=folder.parent, env={**os.environ, "SOURCE_DATE_EPOCH": EPOCH, "PASSPORT_JOBS": "1"},
    )  # fmt: skip


def _pipe(path: Path) -> None:
    path.unlink(missing_ok=True)
    os.mkfifo(path)


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


@pytest.mark.parametrize("name", COMMANDS)
def test_no_command_waits_for_a_pipe(content, name):
    """C1: pipes among the records, the shop's own files and the ledger make no command wait."""
    for place in ("players/ada/pipe.yaml", "players/pipe.yaml", "players/bo/pipe", "pages/pipe.md", "ledger.txt"):
        _pipe(content / place)
    for place in ("style/pipe.css", "messages/pipe.po", "templates/pipe.j2", "fonts/pipe.woff2", "photos/pipe.jpg"):
        (content / place).parent.mkdir(exist_ok=True)
        _pipe(content / place)
    done = run(name, content)
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", COMMANDS)
def test_no_command_walks_in_circles(content, name):
    """C2: links to the folder itself, to one above it and to the whole disk are not walked, by any command."""
    for number in range(8):
        (content / f"players/loop{number}").symlink_to(".")
        (content / f"loop{number}").symlink_to(".")
        (content / f"players/ada/loop{number}").symlink_to("..")
    (content / "players/root").symlink_to("/")
    (content / "disk").symlink_to("/")
    for folder in ("style", "messages", "templates", "fonts", "photos"):
        (content / folder).mkdir()
        (content / folder / "root").symlink_to("/")
    done = run(name, content)
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr
    if name in ("check", "build"):
        assert "linked-folder" in done.stderr
        assert not (content.parent / "site").exists()


def test_what_is_no_ordinary_file_is_not_opened(tmp_path):
    """C1: pipes, sockets, folders, devices and links to them are refused before they are opened."""
    with socket.socket(socket.AF_UNIX) as server:
        os.chdir(tmp_path)  # the name of a socket has a hundred letters at most
        server.bind("socket")
        _pipe(tmp_path / "pipe")
        (tmp_path / "folder").mkdir()
        (tmp_path / "device").symlink_to("/dev/zero")
        (tmp_path / "terminal").symlink_to("/dev/tty")
        (tmp_path / "link").symlink_to("pipe")
        for name in ("socket", "pipe", "folder", "device", "link"):
            for inside in (None, tmp_path):
                with pytest.raises(opening.NotRead):
                    opening.read(tmp_path / name, inside=inside)


def test_a_file_that_becomes_a_pipe_is_not_waited_for(tmp_path, monkeypatch):
    """C1: what takes a file's place after it was looked at is looked at again once it is open."""
    path, real = tmp_path / "file", os.stat
    path.write_text("x")
    ordinary = real(path)
    _pipe(path)
    monkeypatch.setattr(opening.os, "stat", lambda *a, **k: ordinary)
    with pytest.raises(opening.NotOrdinary):
        opening.read(path)


@pytest.mark.parametrize("size", [0, 999, 1000, 1001])
def test_the_most_bytes_are_read_and_no_more(tmp_path, size):
    """C1: a file as large as it may be is read, one byte more is refused, also where it grows meanwhile."""
    path = tmp_path / "file"
    path.write_bytes(b"x" * size)
    if size <= 1000:
        assert len(opening.read(path, most=1000)) == size
    else:
        with pytest.raises(opening.TooLarge):
            opening.read(path, most=1000)


def test_links_are_read_inside_their_folder_alone(tmp_path):
    """C1: a link to a file of the same folder is read, one that leads out, up or in a circle is not; nor is a path."""
    inside = tmp_path / "in"
    inside.mkdir()
    (inside / "real").write_text("x")
    (tmp_path / "out").write_text("SECRET")
    (tmp_path / "in-other").mkdir()
    (tmp_path / "in-other/x").write_text("SECRET")
    (inside / "good").symlink_to("real")
    for name, target in (
        ("bad", "../out"),
        ("near", "../in-other/x"),
        ("round", "round"),
        ("absolute", tmp_path / "out"),
    ):
        (inside / name).symlink_to(target)
    assert opening.read(inside / "good", inside=inside) == b"x"
    for name in ("bad", "near", "round", "absolute", "../out"):
        with pytest.raises(opening.Outside):
            opening.read(inside / name, inside=inside)


def test_a_folder_with_too_much_in_it_is_an_error(tmp_path, monkeypatch, content):
    """C2: more files than a workshop can have end the walk, and a command says so in a sentence."""
    for number in range(30):
        (tmp_path / f"f{number}").touch()
    with pytest.raises(walking.TooMany):
        list(walking.entries(tmp_path, most=20))
    with pytest.raises(walking.TooMany):
        walking.listed(tmp_path, most=20)
    monkeypatch.setattr(walking.entries, "__kwdefaults__", {"hidden": False, "most": 5})
    result = passport("find", content, "ada")
    assert result.exit_code == 1
    assert "more than 5 files" in result.stderr


def test_a_deep_folder_is_walked(tmp_path):
    """C2: depth has no bound of its own, and takes no recursion."""
    deep = tmp_path
    for _ in range(200):
        deep = deep / "d"
        deep.mkdir()
    (deep / "leaf").touch()
    assert [path for path, _ in walking.entries(tmp_path) if path.endswith("leaf")] == ["d/" * 200 + "leaf"]


def test_a_link_to_a_folder_is_a_fault_with_its_place(content):
    """C2: whichever of its folders is a link, the content has an error that names it."""
    for name in ("catalogue", "blanks", "pages", "players/ada"):
        aside = content / f"{name.replace('/', '-')}-real"
        (content / name).rename(aside)
        (content / name).symlink_to(aside)
        faults = load(content)[1]
        assert (str(content / name), "linked-folder") in {(f.place.file, f.rule) for f in faults}
        (content / name).unlink()
        aside.rename(content / name)


# --- rules of style --------------------------------------------------------------------------------------------

FOREIGN = (
    "@import 'x.css';", "@IMPORT url(x.css);", "@\\69mport 'x';", "@i\\6d port 'x';", "@import/**/'x';", "/**/@import 'x';",
    "@media print { @import 'x'; a { b: c } }", "a{background:url(https://e.example)}", "a{background:URL( 'https://e.example' )}",
    "a{background:u\\72l(//e.example)}", "a{background:\\75 rl(//e.example)}", "a{background:url(//e.example)}",
    "a{background:url(/\\\\x.example)}", "a{background:url('\\/\\/e.example')}", "a{background:url(\\68ttps://e.example)}",
    "a{background:url(ht\\a tps://e.example)}", "a{background:url(\\9//e.example)}", "a{background:url(' //e.example')}",
    "a{background:image-set('https:e.example' 1x)}", "a{background:-webkit-image-set('//e.example' 1x)}",
    "a{background:image-set(var(--x) 1x)}", "a{--x:'//e.example'}", "a{--x:url(//e.example)}", "a{background:src('//e.example')}",
    "a{background:src(var(--x))}", "@font-face{font-family:x;src:url(//e.example)}", "a{background:url(ftp://e.example)}",
    "a{background:url(data:text/html,x)}", "a{background:url(javascript:x)}", "a{b:c;}}a{background:url(//e.example)}",
    "a{background:image(ltr 'https://e.example')}", "@supports (a:b){@media x{a{background:url(//e.example)}}}",
    "a{&:hover{background:url(//e.example)}}", "a[href='//e.example']{}", "@namespace url(https://e.example);", "a{background:url(blob:x)}",
)  # fmt: skip
"""Ways to have a page load something from elsewhere, written so that a search of the text passes by most of them."""
HARMLESS = (
    ".ticket { border-radius: 0 }\n", "a::before{content:'Tel: 12'}", "a{background:url(../assets/logo.svg)}",
    "@media print{a{color:red}}", "a{background:url(data:image/png;base64,AAAA)}", "a{color:rgb(1 2 3/50%);width:calc(1px + 2%)}",
    "@font-face{font-family:x;src:url('../fonts/x.woff2') format('woff2')}", "a{--x:1px;margin:var(--x)}", "a>b~c+d::after{content:'\\201c'}",
)  # fmt: skip


@pytest.mark.parametrize("css", FOREIGN)
def test_nothing_is_loaded_from_elsewhere_however_it_is_written(css):
    """C6: each of these is refused, by the check with its place and by what writes the site."""
    with pytest.raises(own_style.BadStyle):
        own_style.cleaned(css)
    assert own_style.slips(css)


@pytest.mark.parametrize("css", HARMLESS)
def test_ordinary_rules_are_kept(css):
    """C6: rules that load nothing from elsewhere mean the same afterwards."""
    made = own_style.cleaned(css)
    assert made.replace('"', "'").replace("\u201c", "\\201c") == css.replace('"', "'")
    assert own_style.cleaned(made) == made


def test_comments_are_taken_out():
    """C6: what was a note to oneself is not on the site, at any depth of the rules."""
    made = own_style.cleaned("/* ZQ */a/* ZQ */{b:/* ZQ */c;d:e(/* ZQ */)}@media x{/* ZQ */a{b:c}}/* ZQ */")
    assert "ZQ" not in made
    assert "c" in made


@pytest.mark.parametrize("seed", range(300))
def test_no_made_up_style_gets_through(seed):
    """C6: pieces of attacks put together at random are refused, or nothing foreign is in what a parser makes of the result."""
    import tinycss2

    chance = random.Random(seed)
    pieces = [
        "@import",
        "url(",
        "//",
        "https:",
        "e.example",
        ")",
        "}",
        "{",
        ";",
        ":",
        "a",
        "'",
        '"',
        "\\",
        "/*",
        "*/",
        "\\75",
        "\\72",
        "l(",
        "image-set(",
        "\n",
        "var(--x)",
        "data:",
        "--x",
        ",",
        "src(",
    ]
    css = "".join(chance.choice(pieces) for _ in range(chance.randrange(3, 40)))
    try:
        made = own_style.cleaned(css)
    except own_style.BadStyle:
        return
    assert not own_style.slips(made)
    for token in tinycss2.parse_component_value_list(made):
        assert not (token.type == "url" and "//" in token.value)


def _seconds(style: str) -> float:
    """The processor time of one look at a style; the least of several leaves out what a collector of garbage takes."""
    start = time.process_time()
    own_style.slips(style)
    return time.process_time() - start


def test_a_deep_style_and_a_long_one_end():
    """C6, C8: braces ten thousand deep, and much of one kind, are answered in a time that grows as the size does."""
    for piece in ("(", "{", "a{b:c}\n", "/*", "\\", "@media x{", "a{b:url("):
        took = []
        for count in (2_500, 10_000):
            took.append(min(_seconds("a{b:" + piece * count) for _ in range(3)))
        assert took[1] < 10 * max(took[0], 0.05), piece


@pytest.mark.parametrize("place", ["style/extra.css", "style/tokens.css", "templates/style/pages.css"])
def test_a_build_writes_no_foreign_style(content, place, tmp_path):
    """C6: wherever in the folder a style sheet stands above a shipped one, it is read by the parser."""
    (content / place).parent.mkdir(parents=True, exist_ok=True)
    (content / place).write_text("a{background:u\\72l(//e.example/x)}")
    result = passport("build", content, "--out", tmp_path / "site", "--no-cards")
    assert result.exit_code == 1
    assert "foreign-address" in result.stderr
    assert not (tmp_path / "site").exists()


# --- logo and typeface -----------------------------------------------------------------------------------------


def _svg(inside: str, head: str = "") -> bytes:
    return f'{head}<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1">{inside}</svg>'.encode()


def test_a_drawing_is_written_by_the_library():
    """C7: what is written is what a parser of its own understood: no comment, instruction, style or address is in it."""
    data = _svg(
        "<!-- ZQ --><?ZQ?><style>ZQ{}</style><path d='M0 0' id='&#90;Q1'/><a href='https://ZQ'><path d='M1 1'/></a>"
    )
    made = logo(data).data
    assert b"ZQ" not in made.replace(b'id="ZQ1"', b"")
    assert b"M0 0" in made


@pytest.mark.parametrize(
    "data",
    [
        _svg("&x;", '<!DOCTYPE svg [<!ENTITY x "y">]>'),
        _svg("&x;", '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>'),
        _svg(
            "&x9;",
            "<!DOCTYPE svg [<!ENTITY x0 'a'>" + "".join(f"<!ENTITY x{i + 1} '&x{i};&x{i};'>" for i in range(9)) + "]>",
        ),
        _svg("<g>" * 100_000 + "</g>" * 100_000),
        _svg("x")[:-3],
        b"\xff\xfe" + _svg("x"),
        b"",
    ],
)
def test_a_drawing_that_would_grow_or_act_is_none(data):
    """C7, C8: entities, endless nesting and broken files are refused with a sentence."""
    with pytest.raises(NotALogo):
        logo(data)


FONT = assets.fonts() / "text-600.woff2"


def test_a_typeface_is_written_anew():
    """C7: the letters are the same, and its programs, notes and unknown tables are gone."""
    from fontTools.ttLib import TTFont, newTable
    from fontTools.ttLib.tables.ttProgram import Program

    font = TTFont(io.BytesIO(FONT.read_bytes()))
    for tag, data in (("ZQZQ", b"secret"), ("meta", None)):
        table = newTable(tag)
        table.data = data
        if data:
            font[tag] = table
    table = newTable("fpgm")
    table.program = Program()
    table.program.fromBytecode(b"\xb0\x00\x2c\x2d")
    font["fpgm"] = table
    font["name"].setName("ZQ note", 10, 3, 1, 0x409)
    out = io.BytesIO()
    font.save(out)
    before, after = TTFont(io.BytesIO(out.getvalue())), TTFont(io.BytesIO(typeface.typeface(out.getvalue())))
    assert {"ZQZQ", "fpgm"} <= set(before.keys())
    assert not {"ZQZQ", "fpgm", "prep", "cvt ", "DSIG"} & set(after.keys())
    assert not [n for n in after["name"].names if n.nameID not in (1, 2, 4, 6)]
    assert set(after.getBestCmap()) == set(before.getBestCmap())
    for letter in "AagÖ1":
        old, new = (f["hmtx"][f.getBestCmap()[ord(letter)]] for f in (before, after))
        assert old == new


def _bomb(size: int) -> bytes:
    """A WOFF2 file of two tables whose data unpack to ``size`` bytes."""
    import brotli

    packed = brotli.compress(bytes(size))
    directory = bytes([0x3F]) + b"ZQZQ" + bytes([0x8F, 0xFF, 0xFF, 0x7F])
    head = struct.pack(
        ">4sIIHHIIHHIIIII", b"wOF2", 0x10000, 48 + len(directory) + len(packed), 1, 0, 100, len(packed), *[0] * 7
    )
    return head + directory + packed


@pytest.mark.parametrize(
    "data",
    [
        b"", b"wOF2", b"wOF2" + bytes(100), FONT.read_bytes()[:-1], FONT.read_bytes() + b"x", _bomb(40_000_000), b"OTTO" + bytes(60),
        FONT.read_bytes()[:60] + bytes(100) + FONT.read_bytes()[160:],
    ],
    ids=["empty", "mark", "zeros", "short", "long", "bomb", "other", "damaged"],
)  # fmt: skip
def test_what_is_no_typeface_is_refused(data):
    """C7: broken files, and one that unpacks to forty megabytes, are refused with a sentence."""
    with pytest.raises(typeface.NotATypeface):
        typeface.typeface(data)


@pytest.mark.parametrize("seed", range(12))
def test_no_damaged_typeface_breaks_the_program(seed):
    """C7: bytes changed at random give a typeface or a refusal, and nothing else."""
    chance, data = random.Random(seed), bytearray(FONT.read_bytes())
    for _ in range(chance.randrange(1, 6)):
        data[chance.randrange(44, 600)] = chance.randrange(256)
    try:
        made = typeface.typeface(bytes(data))
    except typeface.NotATypeface as error:
        assert re.match(r"it ", str(error))
    else:
        assert made.startswith(b"wOF2")


def test_records_of_a_stranger_are_bounded():
    """C8: that size, depth and time of records, words and tables are bounded is tried in test_hostile and the fuzzing."""
    from passport.records.load import LARGEST_FILE
    from passport.workshop.entry.csv_jobs import LARGEST

    assert LARGEST_FILE <= 8_000_000
    assert LARGEST <= 20_000_000
