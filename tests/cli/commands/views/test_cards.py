"""``passport cards``: sheets for the frames that are meant, outside the public site, with a word on how to print."""

import io

import page as validation
import pypdf
import pytest
import smallshop
from commandline import full_disk, passport, refused, tree
from printread import MM, codes, text

from passport.publish.folder.foreign import MARK
from passport.records.exchange.setup import SetupData

N = smallshop.NUMBERS


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def bench(content):
    """The names of the files in the bench folder."""
    folder = content.parent / "bench"
    return sorted(p.name for p in folder.iterdir()) if folder.exists() else []


def test_named_frames_by_number_and_name(content):
    """Frames named by number and by player/frame stand on one A4 sheet in the bench folder, each once, in that order."""
    result = passport("cards", content, N["twin"], "ada/main", "ada/twin")
    assert result.exit_code == 0
    assert bench(content) == [f"cards-{N['twin']}-and-1-more.pdf"]
    data = (content.parent / "bench" / bench(content)[0]).read_bytes()
    front = text(data, 0)
    assert front.index(N["twin"]) < front.index(N["main"])
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 2
    assert "2 cards on 1 sheet A4" in result.stdout
    assert "Print at 100 %, on both sides, flipped on the long edge." in result.stdout
    assert "8 of 10 places are left: for the next run --skip 2." in result.stdout
    assert [code.text[-27:-1] for code in codes(data, 1)] and len(codes(data, 1)) == 2


def test_all_frames_in_use(content):
    """``--all`` takes every frame with a number and key that is in use: none that is lost, retired, replaced or new."""
    assert passport("cards", content, "--all").exit_code == 0
    front = text((content.parent / "bench" / "cards-all.pdf").read_bytes(), 0)
    assert all(N[name] in front for name in ("main", "twin", "fresh", "split", "only"))
    assert not any(N[name] in front for name in ("torn", "gone", "done"))


def test_frames_with_a_job_since(content):
    """``--changed-since`` takes the frames in use whose last job is of that day or later."""
    result = passport("cards", content, "--changed-since", "2026-04-02")
    assert result.exit_code == 0
    front = text((content.parent / "bench" / "cards-since-2026-04-02.pdf").read_bytes(), 0)
    assert N["main"] in front and N["only"] in front
    assert N["twin"] not in front and N["split"] not in front


def test_nothing_changed(content):
    """Where nothing changed nothing is written, and that is no error."""
    result = passport("cards", content, "--changed-since", "2030-01-01")
    assert (result.exit_code, bench(content)) == (0, [])
    assert "No frame in use has a job since 2030-01-01. Nothing was written." in result.stdout


@pytest.mark.parametrize(
    ("kind", "pages", "words"),
    [("card", 2, "1 card "), ("tag", 2, "1 tag "), ("sticker", 1, "1 sticker "), ("set", 2, "1 set ")],
)
def test_kinds(content, kind, pages, words):
    """Each kind is laid on a sheet and named after it; a set card stands for all frames of the set."""
    result = passport("cards", content, "ada/main", "--kind", kind, "--paper", "letter")
    assert result.exit_code == 0
    assert words in result.stdout and "Letter" in result.stdout
    data = (content.parent / "bench" / f"{kind}s-{N['main']}.pdf").read_bytes()
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert len(reader.pages) == pages
    assert float(reader.pages[0].mediabox.width) / MM == pytest.approx(215.9, abs=0.05)
    if kind == "set":
        assert N["twin"] in text(data, 0)


def test_round_stickers(content):
    """``--round`` makes discs of 48 mm, of which 15 go on a sheet."""
    result = passport("cards", content, "ada/main", "--kind", "sticker", "--round")
    assert "14 of 15 places are left" in result.stdout


def test_bleed_is_for_single_pages(content):
    """``--bleed`` gives each side a page of its own with a BleedBox 3 mm beyond the TrimBox."""
    out = content.parent / "for-print.pdf"
    result = passport("cards", content, "ada/main", "--bleed", "--out", out)
    assert (result.exit_code, result.stdout.strip()) == (0, f"1 card: {out}")
    first = pypdf.PdfReader(out).pages[0]
    assert float(first.trimbox.width) / MM == pytest.approx(85.6, abs=0.01)  # ISO/IEC 7810, ID-1
    assert float(first.bleedbox.width) / MM == pytest.approx(91.6, abs=0.01)


def test_a_print_shops_file(content):
    """``--press`` makes PDF/X-4 of single pages with bleed, and with ``--paper`` of sheets with gutters for two bleeds."""
    out = content.parent / "press.pdf"
    result = passport("cards", content, "ada/main", "--press", "--out", out)
    assert (result.exit_code, result.stdout.splitlines()) == (
        0, [f"1 card: {out}", "PDF/X-4 for offset printing on coated paper (FOGRA39)."],
    )  # fmt: skip
    reader = pypdf.PdfReader(out)
    assert "PDF/X-4" in reader.trailer["/Root"]["/Metadata"].get_data().decode()
    assert float(reader.pages[0].bleedbox.width) / MM == pytest.approx(91.6, abs=0.01)
    result = passport("cards", content, "ada/main", "--press", "--paper", "a4", "--out", out)
    assert "8 of 9 places are left: for the next run --skip 1." in result.stdout


def test_backs_are_shifted_by_two_readings(content):
    """``--shift`` takes them as they are written in many places, and only the back's page changes."""
    made = []
    for number, readings in enumerate(((), ("--shift", "0,8", "\u22120.5"), ("--shift", "0.8", "-0.5"))):
        out = content.parent / f"{number}.pdf"
        assert passport("cards", content, "ada/main", *readings, "--out", out).exit_code == 0
        made.append([one.get_contents().get_data() for one in pypdf.PdfReader(out).pages])
    assert made[0][0] == made[1][0] == made[2][0]
    assert made[0][1] != made[1][1] == made[2][1]


def test_cards_to_fold(content):
    """``--fold`` puts front and back on one page, and says what to do."""
    result = passport("cards", content, "ada/main", "--fold")
    assert "1 card on 1 sheet A4" in result.stdout
    assert "Print at 100 %, on one side · cut, then fold backwards at the broken line." in result.stdout
    data = (content.parent / "bench" / f"cards-{N['main']}.pdf").read_bytes()
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 1 and len(codes(data, 0)) == 1


@pytest.mark.parametrize(("kind", "frames"), [("card", ["main", "only"]), ("set", ["main", "twin"])])
def test_an_archives_file(content, kind, frames):
    """``--archive`` makes PDF/A-3a and PDF/UA-1 of single pages, with the setup of each frame shown, as export has it."""
    out = content.parent / "kept.pdf"
    result = passport(
        "cards",
        content,
        "ada/main",
        *(["bo/only"] if kind == "card" else []),
        "--kind",
        kind,
        "--archive",
        "--out",
        out,
    )
    assert result.stdout.splitlines()[1:] == ["PDF/A-3a and PDF/UA-1, with the setups as data in it."]
    kept = pypdf.PdfReader(out).attachments
    assert sorted(kept) == sorted(f"setup-{N[name]}.json" for name in frames)
    for name in frames:
        (data,) = kept[f"setup-{N[name]}.json"]
        assert SetupData.model_validate_json(data).number == N[name]
    for profile in ("3a", "ua1"):
        assert validation.validate_pdf_bytes(out.read_bytes(), profile=profile).is_compliant


def test_pages_of_their_own_size(content):
    """``--paper own`` gives each side a page in its size after cutting."""
    passport("cards", content, "ada/main", "--paper", "own", "--out", content.parent / "own.pdf")
    first = pypdf.PdfReader(content.parent / "own.pdf").pages[0]
    assert float(first.mediabox.height) / MM == pytest.approx(53.98, abs=0.05)  # ISO/IEC 7810, ID-1


def test_skipped_places(content):
    """``--skip`` leaves places free and counts them."""
    result = passport("cards", content, "ada/main", "--skip", "9")
    assert "1 card on 1 sheet A4" in result.stdout
    assert "left" not in result.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "Name frames by number or name"),
        (["ada/main", "--all"], "one of the three"),
        (["--all", "--changed-since", "2026-01-01"], "one of the three"),
        (["--changed-since", "yesterday"], "does not match the format"),
        (["ada/main", "--skip", "10"], "A sheet has 10 places: skip at most 9."),
        (["ada/main", "--skip", "-1"], "Invalid value for '--skip'"),
        (["ada/main", "--bleed", "--skip", "1"], "--skip is for sheets"),
        (["ada/main", "--bleed", "--paper", "a4"], "leave out --paper"),
        (["ada/main", "--press", "--bleed"], "--press has its bleed and is printed by others: leave out --bleed."),
        (["ada/main", "--press", "--skip", "1"], "--skip is for sheets"),
        (["ada/main", "--fold", "--press"], "leave out --fold"),
        (["ada/main", "--fold", "--paper", "own"], "leave out --paper own"),
        (["ada/main", "--fold", "--shift", "1", "1"], "leave out --shift"),
        (["ada/main", "--fold", "--kind", "sticker"], "--fold is for pieces with a front and a back"),
        (["ada/main", "--shift", "1", "1", "--kind", "sticker"], "--shift is for pieces with a front and a back"),
        (["ada/main", "--shift", "1", "1", "--bleed"], "--bleed makes single pages: leave out --shift."),
        (["ada/main", "--shift", "1", "1", "--paper", "own"], "--shift is for sheets: leave out --paper own."),
        (
            ["ada/main", "--archive", "--paper", "a4"],
            "--archive makes single pages in their own size: leave out --paper.",
        ),
        (["ada/main", "--archive", "--press"], "leave out --archive"),
        (["ada/main", "--archive", "--skip", "1"], "--skip is for sheets"),
        (["ada/main", "--shift", "6", "1"], "'6' is beyond the scale, which goes from -5 to 5 mm."),
        (["ada/main", "--shift", "nan", "1"], "beyond the scale"),
        (["ada/main", "--shift", "right", "1"], "'right' is no number of mm: write it as 0.8 or -0.5."),
        (["ada/main", "--shift", "1"], "requires 2 arguments"),
        (["ada/main", "--round"], "add --kind sticker"),
        (["ada/main", "--kind", "poster"], "Invalid value for '--kind'"),
    ],
)
def test_wrong_usage(content, arguments, words):
    """A call that contradicts itself ends with code 2 and says what to do; nothing is written."""
    result = passport("cards", content, *arguments)
    assert result.exit_code == 2
    assert words in " ".join(result.stderr.split())
    assert bench(content) == []


def test_frames_that_have_no_card(content):
    """Lost, retired, replaced and new frames and unknown names are refused with a reason, and nothing is written."""
    for name, words in (
        ("ada/gone", f"{N['gone']} is lost: no card is printed for it."),
        ("ada/done", "is retired"),
        ("ada/torn", f"is replaced by {N['fresh']}"),
        ("ada/new", f"Next: passport issue {content} ada/new"),
        ("ada/mian", "Did you mean 'ada/main'?"),
    ):
        refused(passport("cards", content, name), words)
    assert bench(content) == []


def test_a_frame_in_no_set(content):
    """A set card of a frame that is in no set is refused; with --all only the sets are printed."""
    refused(passport("cards", content, "bo/only", "--kind", "set"), f"{N['only']} is in no set of two.")
    result = passport("cards", content, "--all", "--kind", "set")
    assert "1 set on 1 sheet A4" in result.stdout


def test_no_set_at_all(tmp_path):
    """Where nobody has a set nothing is written, and that is no error."""
    changes = {"players/ada/main.yaml": smallshop.FILES["players/ada/main.yaml"].replace("set: pair\n", "")}
    content = smallshop.write(tmp_path / "content", changes)
    result = passport("cards", content, "--all", "--kind", "set")
    assert (result.exit_code, bench(content)) == (0, [])
    assert "Nothing was written." in result.stdout


def test_the_public_site_is_no_place_for_sheets(content, tmp_path):
    """A file inside the site, and a folder, are refused as the output."""
    site = tmp_path / "site"
    site.mkdir()
    (site / MARK).write_text("x")
    refused(passport("cards", content, "ada/main", "--out", site / "deep" / "cards.pdf"), "is the public site")
    refused(passport("cards", content, "ada/main", "--out", site), "is a folder")
    assert tree(site) == {MARK: b"x"}


def test_records_and_other_files_are_no_place_for_sheets(content, tmp_path):
    """A file among the records, by a link too, and one that is no PDF are refused as the output and stay as they were."""
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / "link").symlink_to(content / "players")
    before = tree(tmp_path)
    for name in ("content/workshop.yaml", "link/ada/main.yaml", "content/new.pdf"):
        refused(passport("cards", content, "ada/main", "--out", tmp_path / name), "holds the records", "--out")
    refused(passport("cards", content, "ada/main", "--out", tmp_path / "mine.txt"), "is no PDF", "--out")
    assert tree(tmp_path) == before
    for _ in range(2):
        assert passport("cards", content, "ada/main", "--out", tmp_path / "mine.pdf").exit_code == 0


def test_one_of_several_files_in_the_way(content, tmp_path, monkeypatch):
    """Where one of the numbered files of a large order is taken by something that is no PDF nothing is written."""
    monkeypatch.setattr("passport.acts.printing.PIECES_A_FILE", 2)
    (tmp_path / "mine-2.pdf").write_text("mine")
    refused(passport("cards", content, "--all", "--bleed", "--out", tmp_path / "mine.pdf"), "mine-2.pdf", "is no PDF")
    assert not (tmp_path / "mine-1.pdf").exists()


def test_with_faults_nothing_is_written(tmp_path):
    """An error in the records stops the command."""
    changes = {"players/bo/only.yaml": smallshop.FILES["players/bo/only.yaml"].replace("label:", "lable:")}
    content = smallshop.write(tmp_path / "content", changes)
    refused(passport("cards", content, "ada/main"), "unknown-key", "Nothing was written")
    assert bench(content) == []


def test_a_large_order_goes_into_several_files(content, monkeypatch):
    """Where there are more sheets than one file takes the files are numbered, and the free places are in the first."""
    from passport.acts import printing

    monkeypatch.setattr(printing, "SHEETS_A_FILE", 1)
    result = passport("cards", content, "--all", "--skip", "8")
    assert "5 cards on 2 sheets A4" in result.stdout
    assert bench(content) == ["cards-all-1.pdf", "cards-all-2.pdf"]
    said = [text((content.parent / "bench" / name).read_bytes(), 0) for name in bench(content)]
    assert [sum(number in words for number in N.values()) for words in said] == [2, 3]


def test_a_full_disk(content, monkeypatch):
    """A full disk is an error without a traceback, and leaves nothing."""
    monkeypatch.setattr("os.fsync", full_disk)
    refused(passport("cards", content, "ada/main"), "could not be written", "No space left")
    monkeypatch.undo()
    assert bench(content) == []


def test_without_pango(content, monkeypatch):
    """Where the Pango library is missing the message says what to install."""
    from passport.render.print import pdf

    monkeypatch.setattr(pdf, "available", lambda: "Install libpango.")
    refused(passport("cards", content, "ada/main"), "Install libpango.")


def test_an_address_too_long(tmp_path):
    """A web address too long for a code is an error that says so."""
    long = "https://cards.bench-nine.example/" + "a-long-way-down/" * 8
    changes = {
        "workshop.yaml": smallshop.FILES["workshop.yaml"].replace("https://cards.bench-nine.example/p", long + "p")
    }
    content = smallshop.write(tmp_path / "content", changes)
    refused(passport("cards", content, "ada/main"), "web address is too long")


def test_the_same_bytes_again(content):
    """The same records give the same sheet, byte for byte, on another day."""
    for day, name in (("1800000000", "one.pdf"), ("1900000000", "two.pdf")):
        passport("cards", content, "ada/main", "--out", content.parent / name, env={"SOURCE_DATE_EPOCH": day})
    assert (content.parent / "one.pdf").read_bytes() == (content.parent / "two.pdf").read_bytes()


def test_nothing_private_is_printed(content):
    """No private value of the records is in any sheet."""
    for kind in ("card", "tag", "sticker", "set"):
        passport("cards", content, "--all", "--kind", kind)
    for path in (content.parent / "bench").iterdir():
        reader = pypdf.PdfReader(path)
        said = " ".join(p.extract_text() for p in reader.pages)
        held = [code.text for n in range(len(reader.pages)) for code in codes(path.read_bytes(), n)]
        assert "SECRET" not in said + " ".join(held)
        assert held
