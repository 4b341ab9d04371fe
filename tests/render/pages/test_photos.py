"""Photos for the page: upright, small, and with nothing of the camera left in them."""

import io
import time
import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pictures import SECRET, camera, claiming
from PIL import Image, ImageFile

from passport.render.pages.photos import ENOUGH, WIDEST, NotAPhoto, prepared, shown_size
from passport.render.pictures.camera import taken_photo


def opened(data: bytes) -> Image.Image:
    """A picture, decoded."""
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture


@pytest.mark.parametrize("kind", ["JPEG", "MPO", "PNG", "WEBP"])
def test_nothing_of_the_camera_is_left(kind):
    """Place, day, device, description, comment and colour profile of a photo are nowhere in what is shown of it."""
    data = camera(kind=kind)
    assert SECRET.encode() in data, "the photo itself tells"
    made = prepared(data)
    for shown in (made.webp, made.jpeg):
        assert SECRET.encode() not in shown
        picture = opened(shown)
        assert not picture.getexif()
        assert not {"exif", "icc_profile", "xmp", "comment", "photoshop", "Author"} & set(picture.info)
        assert b"Exif" not in shown
        assert b"GPS" not in shown


@pytest.mark.parametrize(
    ("orientation", "size", "left_top", "right_bottom"),
    [
        (1, (400, 300), "red", "blue"),
        (3, (400, 300), "blue", "red"),
        (6, (300, 400), "red", "blue"),
        (8, (300, 400), "blue", "red"),
    ],
)
def test_photos_stand_upright(orientation, size, left_top, right_bottom):
    """A photo is turned the way that its camera said it was held: the corners come to lie where they belong."""
    made = prepared(camera(orientation=orientation))
    assert (made.width, made.height) == size
    picture = opened(made.jpeg).convert("RGB")
    colours = {"red": lambda p: p[0] > 150 > p[2], "blue": lambda p: p[2] > 150 > p[0]}
    assert colours[left_top](picture.getpixel((20, 20)))
    assert colours[right_bottom](picture.getpixel((picture.width - 20, picture.height - 20)))


@given(st.integers(1, 9000), st.integers(1, 9000))
def test_the_shown_size_keeps_its_shape(width, height):
    """A photo is never made larger, never longer than it may be, and keeps its proportions to within a pixel."""
    shown = shown_size(width, height)
    assert max(shown) <= max(min(WIDEST, max(width, height)), 1)
    assert min(shown) >= 1
    scale = max(shown) / max(width, height)
    assert all(abs(s - max(1, scale * original)) <= 1 for s, original in zip(shown, (width, height), strict=True))


@pytest.mark.parametrize(
    ("width", "height", "turned"), [(1999, 1333, 1), (1333, 1999, 6), (640, 641, 1), (641, 640, 8)]
)
def test_what_is_made_has_the_size_that_pages_are_told(width, height, turned):
    """The size that a page reserves for a photo is that of the picture that comes."""
    made = prepared(camera(width, height, turned))
    upright = (height, width) if turned in (6, 8) else (width, height)
    assert (made.width, made.height) == shown_size(*upright)
    assert opened(made.webp).size == opened(made.jpeg).size == (made.width, made.height)


def test_a_busy_photo_is_written_more_coarsely():
    """A photo full of detail still loads quickly on a phone."""
    noise = Image.effect_noise((1600, 1200), 60).convert("RGB")
    out = io.BytesIO()
    noise.save(out, "JPEG", quality=90)
    made = prepared(out.getvalue())
    assert len(made.webp) < 3 * ENOUGH
    assert len(prepared(camera(1600, 1200)).webp) < ENOUGH


@pytest.mark.parametrize(
    "data",
    [b"", b"GIF89a" + bytes(50), b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"not a picture", camera()[:500],
     camera(kind="PNG")[:60], b"\xff\xd8\xff" + bytes(200)],
    ids=["empty", "gif", "svg", "text", "cut-jpeg", "cut-png", "zeros"],
)  # fmt: skip
def test_what_is_no_photo_is_refused(data):
    """Other kinds of files and damaged photos are refused with a reason."""
    with pytest.raises(NotAPhoto, match="it is"):
        prepared(data)


@pytest.mark.parametrize("read", [prepared, taken_photo], ids=["page", "camera"])
def test_a_photo_that_ends_early_is_refused_whoever_lets_pillow_take_it(read, monkeypatch):
    """Making a card has Pillow take pictures that end early, in the whole process; a photo is refused all the same."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(NotAPhoto, match="damaged"):
        read(camera()[:1000])
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True, "what others set is left to them"


@pytest.mark.parametrize(("width", "height"), [(60_000, 60_000), (2_000_000, 40), (9000, 7000)])
def test_a_bomb_is_refused_before_it_is_unpacked(width, height):
    """A small file that claims gigapixels is refused at once and takes no memory."""
    tracemalloc.start()
    start = time.monotonic()
    with pytest.raises(NotAPhoto, match="pixels"):
        prepared(claiming(width, height))
    assert time.monotonic() - start < 2
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()


def test_the_same_photo_gives_the_same_bytes():
    """A photo is written the same way each time."""
    data = camera(900, 700, 6)
    first = prepared(data)
    prepared.cache_clear()
    assert prepared(data) == first
