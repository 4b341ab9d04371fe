"""``passport find`` and ``passport show``."""

import json
import re

import pytest
import smallshop
from commandline import passport, refused


def test_a_typo_finds_the_player(demo_content):
    """A word with a typo finds, and the number is printed."""
    result = passport("find", str(demo_content.root), "junper", "petrol")
    assert result.exit_code == 0
    assert "1042-9" in result.stdout


def test_what_was_found_as_data(demo_content):
    """``--json`` gives the same as data."""
    rows = json.loads(passport("find", str(demo_content.root), "1042-9", "--json").stdout)
    assert [(r["number"], r["frame"], r["label"]) for r in rows] == [("1042-9", "askwell/i", "I")]


def test_nothing_found_is_exit_code_1(demo_content):
    """Nothing found says so, with code 1."""
    result = passport("find", str(demo_content.root), "zzzzzzz")
    assert result.exit_code == 1
    assert "Nothing fits" in result.stderr


@pytest.mark.parametrize("name", ["find", "show"])
def test_a_folder_without_a_workshop_is_wrong_usage(name, tmp_path):
    """A folder that is not a content folder ends with code 2."""
    assert passport(name, str(tmp_path), "x").exit_code == 2


def test_the_recipe_has_both_units_and_the_cautions(demo_content):
    """24.5 kg are 54.0 lb (0.45359237 kg a pound); the maker's limit and the cautions stand below."""
    text = passport("show", str(demo_content.root), "quintaval/dos").stdout
    for part in (
        "24.5 kg (54.0 lb)",
        "2 pieces, 4 knots",
        "Tungsten tape",
        "The maker allows at most",
        "cracked frame",
    ):
        assert part in text


def test_a_broken_frame_says_so(demo_content):
    """The recipe of a broken frame says not to string it."""
    assert "do not string" in passport("show", str(demo_content.root), "0871-6").stdout


def test_an_unknown_frame_gets_a_hint(demo_content):
    """A wrong number is named with the reason."""
    result = passport("show", str(demo_content.root), "1042-8")
    assert result.exit_code == 1
    assert "typo" in result.stderr


BROKEN = {
    "workshop": ("workshop.yaml", "name: [\n", "yaml-syntax"),
    "strings": ("catalogue/strings.yaml", "", "unknown-string"),
    "model": ("catalogue/frames.yaml", "larch-98: {maker: Tarn}\n", "missing-key"),
    "part": ("catalogue/parts.yaml", "", "unknown-part"),
    "player": ("players/ada/player.yaml", "nmae: Ada\n", "unknown-key"),
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_recipe_that_rests_on_something_broken(what, tmp_path):
    """Where workshop, catalogue or player cannot be read, the faults are shown with place and code 1."""
    file, text, rule = BROKEN[what]
    content = smallshop.write(tmp_path / "content", {file: text})
    result = passport("show", content, "ada/main")
    refused(result, rule, "The recipe cannot be shown")
    assert file in result.stderr or "players/ada/main.yaml" in result.stderr
    assert result.stdout == ""


def test_a_recipe_without_a_catalogue(tmp_path):
    """A catalogue file that is gone is named with what to do."""
    content = smallshop.write(tmp_path / "content")
    (content / "catalogue/frames.yaml").unlink()
    refused(passport("show", content, "ada/main"), "catalogue/frames.yaml:1:1: error: missing-file", "Create it")


def test_a_recipe_beside_something_broken(tmp_path):
    """A fault in what the recipe does not rest on does not keep it from the bench."""
    content = smallshop.write(tmp_path / "content", {"players/ada/twin.yaml": "lable: x\n"})
    assert passport("show", content, "ada/main").exit_code == 0


def test_strings_pulled_by_zone(demo_content):
    """Zones stand in the recipe with both units: 21 lb are 9.5 kg, 22 lb are 10.0 kg (NIST SP 811, appendix B)."""
    text = " ".join(passport("show", str(demo_content.root), "hallerwund/eins").stdout.replace("\u202f", " ").split())
    assert "By zone: first 6 crosses from 21 lb/9.5 kg to 22 lb/10.0 kg; last 2 crosses 21 lb/9.5 kg" in text


def test_how_it_is_strung_and_what_to_cut(demo_content):
    """The way, the method in one line, what to cut (10 to 10.5 m of a 16 × 19; common practice, no source), ages in hours.

    24 hours are 1,440 minutes. The maker's warranty asks for two pieces, and this was one.
    """
    text = " ".join(passport("show", str(demo_content.root), "askwell/i").stdout.replace("\xa0", " ").split())
    assert "1 piece, around the world, 2 knots" in text
    assert (
        "Pulled: constant pull, tie-offs 10 % higher, starting clamp; tension head checked 7 Oct 2026: set 50.1 lb, pulled 50 lb"
        in text.replace("\u202f", " ")
    )
    cut = re.search(r"String: cut ([0-9.]+) ± ([0-9.]+) m, short side ([0-9.]+) m; ([0-9.]+) m as it lies", text)
    assert cut and 10.0 <= float(cut[1]) <= 10.5 and 0.0 < float(cut[2]) < 1.0
    assert float(cut[3]) < 0.3 * float(cut[1]) and float(cut[4]) < float(cut[1])
    assert "549 Hz after 24 h" in text and "1440" not in text
    assert "warranty asks for another way to string it: two pieces, crosses from the head." in text
