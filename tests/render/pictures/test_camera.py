"""Pictures of cameras, HEIC too, written anew for the records: upright, bounded, and the pixels alone."""

import io
import time
import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pictures import SECRET, camera, claiming
from PIL import Image

from passport.records.photofile import MOST_BYTES
from passport.render.pages.photos import NotAPhoto
from passport.render.pictures.camera import ENOUGH, LONGEST, taken_photo

KINDS = ("JPEG", "MPO", "PNG", "WEBP", "HEIF")


def opened(data: bytes) -> Image.Image:
    """A picture, decoded."""
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_of_the_camera_is_left(kind):
    """Place, day, device, comment, profile and second picture of a photo are nowhere in what goes into the records."""
    data = camera(kind=kind)
    assert SECRET.encode() in data, "the photo itself tells"
    made = taken_photo(data)
    picture = opened(made.jpeg)
    assert picture.format == "JPEG" and not picture.getexif()
    assert not {"exif", "icc_profile", "xmp", "comment", "photoshop", "mp"} & set(picture.info)
    assert not [word for word in (SECRET.encode(), b"Exif", b"GPS", b"MPF", b"2026:11") if word in made.jpeg]
    assert made.jpeg.count(b"\xff\xd8\xff") == 1, "one picture and no preview"


_LEFT_TOP = {1: "red", 2: "blue", 3: "blue", 4: "red", 5: "red", 6: "red", 7: "blue", 8: "blue"}
"""By orientation (Exif 2.32, tag 274) what lies at the upper left of the picture as it is seen: the file is red on its left.
5 and 7 are mirrored along a diagonal: then the file's left is the top, or the foot."""


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "MPO", "PNG", "WEBP", "HEIF"])
def test_photos_stand_upright(kind, orientation):
    """However the camera was held, the picture stands upright, and needs no word of how."""
    made = taken_photo(camera(orientation=orientation, kind=kind))
    assert (made.width, made.height) == ((300, 400) if orientation >= 5 else (400, 300))
    picture = opened(made.jpeg)
    assert picture.size == (made.width, made.height)
    red, _, blue = picture.getpixel((20, 20))
    assert (red > blue) == (_LEFT_TOP[orientation] == "red")


@pytest.mark.parametrize(("width", "height"), [(4032, 3024), (1600, 1600), (40, 30), (6000, 90), (1, 1)])
@pytest.mark.parametrize("kind", ["JPEG", "HEIF"])
def test_a_picture_is_no_larger_than_the_records_need(kind, width, height):
    """A large picture is made smaller in its proportions, a small one stays; its bytes are bounded."""
    if kind == "HEIF" and min(width, height) < 30:
        width, height = 64, 64  # the encoder makes none smaller
    made = taken_photo(camera(width, height, kind=kind))
    share = min(1, LONGEST / max(width, height))
    assert abs(made.width - width * share) <= 1 and abs(made.height - height * share) <= 1
    assert len(made.jpeg) <= ENOUGH


def test_a_busy_picture_is_written_more_coarsely():
    """Noise, of which no picture has more, comes below the bound or as coarse as is bearable."""
    out = io.BytesIO()
    Image.effect_noise((3000, 2000), 60).convert("RGB").save(out, "JPEG", quality=95)
    assert len(taken_photo(out.getvalue()).jpeg) < 1.5 * ENOUGH < len(out.getvalue())


@pytest.mark.parametrize(
    "data",
    [b"", b"GIF89a" + bytes(50), b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"not a picture", camera()[:500],
     camera(kind="PNG")[:60], b"\xff\xd8\xff" + bytes(200), camera(kind="HEIF")[:400], b"\0\0\0\x18ftypheic" + bytes(300),
     b"%PDF-1.7", b"\0\0\0\x18ftypmp42" + bytes(100)],
    ids=["empty", "gif", "svg", "text", "cut-jpeg", "cut-png", "zeros", "cut-heic", "heic-of-zeros", "pdf", "film"],
)  # fmt: skip
def test_what_is_no_picture_is_refused(data):
    """Other kinds of files and damaged pictures are refused with a reason."""
    with pytest.raises(NotAPhoto, match="it is"):
        taken_photo(data)


@pytest.mark.parametrize(("width", "height"), [(60_000, 60_000), (2_000_000, 40), (9000, 7000)])
def test_a_bomb_is_refused_before_it_is_unpacked(width, height):
    """A small file that claims gigapixels is refused at once and takes no memory."""
    tracemalloc.start()
    start = time.monotonic()
    with pytest.raises(NotAPhoto, match="pixels"):
        taken_photo(claiming(width, height))
    assert time.monotonic() - start < 2
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()


def test_a_file_that_is_too_large_is_refused_unread():
    """More bytes than a photo may have are no photo."""
    with pytest.raises(NotAPhoto, match="40 MB"):
        taken_photo(bytes(MOST_BYTES + 1))


@given(st.sampled_from(KINDS), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=6))
def test_a_picture_made_to_trip_a_decoder_is_a_picture_or_refused(kind, slips):
    """Bytes changed anywhere give a picture of a bounded size, or a reason; nothing else comes out."""
    data = bytearray(_SMALL[kind])
    for where, byte in slips:
        data[min(len(data) - 1, int(where * len(data)))] = byte
    try:
        made = taken_photo(bytes(data))
    except NotAPhoto:
        return
    assert max(made.width, made.height) <= LONGEST and SECRET.encode() not in made.jpeg


_SMALL = {kind: camera(64, 48, kind=kind) for kind in KINDS}
