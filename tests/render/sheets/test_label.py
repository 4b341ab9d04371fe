"""The label of a racquet that waits: right in size, readable by a scanner, and nothing that is not in the order."""

from dataclasses import replace
from datetime import date

import pytest
import smallshop
from commandline import passport
from printread import codes, overlaps, pages, text

from passport.acts.picking import matching
from passport.records.language.worded import speaking
from passport.records.schema.quantities import TENSION, parse
from passport.render.sheets.label import MARGIN, SIZES, SMALLEST, label_pdf
from passport.render.voice.bench_voice import voice_of
from passport.workshop.orders.label import IntakeLabel, PullLine, in_both_units, intake_label

PT_PER_MM = 72 / 25.4
LONG = IntakeLabel(
    code="quintaval/the-spare-one", number="quintaval/the-spare-one", owner="Maximiliana Wolkenstein-Rodenegg zu Trostburg",
    label="The blue one with the dent", promised=date(2026, 12, 30), taken=date(2026, 11, 25),
    pulls=(
        PullLine("Mains", "24.5 kg", "54.0 lb", "Amberlune Withybed Classic 1.30, pre-stretch 10 %"),
        PullLine("Crosses", "23 kg", "50.7 lb", "Brindlecote Deep Petrol Rough 1.20"),
    ),
    work=tuple(f"fit a part with quite a long name at {hour} o'clock" for hour in range(1, 12)), asked="", stop="Crack found: do not string.",
)  # fmt: skip
BARE = IntakeLabel("1042-9", "1042-9", "Ann", "I", None, None, (), (), "", "")


@pytest.fixture(scope="module")
def waiting(demo_content):
    """The labels of the demo's frames that wait."""
    found = [entry for entry in demo_content.frames.values() if entry.record.waiting]
    assert len(found) >= 2
    return [intake_label(demo_content, entry, demo_content.catalogue) for entry in found]


@pytest.mark.parametrize("roll", ["62", "29"])
def test_a_scanner_types_what_finds_the_frame(waiting, demo_content, roll):
    """The one code on each label is read at a label printer's 203 dpi, at level H, and names its frame."""
    data = label_pdf(waiting, roll)
    for place, label in enumerate(waiting):
        (found,) = codes(data, place, dpi=203)
        assert (found.text, found.ec_level) == (label.number, "H")
        (entry,) = matching(demo_content, found.text)
        assert entry.record.number == label.number


@pytest.mark.parametrize("roll", ["62", "29"])
@pytest.mark.parametrize("label", [LONG, BARE], ids=["long", "bare"])
def test_all_of_it_fits_whatever_it_says(label, roll):
    """Nothing leaves the printable part, lies on anything else, or is too small to read; the code is read all the same."""
    data = label_pdf([label], roll)
    (page,) = pages(data)
    width, height = SIZES[roll]
    assert (round(page.width / PT_PER_MM, 1), round(page.height / PT_PER_MM, 1)) == (width, height)
    for char in page.chars:
        assert char["x0"] / PT_PER_MM >= MARGIN - 0.1 and char["x1"] / PT_PER_MM <= width - MARGIN + 0.2, char["text"]
        assert char["bottom"] / PT_PER_MM <= height - 0.8, char["text"]
        assert char["size"] >= SMALLEST - 0.01
    assert overlaps(page) == []
    assert [code.text for code in codes(data, 0)] == [label.code]


@pytest.mark.parametrize("roll", ["62", "29"])
def test_what_is_left_out_is_said(roll):
    """Work that does not fit is not dropped in silence."""
    assert "… more in the record" in text(label_pdf([LONG], roll), 0)


def test_both_units_stand_beside_each_other(waiting):
    """24.5 kg are 54.0 lb and 23 kg are 50.7 lb (24.5 / 0.45359237 = 54.013, 23 / 0.45359237 = 50.706; exact factor)."""
    said = text(label_pdf([label for label in waiting if label.number == "0967-1"], "62"), 0)
    for part in (
        "Mains 24.5 kg 54.0 lb",
        "Crosses 23 kg 50.7 lb",
        "pre-stretch 5 %",
        "fit Dry overgrip",
        "for Tue 24 Nov",
    ):
        assert part in said


@pytest.mark.parametrize(
    ("text", "shop", "shown"),
    [
        ("52 lb", "", ("52 lb", "23.6 kg")),  # 52 × 0.45359237 = 23.587
        ("24.5 kg", "lb", ("54.0 lb", "24.5 kg")),
        ("52 lbs", "kg", ("23.6 kg", "52.0 lb")),
        ("240 N", "", ("24.5 kg", "54.0 lb")),  # 240 / 9.80665 = 24.473, / 4.4482216 = 53.954
        ("24.5 kgf", "kg", ("24.5 kgf", "54.0 lb")),
    ],
)
def test_the_shops_unit_comes_first(text, shop, shown):
    """As it was said, or in the unit that the shop shows first; the other one beside it."""
    assert in_both_units(parse(text, TENSION), shop) == shown


def test_what_nobody_said_is_not_on_it():
    """Without a promise, an owner's wish or a recipe the label says number, name and label alone."""
    assert text(label_pdf([BARE], "62"), 0) == "1042-9 Ann “I”"


def test_the_roll_of_the_shop_is_the_usual_one(tmp_path):
    """``label_roll`` in workshop.yaml says which roll is in the printer; taking a frame in writes its label at once."""
    shop = smallshop.FILES["workshop.yaml"] + "label_roll: 29 mm\n"
    content = smallshop.write(tmp_path / "content", {"workshop.yaml": shop})
    number = smallshop.NUMBERS["main"]
    result = passport("take", content, number, "--again", "--label")
    assert result.exit_code == 0, result.output
    path = tmp_path / f"bench/label-{number}.pdf"
    (page,) = pages(path.read_bytes())
    assert (round(page.width / PT_PER_MM), round(page.height / PT_PER_MM)) == (90, 29)
    passport("label", content, number, "--roll", "62")
    (page,) = pages(path.read_bytes())
    assert round(page.width / PT_PER_MM) == 62
    assert passport("erase", content, "ada", "--yes").exit_code == 0
    assert not path.exists()


def test_the_command_writes_them_beside_the_content(demo_content, tmp_path):
    """Every frame that waits has a page, one frame a page of its own; outside the site, private."""
    target = tmp_path / "labels.pdf"
    result = passport("label", demo_content.root, "--rack", "--roll", "29", "--out", target)
    assert result.exit_code == 0, result.stderr
    assert "Private" in result.stdout
    assert len(list(pages(target.read_bytes()))) == sum(1 for e in demo_content.frames.values() if e.record.waiting)
    assert passport("label", demo_content.root).exit_code == 2


def test_its_lines_are_in_the_shops_language(demo_content):
    """Sides, work and what forbids to string it are German in a German shop; what was recorded stays as it was written."""
    entry = next(e for e in demo_content.frames.values() if e.record.waiting and e.record.waiting.fitted)
    english = intake_label(demo_content, entry, demo_content.catalogue)
    with speaking(voice_of("de")):
        german = intake_label(demo_content, entry, demo_content.catalogue)
    assert english.work[0].startswith("fit ") and german.work[0].startswith("anbringen: ")
    assert [pull.pull for pull in german.pulls] == [pull.pull for pull in english.pulls]
    assert {pull.side for pull in english.pulls} <= {"", "Mains", "Crosses"}
    assert {pull.side for pull in german.pulls} <= {"", "Längs", "Quer"}
    broken = replace(entry, record=entry.record.model_copy(update={"status": "broken"}))
    stops = []
    for language in ("en", "de", "ja"):
        with speaking(voice_of(language)):
            stops.append(intake_label(demo_content, broken, demo_content.catalogue).stop)
    assert stops == ["Broken: do not string.", "Gebrochen: nicht bespannen.", "Broken: do not string."]
