"""No module opens a file to read it, or goes through a folder, but by `records.disk`; what is excepted says why."""

import ast

from places import ROOT

PACKAGE = ROOT / "passport"
READS = {"open", "read_text", "read_bytes", "fromfile", "FileSystemLoader", "TTFont", "ZipFile", "parse_file"}
WALKS = {"rglob", "glob", "iglob", "iterdir", "walk", "fwalk", "scandir", "listdir"}
OWN = {"opening", "walking", "assets"}
"""What a call of the same name is allowed on: the reader, the walker, and the shop's own files, which go by both."""
EXCEPTED = {
    ("records/disk/opening.py", "os.open"): "the one reader",
    ("records/disk/walking.py", "os.scandir"): "the one walker",
    ("records/transaction/atomic.py", "os.open"): "a folder, to have its entry on the disk",
    ("records/transaction/atomic.py", "path.parent.glob"): "names beside one file, of what killed commands left there",
    ("records/transaction/lock.py", "os.open"): "a lock that is made and written, with O_NOFOLLOW",
    ("publish/folder/swap.py", "target.parent.glob"): "names beside the site, of what killed builds left there",
    ("publish/folder/staging.py", "os.scandir"): "a site made by this program, fifty thousand files by inode",
    ("records/photofile.py", "Image.open"): "a file that the reader opened",
    ("render/theme/logo.py", "Image.open"): "bytes in memory",
    ("render/pages/photos.py", "Image.open"): "bytes in memory",
    ("cli/commands/workshop/bench.py", "webbrowser.open"): "an address of the bench, in the browser",
    ("render/theme/textfit.py", "TTFont"): "a shipped font, named by this program",
    ("render/untrusted/typeface.py", "TTFont"): "bytes in memory",
    ("render/faces/cutting.py", "TTFont"): "bytes in memory",
    ("render/faces/shelf.py", "TTFont"): "bytes in memory",
    ("records/tables/packed.py", "zipfile.ZipFile"): "bytes in memory",
    ("records/tables/packed.py", "archive.open"): "a part of bytes in memory",
    ("publish/remote/memo.py", "path.open"): "notes of its own in a private folder, added to at their end",
    ("publish/remote/sftp.py", "self._sftp.open"): "a file on the far side",
    ("acts/safekeeping/archive.py", "zipfile.ZipFile"): "bytes in memory, or a file that the reader opened",
}
"""Module and call, with the reason why it does not go by the reader or the walker."""


def _called(node: ast.Call) -> str:
    return ast.unparse(node.func)


def found_in(text: str) -> set[str]:
    """The calls of a module's text that read or walk by themselves."""
    found = set[str]()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Call):
            name = _called(node)
            front, _, leaf = name.rpartition(".")
            if leaf in READS | WALKS and front not in (*OWN, "ast"):
                found.add(name)
    return found


def test_every_file_is_opened_and_every_folder_walked_by_the_one_way():
    """C1, C2: what opens or walks is the reader, the walker, or an exception with its reason, and no exception is idle."""
    found = {
        (path.relative_to(PACKAGE).as_posix(), name)
        for path in PACKAGE.rglob("*.py")
        for name in found_in(path.read_text(encoding="utf-8"))
    }
    assert found == set(EXCEPTED)


def test_the_search_sees_what_it_looks_for():
    """Each way to read or walk is found in a text that uses it."""
    text = "p.read_text()\nopen(p)\np.open()\nos.walk(p)\nlist(x.rglob('*'))\nopening.read(p)\nwalking.files(p)\n"
    assert found_in(text) == {"p.read_text", "open", "p.open", "os.walk", "x.rglob"}
