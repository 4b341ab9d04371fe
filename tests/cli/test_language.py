"""The terminal follows the shop's language: messages, questions, faults and refusals; data stay English."""

import json
import re
import shutil

import click
import pytest
from click.testing import CliRunner
from smallshop import write

from passport.acts.clock import today
from passport.acts.frames.due import due_in
from passport.cli.commands.views import due
from passport.cli.main import main
from passport.cli.shared.dialogue import confirmed
from passport.records.faults import columns
from passport.records.language.worded import speaking
from passport.render.theme.assets import shipped
from passport.render.voice.bench_voice import BenchVoice, voice_of


def _shop(folder, language, **changes):
    write(folder, changes)
    path = folder / "workshop.yaml"
    path.write_text(
        re.sub(r"(?m)^language:.*\n", "", path.read_text(encoding="utf-8")) + f"language: {language}\n",
        encoding="utf-8",
    )
    return folder


def shop_in(folder, language):
    """The demo's workshop, whose technician is spoken to in a language."""
    shop = shutil.copytree(shipped("content_demo"), folder, ignore=shutil.ignore_patterns(".*"))
    workshop = shop / "workshop.yaml"
    text = workshop.read_text(encoding="utf-8")
    workshop.write_text(re.sub(r"(?m)^language:.*\n", "", text) + f"language: {language}\n", encoding="utf-8")
    return shop


def _run(*arguments, **environ):
    return CliRunner().invoke(main, [str(one) for one in arguments], env={"COLUMNS": "80", **environ})


def test_due_speaks_the_shops_language(tmp_path):
    """The list of who is due has German heads, German numbers and days; in English all is as ever."""
    german, english = (_run("due", _shop(tmp_path / name, name), "--all").output for name in ("de", "en"))
    assert "Fällig" in german and "Rahmen" in german and "bespannt" in german and "Frame" not in german
    assert "Due" in english and "strung 20" in english
    assert re.search(r"bespannt\s+.*|\d\d\.\d\d\.20\d\d", german)


def test_a_fault_is_told_in_german(tmp_path):
    """Place and rule stay; what is wrong, what to do and the sum are German."""
    said = "name: Ada\nplays_a_week: often\n"
    german, english = (
        _run("check", _shop(tmp_path / name, name, **{"players/ada/player.yaml": said})) for name in ("de", "en")
    )
    assert (german.exit_code, english.exit_code) == (1, 1)
    assert re.search(r"player\.yaml:2:15: Fehler: bad-value\n", german.output), german.output
    assert "'often' ist keine Zahl.\n  Schreiben Sie Ziffern, mit einem Punkt vor den Dezimalen." in german.output
    assert re.search(r"player\.yaml:2:15: error: bad-value\n", english.output), english.output
    assert "'often' is not a number.\n  Write digits, with a point for decimals." in english.output


def test_a_refusal_is_told_in_german(tmp_path):
    """What an act refuses, and what is wrong with an option, begins with the German word for an error."""
    shop = _shop(tmp_path / "de", "de")
    unknown = _run("log", shop, "nobody-knows", "--again", "--yes")
    assert unknown.exit_code == 1 and "Fehler: Es gibt keinen Rahmen 'nobody-knows'." in unknown.output
    wrong = _run("log", shop, "ada/main", "--tension", "3", "--yes")
    assert wrong.exit_code == 2 and "Fehler: --tension: '3' hat keine Einheit." in wrong.output
    usage = _run("log", shop, "ada/main", "--ordered", "--again")
    assert usage.exit_code == 2 and "--help' sagt mehr." in usage.output and "\nFehler: " in usage.output
    english = _run("log", _shop(tmp_path / "en", "en"), "nobody-knows", "--again", "--yes")
    assert "Error: There is no frame 'nobody-knows'." in english.output


def test_data_are_the_same_in_every_language(tmp_path):
    """What --json prints does not follow the language."""
    found = [_run("due", _shop(tmp_path / name, name), "--all", "--json").output for name in ("de", "en")]
    assert found[0] == found[1] and json.loads(found[0])


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("due", "x", "y"), "Das ist mehr, als der Befehl annimmt: x y"),
        (("due", "--dxe"), "Es gibt keine Option '--dxe'."),
        (("cards", "--paper", "a9", "1042-9"), "'--paper': 'a9' ist keines von 'a4', 'letter', 'own'."),
        (("show",), "'NUMBER-OR-NAME' fehlt."),
        (("rebuild", "1042-9", "--with", "one", "--cut", "a"), "'--cut': 'a' ist keine Zahl."),
        (("rebuild", "1042-9", "--with", "one", "--cut", "99"), "'--cut': 99.0 liegt nicht im Bereich 1<=x<=50."),
        (("log", "1042-9", "--date"), "Hinter '--date' muss ein Wert stehen."),
    ],
)
def test_wrong_usage_is_told_in_german(tmp_path, arguments, said):
    """What Click finds wrong with the words of a command is German too."""
    command, *rest = arguments
    found = _run(command, _shop(tmp_path / "de", "de"), *rest, LANGUAGE="de")
    assert found.exit_code == 2
    assert f"Fehler: {said}" in found.output


def test_a_question_is_answered_in_the_shops_language(monkeypatch):
    """German takes j and n, and the English y; the hint shows the German letters."""
    from passport.cli.shared import dialogue

    shown, answers = [], iter(["j", "ja", "y", "n", "nein", ""])
    monkeypatch.setattr(dialogue, "at_terminal", lambda: True)
    monkeypatch.setattr(dialogue, "_given", lambda prompt, offered: (shown.append(prompt), next(answers))[1])
    with speaking(voice_of("de")):
        found = [confirmed("So?", yes=False, default=False) for _ in range(6)]
    assert found == [True, True, True, False, False, False]
    assert shown[0] == "So? [j/N] "


def test_the_language_ends_with_the_command(tmp_path):
    """A command in German leaves nothing behind for the next one in the same process."""
    _run("due", _shop(tmp_path / "de", "de"))
    assert "Due" in _run("due", _shop(tmp_path / "en", "en"), "--all").output


@pytest.mark.parametrize(("lang", "words"), [("de_DE.UTF-8", "Nennen Sie den Ordner"), ("C.UTF-8", "Name the folder")])
def test_without_a_workshop_the_computers_language_is_spoken(tmp_path, lang, words):
    """Where there is no workshop yet, the variables of the environment say the language."""
    done = _run("show", tmp_path, "1042-9", LANG=lang, LC_ALL="", LC_MESSAGES="", LANGUAGE="")
    assert done.exit_code == 2 and words in done.output


def test_an_arabic_table_keeps_its_columns(tmp_path):
    """Lines with Arabic words and days are no wider than the terminal, by its columns, and each column begins at one place."""
    words = {"Due": "الموعد", "Frame": "المضرب", "Player": "اللاعب", "Why": "السبب", "strung {strung}": "رُبِط {strung}"}
    path = tmp_path / "ar.po"
    path.write_text("\n".join(f'msgid "{one}"\nmsgstr "{said}"\n' for one, said in words.items()), encoding="utf-8")
    found = due_in(write(tmp_path / "shop", {}), today(), lambda row: True, None)
    with speaking(BenchVoice((("ar", path),))):
        lines = [click.unstyle(line) for line in due._table(found.entries, today())]
    assert "الموعد" in lines[0] and "رُبِط" in "".join(lines) and max(map(columns, lines)) <= 80
    at = columns(lines[0].partition("المضرب")[0])
    assert all(columns(line.partition("رُبِط")[0]) == at for line in lines if "رُبِط" in line)


def test_the_rack_is_told_in_german_and_its_data_in_english(tmp_path):
    """What is wanted of a frame follows the shop's language on screen, and stays English in data."""
    from smallshop import FILES

    waits = {
        "players/ada/main.yaml": FILES["players/ada/main.yaml"]
        + "order: {promised: 2026-11-27, fitted: {part: thin-overgrip, place: along the handle}}\n"
    }
    shop = _shop(tmp_path / "de", "de", **waits)
    data = json.loads(_run("day", shop, "--json").output)
    assert data["rack"][0]["work"] == ["fit Thin overgrip along the handle"]
    said = _run("day", shop, "--out", tmp_path / "day.pdf").output
    assert "anbringen: Thin overgrip entlang dem Griff" in said


def test_a_recipe_is_shown_in_the_shops_language(tmp_path):
    """Places, quantities and verdicts are German, cautions too; Italian, which nobody has read yet, has them in English."""
    german, italian = (_run("show", shop_in(tmp_path / name, name), "1042-9").output for name in ("de", "it"))
    for english in ("along the handle", "Mass,", "Swingweight", "inside (", "A cracked frame"):
        assert english not in german
    assert "entlang dem Griff" in german and "Gewicht, g" in german
    assert "Ein gerissener Rahmen wird nicht bespannt." in german
    assert "A cracked frame is not strung." in italian and "along the handle" not in italian


def test_what_is_remembered_is_told_in_the_language_that_is_asked_for(tmp_path):
    """A warning that a German check remembered is English as data, and German again after that."""
    shop = shop_in(tmp_path / "shop", "de")
    before, data, after = (_run("check", shop, *more).output for more in ((), ("--json",), ()))
    assert "liegt über der Grenze" in before and before == after
    assert "over the frame maker's limit" in json.loads(data)["faults"][0]["what"]
