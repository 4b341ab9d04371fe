"""Photos at the bench: from the camera straight into the record, and every way in which that is abused."""

import io
import re
import shutil

import pytest
import smallshop
from benchserver import Asker, RoomAsker, serving
from commandline import passport
from pictures import SECRET, camera, claiming
from PIL import Image

from passport.browser.devices.room import RoomWish
from passport.browser.doorkeeper import LONGEST_PICTURE

FRAME = "/frame/ada/main"
PHOTO = f"{FRAME}/photo"


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A small shop in which a frame waits."""
    content = smallshop.write(tmp_path_factory.mktemp("shop") / "content")
    passport("take", content, "ada/main", "--again", "--condition", "crack none", "--yes", "--sure")
    return content


@pytest.fixture(params=["here", "phone"])
def bench(request, shop, tmp_path, monkeypatch):
    """Its bench, on this computer and on a paired phone."""
    for name in ("XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "settings"))
    content = tmp_path / "content"
    shutil.copytree(shop, content)
    with serving(content, RoomWish("127.0.0.1") if request.param == "phone" else None) as own:
        if request.param == "phone":
            phone = RoomAsker(own.serving)
            phone.pair(own)
            yield phone
        else:
            yield own


def photos(bench) -> list[str]:
    """The files of the photos folder."""
    return sorted(path.name for path in (bench.serving.bench.root / "photos").glob("*"))


def test_a_photo_of_the_condition_goes_into_the_order(bench):
    """A HEIC picture held upright stands in the record, small, upright and bare; it is shown, and can be taken back."""
    assert bench.ask(f"{PHOTO}/condition").status == 404
    got = bench.follow(bench.send_picture(PHOTO, {"of": "condition"}, camera(2000, 1500, 6, "HEIF")))
    assert "photo: ada-main-2026-11-25.jpg" in got.text
    record = (bench.serving.bench.root / "players/ada/main.yaml").read_text(encoding="utf-8")
    assert "photo: ada-main-2026-11-25.jpg" in record
    page = bench.ask(PHOTO).text
    assert f'src="{PHOTO}/condition"' in page
    seen = bench.ask(f"{PHOTO}/condition")
    assert seen.headers["content-type"] == "image/webp" and Image.open(io.BytesIO(seen.data)).size == (312, 416)
    assert SECRET.encode() not in seen.data
    change = got.value("change")
    asked = bench.send("/history", {"act": "undo", "change": change})
    bench.send("/history", {"act": "undo", "change": change, "agreed": asked.value("agreed")})
    assert photos(bench) == []


def test_a_photo_of_the_page_needs_words(bench):
    """Without a text for people who cannot see it nothing is saved, and the form says so; with one it is."""
    got = bench.send_picture(PHOTO, {"of": "page", "alt": " "}, camera())
    assert got.status == 409 and "for people who cannot see it. Nothing was saved" in got.text and photos(bench) == []
    got = bench.follow(bench.send_picture(PHOTO, {"of": "page", "alt": "On the bench"}, camera()))
    assert "photo_alt: On the bench" in got.text and photos(bench) == ["ada-main-2026-11-25.jpg"]


def test_a_form_that_is_sent_twice_writes_once(bench):
    """What a bad network sends again is the same form, and one photo."""
    form = {"of": "condition", "once": "the same"}
    first, again = (bench.send_picture(PHOTO, form, camera()) for _ in range(2))
    assert first.status == again.status == 303 and first.headers["location"] == again.headers["location"]
    assert len(photos(bench)) == 1


@pytest.mark.parametrize(
    ("picture", "what"),
    [(b"", "No photo came"), (None, "No photo came"), (b"GIF89a", "it is not a JPEG"), (claiming(9000, 7000), "pixels"),
     (claiming(60_000, 60_000), "pixels"), (camera()[:900], "it is damaged")],
    ids=["empty", "none", "gif", "63 megapixels", "bomb", "cut"],
)  # fmt: skip
def test_what_is_no_picture_is_told(bench, picture, what):
    """D7: What is sent as a picture and is none is refused with a reason, and nothing is written."""
    got = bench.send_picture(PHOTO, {"of": "condition"}, picture)
    assert got.status == 409 and what in got.text and "Nothing was saved" in got.text
    assert photos(bench) == []


@pytest.mark.parametrize("called", ["../../players/ada/main.yaml", "/etc/passwd", "C:\\x.jpg", "a\0b", "x" * 5000, "."])
def test_a_name_that_is_sent_names_nothing(bench, called):
    """D7: The name of what is sent becomes no file's."""
    got = bench.send_picture(PHOTO, {"of": "condition"}, camera(), called=called)
    assert got.status in (303, 413) and photos(bench) in (["ada-main-2026-11-25.jpg"], [])


@pytest.mark.parametrize(
    ("headers", "form", "status"),
    [
        ({"Origin": "http://evil.example"}, {}, 403),
        ({"Origin": None}, {}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, {}, 403),
        ({}, {"token": ""}, 403),
        ({}, {"token": "0" * 64}, 403),
        ({"Cookie": None}, {}, 403),
        ({"Host": "evil.example"}, {}, 421),
        ({"Content-Type": "application/x-www-form-urlencoded"}, {}, 415),
        ({"Content-Type": "multipart/form-data"}, {}, 413),
        ({"Content-Type": "multipart/form-data; boundary=other"}, {}, 413),
        ({"Content-Length": str(LONGEST_PICTURE + 1)}, {}, 413),
        ({"Content-Length": "9" * 18}, {}, 413),
    ],
)
def test_no_page_from_elsewhere_sends_a_photo(bench, headers, form, status):
    """D7: Another site, another token, nobody who is known, another kind of form, or one that says that it is too large."""
    got = bench.send_picture(PHOTO, {"of": "condition", **form}, camera(), headers)
    assert got.status == status and photos(bench) == []


def test_many_parts_are_no_form(bench):
    """D7: More fields or files than the form has, and a field longer than any, are refused."""
    assert bench.send_picture(PHOTO, {str(n): "" for n in range(100)}, camera()).status == 413
    assert bench.send_picture(PHOTO, {"alt": "a" * 100_000}, camera()).status == 413
    assert photos(bench) == []


def test_a_picture_that_is_larger_than_it_says_is_cut_off(bench):
    """D7: Chunks without end are not read to their end."""
    headers = {"Transfer-Encoding": "chunked", "Content-Length": None}
    got = bench.send_picture(PHOTO, {"of": "condition"}, camera(), headers)
    assert got.status in (400, 411, 413) and photos(bench) == []


@pytest.mark.parametrize(
    "path", [f"{PHOTO}/..%2f", f"{PHOTO}/main.yaml", f"{PHOTO}/Condition", "/photos/x.jpg", f"{PHOTO}/"]
)
def test_no_file_is_shown_but_the_record_s_photo(bench, path):
    """D7: No address leads to a file of the photos folder by its name."""
    assert bench.ask(path).status in (400, 404, 307)


def test_a_stranger_sees_no_photo_and_sends_none(bench):
    """D7: Who is not let in gets the page that says so, for a photo too."""
    bench.send_picture(PHOTO, {"of": "condition"}, camera())
    stranger = type(bench)(bench.serving)
    for got in (stranger.ask(f"{PHOTO}/condition"), stranger.ask(PHOTO)):
        assert got.status == 403 and got.headers["content-type"].startswith("text/html")
    token = {"token": bench.token if isinstance(bench, Asker) else ""}
    assert stranger.send_picture(PHOTO, {"of": "condition", **token}, camera()).status == 403
    assert len(photos(bench)) == 1


def test_a_frame_that_does_not_wait_has_no_form_for_its_condition(bench):
    """Its condition is noted when it is taken in; the page's photo can be taken at any time."""
    page = bench.ask("/frame/ada/twin/photo").text
    assert re.findall(r'name="of" value="(\w+)"', page) == ["page"]
    got = bench.send_picture("/frame/ada/twin/photo", {"of": "condition"}, camera())
    assert got.status == 409 and photos(bench) == []
