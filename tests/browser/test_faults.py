"""A fault in one player's record does not hide the others: their every screen, save and print is as without it."""

import re
import shutil

import pytest
from benchserver import serving
from browser.records.test_editing import address, filled
from browser.test_job import FIELDS
from commandline import tree
from places import DEMO
from pypdf import PdfReader

from passport.acts.reading import owned
from passport.acts.refused import Faulty
from passport.browser.counter.newcomer import FIELDS as ASKED

FRAME, REBUILD, WAITS = "/frame/askwell/i", "/frame/dunmarrow/one/rebuild", "/frame/quintaval/dos"
SCREENS = (
    "/", "/find?q=juniper", FRAME, f"{FRAME}/job", f"{FRAME}/order", f"{FRAME}/photo", f"{FRAME}/print", "/history",
    "/walk-in", "/online", "/rebuild", REBUILD, f"{REBUILD}/plans?blank=fallowgate-a", f"{REBUILD}/on/fallowgate-a",
    "/match?frame=askwell/i&frame=askwell/ii", "/player/askwell/match", "/records", "/records?kind=frame", "/devices",
    address(kind="player", name="askwell"), address(kind="frame", name="askwell/i"), address(kind="string"),
    address(kind="model", name="haldric-fallowgate-100"), address(kind="workshop", name="workshop"),
)  # fmt: skip
PRINTS = (
    "/card/askwell/i",
    "/card/askwell/i/tag",
    "/card/askwell/i/sticker",
    "/card/askwell/i/set",
    "/label/quintaval/dos",
)
SQUASH, EINS = "players/ibbetrick/squash.yaml", "players/wachtelberg/eins.yaml"


def broken(content):
    """A content folder with a player who cannot be read, a frame with a field that is unknown, and a number given twice."""
    (content / "players/tremorel/player.yaml").write_text("name: [\n")
    with (content / "players/hallerwund/eins.yaml").open("a") as record:
        record.write("nonsense: yes\n")
    number = re.search(r"^number: \S+", (content / SQUASH).read_text("utf-8"), re.MULTILINE)[0]
    text = (content / EINS).read_text("utf-8")
    (content / EINS).write_text(re.sub(r"^number: \S+", number, text, flags=re.MULTILINE), "utf-8")
    return content


@pytest.fixture(scope="module")
def benches(tmp_path_factory):
    """The demo's bench, and that of a copy with faults in the records of four players."""
    root = tmp_path_factory.mktemp("faults")
    for name in ("sound", "faulty"):
        shutil.copytree(DEMO, root / name)
    with serving(root / "sound") as sound, serving(broken(root / "faulty")) as faulty:
        yield sound, faulty


@pytest.mark.parametrize("path", SCREENS)
def test_every_screen_of_the_others_is_there(benches, path):
    """No screen of sound players, or of what all share, gives way to another's faults; the first one tells them."""
    page = benches[1].ask(path)
    assert page.status == 200, page.text
    assert ("errors in the records" in page.text) == (path == "/")


@pytest.mark.parametrize("path", PRINTS)
def test_every_print_of_the_others_is_the_same(benches, path, tmp_path):
    """Card, tag, sticker, set card and label say what they say where all records are sound."""
    said = []
    for asker in benches:
        got = asker.ask(path)
        assert got.headers["content-type"] == "application/pdf", got.text
        (tmp_path / "print.pdf").write_bytes(got.data)
        said.append([page.extract_text() for page in PdfReader(tmp_path / "print.pdf").pages])
    assert said[0] == said[1] and any(said[0])


@pytest.mark.parametrize("name", ["tremorel/un", "hallerwund/eins", "wachtelberg/eins", "ibbetrick/squash"])
def test_no_card_is_printed_of_whoever_has_the_fault(benches, name):
    """It is refused with the fault and its place: a number that two frames have leads to neither."""
    got = benches[1].ask(f"/card/{name}")
    assert got.status == 409 and f"players/{name.partition('/')[0]}/" in got.text
    assert "askwell" not in got.text
    assert benches[1].ask(f"/frame/{name}/photo").status in (200, 409)


def test_what_all_share_must_be_sound(tmp_path):
    """An error in the catalogue, which any card may rest on, stands in the way of every card."""
    shutil.copytree(DEMO, tmp_path / "content")
    strings = tmp_path / "content/catalogue/strings.yaml"
    strings.write_text(strings.read_text("utf-8") + "sable-125:\n  nonsense: yes\n", "utf-8")
    with pytest.raises(Faulty) as found:
        owned(tmp_path / "content", "askwell")
    assert {fault.place.file for fault in found.value.faults} == {str(strings)}


def test_every_save_of_the_others_writes_the_same(benches):
    """A job, an order, a walk-in of a known player, a field of a record, a knot, and what takes the last change back."""
    before = [tree(asker.serving.bench.root) for asker in benches]
    written = []
    for asker in benches:
        asker.send(f"{WAITS}/knot", {"act": "tie"})
        forms = [
            (f"{WAITS}/job", asker.offered(f"{WAITS}/job", FIELDS, mass="321.6", note="As before.")),
            (f"{FRAME}/order", asker.offered(f"{FRAME}/order", ("once", "basis", "mains", "mains_tension"), promised="friday")),
            ("/walk-in", {**dict.fromkeys(ASKED, ""), "done": "order", "once": "w", "act": "save", "player": "quintaval",
                          "which": "quintaval/tres", "mains_tension": "23 kg", "promised": "tomorrow"}),
            ("/record", filled(asker.ask(address(kind="player", name="askwell")), at_plays_a_week="4")),
            ("/record", filled(asker.ask(address(kind="string")), at_maker="Ostrava Lines", at_name="Sable", at_gauge="1.25 mm",
                               at_material="polyester")),
        ]  # fmt: skip
        for path, form in forms:
            got = asker.send(path, form)
            if got.status == 409 and 'name="agreed"' in got.text:
                got = asker.send(path, {**form, "agreed": got.value("agreed")})
            assert got.status == 303, got.text
        now = tree(asker.serving.bench.root)
        written.append({path: text for path, text in now.items() if text != before[len(written)].get(path)})
        asks = asker.send("/history", {"act": "undo"})
        assert asker.send("/history", {"act": "undo", "agreed": asks.value("agreed")}).status == 303
        assert tree(asker.serving.bench.root)["catalogue/strings.yaml"] == before[0]["catalogue/strings.yaml"]
    records = [{path: text for path, text in one.items() if path.endswith(".yaml")} for one in written]
    assert records[0] == records[1] and len(records[0]) == 5
