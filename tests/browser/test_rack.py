"""The first screen: what waits, in which order, and the search."""

import json
import re
import shutil

import pytest
import smallshop
from benchserver import serving
from commandline import passport
from places import DEMO

LATE, CRACKED = "players/ada/main.yaml", "players/ada/twin.yaml"


def with_order(path: str, order: str) -> dict[str, str | None]:
    """A record of the small shop with an order before its jobs."""
    return {path: smallshop.FILES[path].replace("jobs:\n", f"order: {order}\njobs:\n", 1)}


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """The demo's bench, with one more order."""
    content = tmp_path_factory.mktemp("demo") / "content"
    shutil.copytree(DEMO, content)
    passport("take", content, "1042-9", "--tension", "2 lb looser", "--promised", "2026-11-26", "--yes", "--sure")
    with serving(content) as asker:
        yield asker, content


def test_the_rack_is_the_day_s(bench):
    """The frames stand in the order in which ``passport day`` has them, with their promises, days late and tensions."""
    asker, content = bench
    page = asker.ask("/").text
    rack = json.loads(passport("day", content, "--json").stdout)["rack"]
    assert len(rack) == 3
    shown = re.findall(r'class="slot[^"]*">\s*<a href="/frame/([^"]+)"', page)
    assert shown == [one["frame"] for one in rack]
    slots = page.split('<li class="slot')[1:]
    for one, slot in zip(rack, slots, strict=True):
        assert one["number"] in slot and one["player"] in slot
        late = re.search(r"(\d+) days? late", slot)
        assert (int(late[1]) if late else 0) == one["days_late"]
    assert "49 lb / 47 lb" in slots[[one["number"] for one in rack].index("1042-9")].replace(
        "\N{NARROW NO-BREAK SPACE}", " "
    )


def test_figures_keep_their_units_from_right_to_left(tmp_path):
    """In Arabic a figure with its unit, and a telephone number, is one piece that runs from left to right (Unicode Standard
    Annex 9); what people wrote, and what fields hold and send back, has no sign added."""
    content = tmp_path / "content"
    shutil.copytree(DEMO, content)
    workshop = content / "workshop.yaml"
    workshop.write_text(workshop.read_text("utf-8").replace("language: en ", "language: ar "), "utf-8")
    with serving(content) as asker:
        rack, job = asker.ask("/").text, asker.ask("/frame/quintaval/dos/job").text
    assert '<html lang="ar" dir="rtl">' in rack
    assert "\u206624.5\u202fkg\u2069 / \u206623.0\u202fkg\u2069" in rack
    assert "\u206601632 960112\u2069" in rack
    assert "grommets worn 9T 10T, bumper worn" in rack
    held = re.findall(r'value="([^"]*)"|<textarea[^>]*>([^<]*)<', job)
    assert ("24.5 kg", "") in held and not re.search("[\u2066-\u2069]", "".join(map("".join, held)))


def test_who_is_due_and_what_is_to_be_collected(bench):
    """Whoever ``passport due`` lists and does not wait is listed with contact, and what is done and not collected."""
    asker, content = bench
    page = asker.ask("/").text
    due = json.loads(passport("due", content, "--within", "14", "--json").stdout)
    there = [one for one in due if f'/frame/{one["frame"]}"' in page]
    assert there and "to be collected" in page and "1003-1" in page


def test_a_card_s_address_opens_its_frame(bench):
    """What a hand scanner types, the address on a card or a number, leads to the frame; a name that fits several lists them."""
    asker, content = bench
    key = re.search(r"^key: (\w+)", (content / "players/askwell/i.yaml").read_text(), re.MULTILINE)[1]
    for said in (f"HTTPS://PASS.QUILLMOOR.EXAMPLE/{key}/", "1042-9", "juniper 1042"):
        got = asker.ask(f"/find?q={said.replace(' ', '+')}")
        assert (got.status, got.headers["location"]) == (303, "/frame/askwell/i"), said
    found = asker.ask("/find?q=juniper")
    assert found.status == 200 and found.text.count('href="/frame/askwell/') == 4


def test_a_fault_in_one_record_does_not_hide_the_others(tmp_path):
    """A record with an error is told with its place and what to do, and all else is there; what was repaired comes back."""
    late = with_order(LATE, "{taken: 2026-11-01, promised: 2026-11-20, asked: as before}")
    broken = {**late, CRACKED: smallshop.FILES[CRACKED] + "tension: 52 lb\n"}
    with serving(smallshop.write(tmp_path / "content", broken)) as asker:
        page = asker.ask("/").text
        assert "1 error in the records" in page
        assert "twin.yaml:" in page and "is not known here" in page
        assert "5 days late" in page and '/frame/ada/main"' in page
        assert asker.ask("/frame/ada/main").status == 200
        assert asker.ask("/frame/ada/twin").status == 409
        smallshop.write(tmp_path / "content", late)
        assert "error in the records" not in asker.ask("/").text
        assert asker.ask("/frame/ada/twin").status == 200


def test_without_a_workshop_it_says_so(tmp_path):
    """Where too little can be read the screen says what and why, and the bench goes on when that is mended."""
    root = smallshop.write(tmp_path / "content", {"workshop.yaml": "name: [\n"})
    with serving(root) as asker:
        got = asker.ask("/")
        assert got.status == 409 and "workshop.yaml" in got.text
        smallshop.write(root)
        assert asker.ask("/").status == 200


def test_the_shop_s_language(tmp_path):
    """A shop whose language is German or French has the bench in it."""
    for language, words in (("de", "Am Ständer"), ("fr", "Au râtelier"), ("es", "En el perchero")):
        text = smallshop.FILES["workshop.yaml"].replace("tagline:", f"language: {language}\ntagline:")
        with serving(smallshop.write(tmp_path / language, {"workshop.yaml": text})) as asker:
            page = asker.ask("/").text
            assert words in page and f'<html lang="{language}">' in page
