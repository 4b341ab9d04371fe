"""The voice of a workshop: which language it is, and how sentences come out in it."""

import io
import subprocess
import sys
from datetime import date
from gettext import c2py
from itertools import product

import pytest
from places import ROOT

from passport.records.language.worded import numbered, speaking, worded
from passport.render.voice import bench_voice
from passport.render.voice.bench_voice import BenchVoice, language_here, language_of, voice_of
from passport.render.voice.terminal_words import read

CATALOGUE = """\
msgid ""
msgstr ""
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n==2 ? 1 : 2);\\n"

msgid "on {day} {share:.1f} of {amount:,.0f} at {place}"
msgstr "am {day}: {share:.1f} von {amount:,.0f} ({place})"

#: somewhere.py
#, fuzzy
msgid "in doubt"
msgstr "fraglich"

msgid "a \\"long\\" "
"one\\n"
msgstr ""
"ein \\"langer\\" "
"Satz\\n"

msgid "without words"
msgstr ""

msgid "{count} job"
msgid_plural "{count} jobs"
msgstr[0] "{count} Arbeit"
msgstr[1] "{count} Arbeiten zu zweit"
msgstr[2] "{count} Arbeiten"
"""


@pytest.fixture
def german(tmp_path):
    """A voice with the words above, said as German."""
    path = tmp_path / "de.po"
    path.write_text(CATALOGUE, encoding="utf-8")
    with speaking(BenchVoice((("de", path),))):
        yield


def test_values_have_the_form_of_the_language(german):
    """Numbers and days are as CLDR has them for German; a text is as it is."""
    said = worded(
        "on {day} {share:.1f} of {amount:,.0f} at {place}",
        day=date(2026, 12, 1),
        share=2.5,
        amount=1234567,
        place="1.5",
    )
    assert said == "am 01.12.2026: 2,5 von 1.234.567 (1.5)"


def test_what_has_no_words_is_english_as_a_whole(german):
    """A sentence without words, or with words in doubt, comes in English, its numbers and days too."""
    assert [worded(text) for text in ("without words", "in doubt", "unheard of")] == [
        "without words",
        "in doubt",
        "unheard of",
    ]
    assert worded("{share:.1f} since {day}", share=2.5, day=date(2026, 12, 1)) == "2.5 since 2026-12-01"
    assert worded('a "long" one\n') == 'ein "langer" Satz\n'


def test_counts_have_the_forms_of_the_language(german):
    """The form for a count is the catalogue's own; without words the English one."""
    said = [numbered(count, "{count} job", "{count} jobs") for count in (1, 2, 5)]
    assert said == ["1 Arbeit", "2 Arbeiten zu zweit", "5 Arbeiten"]
    assert [numbered(count, "{count} row", "{count} rows") for count in (1, 2)] == ["1 row", "2 rows"]


def test_a_wish_for_several_languages_goes_through_them(tmp_path):
    """A sentence comes in the first of the languages that has words for it, in that one's forms."""
    (tmp_path / "pl.po").write_text('msgid "a {n:.1f}"\nmsgstr "pl {n:.1f}"\n', encoding="utf-8")
    (tmp_path / "de.po").write_text('msgid "b {n:.1f}"\nmsgstr "de {n:.1f}"\n', encoding="utf-8")
    voice = BenchVoice((("pl", tmp_path / "pl.po"), ("de", tmp_path / "de.po")))
    with speaking(voice):
        assert [worded(f"{which} {{n:.1f}}", n=0.5) for which in "abc"] == ["pl 0,5", "de 0,5", "c 0.5"]


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("name: x\nlanguage: de   # German\n", "de"),
        ("language: 'pl:de'\r\n", "pl:de"),
        ("name: x\n", "en"),
        ("hours:\n  language: de\n", "en"),
        (None, "fr-FR"),
    ],
)
def test_the_language_is_that_of_the_workshop(tmp_path, text, language):
    """It is what workshop.yaml says, English where it says nothing, that of the computer where there is none."""
    if text is not None:
        (tmp_path / "workshop.yaml").write_bytes(text.encode())
    assert language_of(tmp_path, {"LANG": "fr_FR.UTF-8"}) == language


@pytest.mark.parametrize(
    ("environ", "language"),
    [
        ({}, "en"),
        ({"LANG": "C.UTF-8"}, "en"),
        ({"LANG": "POSIX"}, "en"),
        ({"LANG": "de_AT.UTF-8@euro"}, "de-AT"),
        ({"LANG": "de_DE", "LC_MESSAGES": "fr_FR"}, "fr-FR"),
        ({"LANG": "de_DE", "LC_ALL": "it_IT", "LANGUAGE": ""}, "it-IT"),
        ({"LANG": "de_DE", "LANGUAGE": "pl:de"}, "pl:de"),
    ],
)
def test_the_language_of_the_computer_is_found_as_gettext_does(environ, language):
    """The variables count in gettext's order; C and POSIX are English."""
    assert language_here(environ) == language


@pytest.mark.parametrize(
    ("wanted", "spoken"),
    [("en", None), ("en-GB:de", None), ("de", "de"), ("de-AT", "de"), ("xx:de", "de"), ("zh-TW", None), ("xx", None)],
)
def test_a_language_without_words_is_said_in_the_next(wanted, spoken):
    """A region is said in its language's words, but for Chinese of other signs; at last there is no voice but English."""
    voice = voice_of(wanted)
    assert (voice and voice.language) == spoken


def test_all_shipped_words_are_read_as_babel_reads_them():
    """The small reader finds in every catalogue just what a library does, plural forms too."""
    from babel.messages.pofile import read_po

    paths = sorted((ROOT / "templates" / bench_voice.FOLDER).glob("*.po"))
    assert len(paths) > 5
    for path in paths:
        ours = read(path.read_text(encoding="utf-8"))
        theirs = read_po(io.BytesIO(path.read_bytes()), locale=path.stem)
        for message in theirs:
            if isinstance(message.id, tuple):
                assert ours.plurals[message.id[1]] == message.string
            elif message.id:
                assert ours.single(message.id) == message.string
        for count, many in product((0, 1, 2, 3, 11, 100), list(ours.plurals)[:1]):
            form = c2py(theirs.plural_expr)(count)
            assert ours.plural(many, count) == ours.plurals[many][form]


def test_an_english_workshop_reads_no_words():
    """Where English is spoken neither Babel nor a catalogue is brought."""
    code = (
        "import sys; from passport.render.voice.bench_voice import voice_of; from passport.records.language.worded import *\n"
        "speak(voice_of('en')); assert worded('{n:.1f} of {m}', n=2, m=1) == '2.0 of 1'\n"
        "found = {'babel', 'passport.render.voice.terminal_words', 'passport.render.theme.assets'} & set(sys.modules)\n"
        "assert not found, found"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("de", "Riss gefunden: nicht bespannen."),
        ("es", "Grieta encontrada: no encordar."),
        ("ja", "Crack found: do not string."),
        ("it:de", "Riss gefunden: nicht bespannen."),
    ],
)
def test_a_warning_is_said_in_a_language_that_somebody_has_read(language, said):
    """What can hurt somebody comes in the first of the wished languages whose words were read, else in English."""
    with speaking(voice_of(language)):
        assert worded("Crack found: do not string.") == said


def test_the_warnings_are_texts_that_are_said():
    """Each stands in the German catalogue, so that none is misspelt."""
    words = read((ROOT / "templates" / bench_voice.FOLDER / "de.po").read_text(encoding="utf-8"))
    assert [text for text in bench_voice.WARNINGS if not words.single(text)] == []
