"""The next technician, in another town, with only the card: a racquet is set up again from its letters alone.

The reader below knows English and the card's layout in words, none of the program's code that makes it.
"""

import re
from dataclasses import replace

import pytest
from cardfacts import FRAME, SHOP
from places import DEMO
from printread import text

from passport.records.load import load
from passport.records.schema.places import parse_place
from passport.render.print.card import card_pdf
from passport.workshop.gathering.gather import site_facts

POUND = 4.4482216
"""N in a pound-force (NIST SP 811, appendix B.8)."""
KILOGRAM = 9.80665
"""N in a kilogram-force (exact)."""
SITE = site_facts(load(DEMO)[0])
CARDS = [(frame.number, replace(frame, language="en"), SITE.shop) for frame in SITE.frames] + [
    ("drawn up", FRAME, SHOP)
]


def strung(front: str, heading: str) -> dict:
    """What the front says of the mains or the crosses."""
    found = re.search(
        rf"{heading} (?P<name>.+?) (?P<gauge>\d\.\d\d) mm(?: · pre-stretch (?P<stretch>[\d.]+) %)?"
        r"(?: · (?P<maker>[^\d]+?))? (?P<pull>[\d.]+) (?P<unit>lb|kg) (?P<other>[\d.]+) (?:lb|kg)",
        front,
    )
    newtons = POUND if found["unit"] == "lb" else KILOGRAM
    return {
        "name": found["name"], "maker": found["maker"] or "", "gauge": float(found["gauge"]),
        "prestretch": float(found["stretch"] or 0), "tension": float(found["pull"]) * newtons,
    }  # fmt: skip


def fitted(back: str) -> list[dict]:
    """The parts that the back names, each with mass, cut length and place."""
    body = re.search(r"FITTED (.*?)(?: ALSO |$)", back)
    found = []
    for phrase in body[1].split(" · ") if body else ():
        if phrase.endswith("in all"):
            continue
        mass, _, rest = phrase.partition(" g ")
        cut = re.search(r", (?:(\d) × )?([\d.]+) mm(?=,|$)", rest)
        place = re.search(
            r", (\d[\d:]*(?: and \d[\d:]*)? o’clock|[a-z ]+(?:handle|bumper|throat|cap|mains)|butt cap)(?=,|$)", rest
        )
        found.append(
            {
                "mass": float(mass), "line": rest, "cut": (int(cut[1] or 1), float(cut[2])) if cut else None,
                "place": place[1].removesuffix(" o’clock") if place else "along the handle",
            }
        )  # fmt: skip
    return found


@pytest.mark.parametrize(("frame", "shop"), [card[1:] for card in CARDS], ids=[card[0] for card in CARDS])
def test_the_racquet_is_set_up_again_from_the_letters_alone(frame, shop) -> None:
    """Strings with gauge and pull, pattern, pieces, knots, starts, targets with tolerance, each part with mass, length and
    place, and how the bed should ring: read off the card, they are the frame's own, within what a digit hides."""
    data = card_pdf(frame, shop)
    front, back = text(data, 0), text(data, 1).replace("\u202f", " ").replace("\u00a0", " ")
    bed = frame.stringing
    for heading, wanted in (("MAINS", bed.mains), ("CROSSES", bed.crosses)):
        read = strung(front, heading)
        assert (read["name"], read["maker"], read["gauge"]) == (wanted.name, wanted.maker, round(wanted.gauge, 2))
        assert read["prestretch"] == (wanted.prestretch or 0)
        assert read["tension"] == pytest.approx(wanted.tension, abs=0.06 * KILOGRAM)
    if pattern := re.search(r"STRINGING (\d+) × (\d+)", back):
        assert (int(pattern[1]), int(pattern[2])) == (frame.shape.mains, frame.shape.crosses)
    for name, wanted in (("piece", bed.pieces), ("knot", bed.knots)):
        read = re.search(rf"(\d) {name}s?\b", back)
        assert (int(read[1]) if read else None) == wanted
    starts = re.search(r"Mains start at the (\w+), crosses at the (\w+)", back)
    if bed.mains_start and bed.crosses_start:
        assert starts.groups() == (bed.mains_start, bed.crosses_start)
    for spec in frame.specs:
        if spec.target is not None:
            row = re.search(rf"{spec.quantity.capitalize()} [a-z²·]+ .*?([\d.]+) ± ([\d.]+)", back)
            read = (float(row[1]), float(row[2]))
            assert read == pytest.approx((spec.target, spec.tolerance), abs=0.051)
    assert_parts(frame, fitted(back))
    if bed.fingerprint:
        assert f"Read {bed.fingerprint.amount:g} {bed.fingerprint.unit}" in back
    assert not re.search(r"[2-9] more", back), "at most the note is on the tag"


def assert_parts(frame, read: list[dict]) -> None:
    """Every part of the frame is one of those read, and every one read is the frame's."""
    assert len(read) == len(frame.parts)
    for part in frame.parts:
        place = parse_place(part.place.text)
        alike = [
            one for one in read
            if one["line"].startswith(part.name) and one["mass"] == round(part.mass, 1)
            and parse_place(one["place"]) == place
        ]  # fmt: skip
        assert alike, (part.name, part.place.text, read)
        if part.length and part.is_fact("length"):
            assert any(one["cut"] == (part.count, part.length) for one in alike), part


def test_the_reader_sees_a_wrong_card() -> None:
    """With one mass, one place or one pull changed the card no longer agrees, or the reader is blind."""
    part, *rest = FRAME.parts
    mains = FRAME.stringing.mains
    wrong = [
        replace(FRAME, parts=(replace(part, mass=part.mass + 0.2), *rest)),
        replace(FRAME, parts=(replace(part, place=parse_place("9 and 3")), *rest)),
        replace(FRAME, stringing=replace(FRAME.stringing, mains=replace(mains, tension=mains.tension + POUND))),
        replace(FRAME, stringing=replace(FRAME.stringing, crosses_start="throat")),
    ]
    data = card_pdf(FRAME, SHOP)
    front, back = text(data, 0), text(data, 1).replace("\u202f", " ").replace("\u00a0", " ")
    for other in wrong[:2]:
        with pytest.raises(AssertionError):
            assert_parts(other, fitted(back))
    assert strung(front, "MAINS")["tension"] != pytest.approx(wrong[2].stringing.mains.tension, abs=0.06 * KILOGRAM)
    assert "crosses at the head" in back
