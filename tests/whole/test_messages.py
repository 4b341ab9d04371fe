"""The message catalogues: complete, current, sound, in every language."""

import ast
import importlib.util
from importlib.machinery import SourceFileLoader

import pytest
from babel.messages.catalog import Catalog
from places import ROOT

from passport.render.theme.words import CAUTIONS, problems, reviewed

TOOL = ROOT / ".dev" / "messages"
LANGUAGES = tuple(sorted(path.stem for path in (ROOT / "templates/messages").glob("*.po")))
AT_THE_BENCH = tuple(sorted(path.stem for path in (ROOT / "templates/messages/bench").glob("*.po")))


@pytest.fixture(scope="module")
def tool():
    """What brings the catalogues up to date, as a module."""
    loader = SourceFileLoader("messages_tool", str(TOOL))
    spec = importlib.util.spec_from_loader("messages_tool", loader)
    assert spec
    module = importlib.util.module_from_spec(spec)
    loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def texts(tool) -> Catalog:
    """Every text in the templates and the code that a player may read."""
    return tool.said()


def test_the_shipped_languages(tool):
    """German, French and Spanish are there beside English; the bench has words in the same."""
    assert {"de", "es", "fr"} <= set(LANGUAGES) and AT_THE_BENCH == LANGUAGES


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_has_words(tool, texts, language):
    """No text is missing, without words or in doubt, no words are stale, and what is filled in is named as in English."""
    assert not list(tool.faults(texts, tool.FOLDER / f"{language}.po"))


def test_every_text_of_the_bench_has_words(tool):
    """The bench has all its words in a language that somebody has read; another may lack some, and has none in doubt."""
    texts = tool.said_at_the_bench()
    found = [fault for name in AT_THE_BENCH for fault in tool.faults(texts, tool.BENCH / f"{name}.po")]
    assert [fault for fault in found if tool.needed(fault)] == []


def test_the_list_of_texts_is_current(tool, texts):
    """passport.pot, from which a further language starts, holds every text and no other; so does the bench's own."""
    assert (tool.FOLDER / "passport.pot").read_bytes() == tool.written(texts)
    assert (tool.BENCH / "passport.pot").read_bytes() == tool.written(tool.said_at_the_bench())
    assert (tool.TERMINAL / "passport.pot").read_bytes() == tool.written(tool.said_at_the_terminal())


def test_the_terminal_has_all_its_words_in_german(tool):
    """Each language has a catalogue for the terminal, current and sound; German has words for all that it says."""
    texts = tool.said_at_the_terminal()
    paths = sorted(tool.TERMINAL.glob("*.po"))
    assert tuple(path.stem for path in paths) == LANGUAGES and len(texts) > 500
    found = [fault for path in paths for fault in tool.faults(texts, path)]
    assert [fault for fault in found if tool.needed_at_the_terminal(fault)] == []
    assert not tool.needed_at_the_terminal("fr.po: without words: no") and tool.needed_at_the_terminal(
        "fr.po: stale: no"
    )
    assert tool.needed_at_the_terminal("de.po: without words: no")


def test_no_text_of_the_code_is_overlooked(tool):
    """Whatever is said by a literal is in a catalogue; one inside an f-string would not be found."""
    terminal, bench, pages = tool.said_at_the_terminal(), tool.said_at_the_bench(), tool.said()
    overlooked, known = [], 0
    for path in (ROOT / "passport").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant)):
                continue
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            catalogues = {"worded": (terminal,), "unsaid": (terminal,), "plotted": (terminal,)}.get(name, ())
            catalogues = catalogues or ((bench, pages) if name in ("_", "gettext") else ())
            text = node.args[0].value
            if catalogues and isinstance(text, str):
                known += 1
                if not any(catalogue.get(text) for catalogue in catalogues):
                    overlooked.append(f"{path.name}:{node.lineno}: {text}")
    assert overlooked == [] and known > 1000


def test_what_warns_is_a_text(tool, texts):
    """Each caution is a text of a page, a printed piece or a sheet, word for word."""
    bench = tool.said_at_the_bench()
    assert [text for text in CAUTIONS if texts.get(text) is None and bench.get(text) is None] == []


def test_languages_say_whether_somebody_read_them(tool):
    """The head of each catalogue says it, and bringing it up to date keeps that."""
    said = {
        tool.FOLDER: tool.said(),
        tool.BENCH: tool.said_at_the_bench(),
        tool.TERMINAL: tool.said_at_the_terminal(),
    }
    for path in (path for folder in said for path in folder.glob("*.po")):
        data = path.read_bytes()
        assert (b"X-Reviewed: yes" in data) != (b"X-Reviewed: no" in data), path
        assert tool.written(said[path.parent], path.stem, tool.words(path), read=reviewed(data)) == data


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_language_has_a_glossary(language):
    """The words of the trade, and where each comes from, in a table without an empty cell."""
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in (ROOT / f"templates/messages/glossary/{language}.md").read_text(encoding="utf-8").splitlines()
        if line.startswith("|")
    ]
    assert rows[0][0] == "English" and rows[0][2] == "Where from"
    assert len(rows) > 20 and all(len(row) == 3 and all(row) for row in rows)


def test_texts_of_pages_cards_and_charts_are_found(texts):
    """The list draws on templates as well as on code: pages, printed pieces, charts, calendar."""
    for text in (
        "Racquet passport",
        "The whole recipe",
        "The life of this string bed",
        "Strung on %(date)s by %(shop)s.",
    ):
        assert texts.get(text) is not None, text


def _say(catalogue: Catalog, text: str, words: str, flags: tuple[str, ...] = ()) -> None:
    """Give a text other words."""
    catalogue.delete(text)
    catalogue.add(text, words, flags=flags)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda made: made.delete("Player"), "missing: Player"),
        (lambda made: made.add("Gone with the wind", "Vom Winde verweht"), "stale: Gone with the wind"),
        (lambda made: _say(made, "Player", "", ("fuzzy",)), "without words: Player"),
        (lambda made: _say(made, "Player", "Spielerin", ("fuzzy",)), "in doubt: Player"),
        (lambda made: _say(made, "Strung on %(date)s", "Bespannt"), "lacks %(date)s"),
        (lambda made: _say(made, "Strung on %(date)s", "Am %(datum)s, %(date)s"), "has %(datum)s"),
        (lambda made: _say(made, "restring by {date}", "neu {dat}"), "lacks {date}"),
        (lambda made: _say(made, "target %(value)s", "zu 100 % %(value)s"), "a lone %"),
    ],
)
def test_a_catalogue_out_of_step_is_noticed(tool, texts, tmp_path, change, told):
    """A text without words, words without a text, a doubt and a broken place each are told by name."""
    made = tool.words(tool.FOLDER / "de.po")
    change(made)
    path = tmp_path / "de.po"
    path.write_bytes(_bytes(made))
    assert any(told in fault for fault in tool.faults(texts, path))


def _bytes(catalogue: Catalog) -> bytes:
    import io

    from babel.messages.pofile import write_po

    out = io.BytesIO()
    write_po(out, catalogue)
    return out.getvalue()


def test_bringing_up_to_date_twice_changes_nothing(tool, texts):
    """The catalogues are as the tool writes them, so that no difference is a mere matter of form."""
    for language in LANGUAGES:
        path = tool.FOLDER / f"{language}.po"
        data = path.read_bytes()
        assert tool.written(texts, language, tool.words(path), read=reviewed(data)) == data


def test_a_catalogue_keeps_its_own_plural_forms(tool, texts):
    """Words for two forms are kept where the library knows three forms of the language, as CLDR has for French."""
    known = tool.words(tool.FOLDER / "fr.po")
    assert known.num_plurals == 2
    made = tool.written(texts, "fr", known).decode()
    assert '"Plural-Forms: nplurals=2; plural=(n > 1);' in made
    assert "msgstr[1] " in made
    assert "msgstr[2] " not in made
    assert 'msgstr[0] ""' not in made.replace('msgstr[0] ""\n"', "")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (b"not a catalogue at all", "messages for 'it'"),
        (b'msgid "a"\nmsgstr "\xff\xfe"\n', "messages for 'it'"),
    ],
)
def test_what_is_no_catalogue_is_refused(text, told):
    """A file in another form or encoding is an error that names the language."""
    with pytest.raises(ValueError, match=told):
        problems(text, "it")
