"""What was written of a part and of the handle is on every piece: page, data, card, tag, set card, bench sheet, terminal."""

import io
import json

import pytest
import smallshop
from commandline import passport
from pypdf import PdfReader

from passport.records.load import load
from passport.render.pages.data import setup_json
from passport.render.pages.pages import Pages
from passport.render.print.card import card_pdf
from passport.render.print.recipe import recipe
from passport.render.print.tag import tag_pdf
from passport.render.sheets.sheet import rebuild_pdf
from passport.render.theme.assets import templates
from passport.workshop.gathering.gather import gatherer_of
from passport.workshop.rebuild.rebuild import rebuild
from passport.workshop.rebuild.subject import Workbench

RECORD = """\
model: larch-98
label: Main
set: pair
grip: L3
setup: {mass: 331 ± 2 g, swingweight: 319 kgcm2}
build:
  - {part: thin-overgrip, place: along the handle, length: 181 mm, note: left hand}
handle: {circumference: 109 mm, over: overgrip, wound: left-handed}
jobs:
  - date: 2026-01-05
    strings: {mains: {string: reed-125, tension: 24 kg}}
    fitted:
      - {part: lead-tape, place: 3 only, length: 77 mm, note: mind the edge}
    readings: {mass: 330.5 g, balance: 329 mm, swingweight: 318.5 kgcm2}
"""
BLANK = "model: larch-98\nreadings: {state: bare, mass: 305 g, balance: 322 mm, swingweight: 285 kgcm2}\n"


def _plain(text: str) -> str:
    return " ".join(text.replace("\u202f", " ").replace("\u00a0", " ").split())


def _pdf(data: bytes) -> str:
    return _plain(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages))


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Every piece of one frame as text, by its name."""
    root = tmp_path_factory.mktemp("pieces") / "content"
    head = f"number: {smallshop.NUMBERS['main']}\nkey: {smallshop.KEYS['main']}\n"
    smallshop.write(root, {"players/ada/main.yaml": head + RECORD, "blanks/larch-a.yaml": BLANK})
    content, faults = load(root)
    assert not faults, [fault.text() for fault in faults]
    site = gatherer_of(content).site()
    frame = next(f for f in site.frames if f.name == "ada/main")
    return {
        "page": _plain(Pages(site.shop, site.pages, (templates(),)).frame(frame, {"setup": "setup.json"}).decode()),
        "setup data": setup_json(frame).decode(),
        "card": _pdf(card_pdf(frame, site.shop)),
        "tag": _pdf(tag_pdf(frame, site.shop)),
        "code": _plain(recipe(frame).plain),
        "bench sheet": _pdf(
            rebuild_pdf([rebuild(Workbench(content, smallshop.TODAY), "ada/main", "larch-a")], site.shop)
        ),
        "show": _plain(passport("show", root, "ada/main").output),
    }


@pytest.mark.parametrize("piece", ["page", "setup data", "card", "tag", "code", "show"])
def test_a_strip_on_one_side_with_its_length_and_note(made, piece):
    """How long it is cut, that it is alone, and what was noted of it."""
    text = made[piece]
    assert "77" in text
    assert "mind the edge" in text
    assert "3 only" in text or "3 o’clock only" in text or "3 o'clock only" in text


@pytest.mark.parametrize("piece", ["page", "setup data", "tag", "code", "bench sheet", "show"])
def test_a_grip_with_its_note_and_the_handle(made, piece):
    """A grip's length and note, and how the handle is built up; the setup data in its own words."""
    text = made[piece]
    assert "left hand" in text
    assert "181" in text
    if piece == "setup data":
        assert json.loads(text)["handle"] == {
            "circumference_mm": 109, "measured_over": "overgrip", "overgrip_wound": "left-handed",
        }  # fmt: skip
    else:
        assert "109mm round over the overgrip" in text.replace("109 mm", "109mm")  # the code does without the space
        assert "left-handed" in text
