"""Words in the reader's language, and the shop's own above the shipped ones."""

import sys

import pytest

from passport.render.theme import assets
from passport.render.theme.words import (
    SOURCE,
    Words,
    bench_words_of,
    direction,
    languages,
    read_catalogue,
    shown_language,
    words_of,
)
from passport.workshop.facts.facts import languages_of

SWEDISH = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\nmsgid "Player"\nmsgstr "Spelare"\n'
OTHER_GERMAN = SWEDISH.replace("Spelare", "Mitglied")


@pytest.fixture
def content(tmp_path):
    """A content folder with a further language, another wording of German and one of English."""
    folder = tmp_path / "messages"
    folder.mkdir()
    (folder / "sv.po").write_text(SWEDISH, encoding="utf-8")
    (folder / "de.po").write_text(OTHER_GERMAN, encoding="utf-8")
    (folder / "en.po").write_text(SWEDISH.replace("Spelare", "Member"), encoding="utf-8")
    return tmp_path


def test_shipped_words():
    """Each shipped language has its word; English is what stands in the templates."""
    said = {language: words_of(language).gettext("Player") for language in languages()}
    assert said | {"en": "Player", "de": "Spieler/in", "es": "Jugador/a", "fr": "Joueur / joueuse"} == said
    assert len(set(said.values())) == len(said)


def test_a_shop_adds_a_language_and_changes_wordings(content):
    """A file in the content's messages adds a language or changes a word, also an English one, without any code."""
    with assets.using(content):
        assert {"en", "de", "es", "fr", "sv"} <= set(languages())
        assert [words_of(name).gettext("Player") for name in ("sv", "de", "en", "fr")] == [
            "Spelare", "Mitglied", "Member", "Joueur / joueuse",
        ]  # fmt: skip
        assert words_of("de").gettext("Strings") == "Saiten", "what the shop does not say stays as it was"
        assert words_of("sv").gettext("Strings") == "Strings", "what nobody says stays English"
    assert words_of("de").gettext("Player") == "Spieler/in", "without that folder all is as before"
    assert shown_language("sv") == SOURCE


def test_a_changed_file_is_read_again(content):
    """A word that is changed while the program runs is seen when the folder is named again."""
    with assets.using(content):
        path = content / "messages/sv.po"
        path.write_text(SWEDISH.replace("Spelare", "Klubbspelare"), encoding="utf-8")
        assets.use(content)
        assert words_of("sv").gettext("Player") == "Klubbspelare"


@pytest.mark.parametrize(
    ("language", "count", "said"),
    [
        ("en", 1, "1 knot"), ("en", 2, "2 knots"), ("de", 1, "1 Knoten"), ("fr", 1, "1 nœud"), ("fr", 2, "2 nœuds"),
        ("fr", 0, "0 nœud"), ("en", 0, "0 knots"), ("es", 1.0, "1.0 nudo"), ("es", 2.5, "2.5 nudos"),
        ("fr", 1.5, "1.5 nœud"), ("en", 1.5, "1.5 knots"),
    ],
)  # fmt: skip
def test_counts_choose_their_form(language, count, said):
    """One and many are told apart as the language does (CLDR, from memory: French counts nothing as one)."""
    words = words_of(language)
    assert words.ngettext("%(num)s knot", "%(num)s knots", count) % {"num": count} == said


def test_what_was_used_is_noted(content):
    """Whatever asks for words leaves word of the catalogues, also of one that is not there yet."""
    with assets.using(content), assets.noted() as used:
        words_of("de-CH")
        words_of("nl")
    assert {"messages/de.po", "messages/de-ch.po", "messages/nl.po", "messages/en.po"} <= used


def test_catalogues_that_are_not_there_are_passed_over(tmp_path):
    """A language without a file has the English words."""
    assert Words("pt", (tmp_path / "pt.po",)).gettext("Player") == "Player"
    assert read_catalogue(SWEDISH.encode(), "sv").gettext("Player") == "Spelare"


def test_words_that_were_read_often_are_found_as_soon(tmp_path):
    """A catalogue that many readers' words come from stays as it was read: what follows it does not pile up in it."""
    catalogue = tmp_path / "de.po"
    catalogue.write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\n"\n\nmsgid "one"\nmsgstr "eins"\n', "utf-8"
    )
    for _ in range(sys.getrecursionlimit() + 10):
        found = Words("de", [catalogue])
    assert (found.gettext("one"), found.gettext("two")) == ("eins", "two")
    assert read_catalogue(catalogue.read_bytes(), "de")._fallback is None


def test_a_reader_s_languages_in_their_order():
    """A Polish player in a German shop reads German, not English; one whose language has words reads that."""
    assert [shown_language(wanted) for wanted in ("xx:de", "fr:de", "xx:yy", "fr-CA:de-AT", "xx:de-AT")] == [
        "de", "fr", "en", "fr", "de",
    ]  # fmt: skip
    assert words_of("xx:de").gettext("Player") == "Spieler/in"
    assert (languages_of("xx", "de"), languages_of("", "de"), languages_of("xx", "en"), languages_of("de-AT", "de")) == (
        "xx:de", "de", "xx", "de-AT",
    )  # fmt: skip


LEAD = "Lead tape is fitted."
UNREAD = f'{SWEDISH}\nmsgid "{LEAD}"\nmsgstr "Bly."\n'


@pytest.mark.parametrize(
    ("head", "then", "said"),
    [
        ("", None, (LEAD, "en")),
        ("", Words("de", [assets.templates() / "messages/de.po"]), ("Bleiband ist angebracht.", "de")),
        ('"X-Reviewed: yes\\n"\n', None, ("Bly.", "sv")),
    ],
)
def test_a_caution_that_nobody_read_is_not_said(tmp_path, head, then, said):
    """Of a shipped language that no native has read all is said but its cautions: those in the next language, whole."""
    path = tmp_path / "sv.po"
    path.write_text(UNREAD.replace('utf-8\\n"\n', f'utf-8\\n"\n{head}'), encoding="utf-8")
    words = Words("sv", [path], then)
    assert words.gettext("Player") == "Spelare"
    assert words.caution(LEAD) == said
    assert words.gettext(LEAD) == said[0]


def test_a_shop_s_own_caution_is_said(content):
    """What a shop wrote itself it answers for."""
    (content / "messages/sv.po").write_text(UNREAD, encoding="utf-8")
    with assets.using(content):
        assert words_of("sv").caution(LEAD) == ("Bly.", "sv")


def test_the_bench_has_words_of_its_own(content):
    """Sheets and screens have the words of pages and those that only the bench reads; what is missing is English."""
    assert (
        bench_words_of("de-AT").gettext("Done by") == "Gemacht von" and words_of("de").gettext("Done by") == "Done by"
    )
    assert bench_words_of("xx:fr").gettext("Player") == "Joueur / joueuse"
    with assets.using(content):
        assert bench_words_of("sv").gettext("Done by") == "Done by"
        (content / "messages/bench").mkdir()
        (content / "messages/bench/sv.po").write_text(SWEDISH.replace("Player", "Done by"), encoding="utf-8")
        assets.use(content)
        assert bench_words_of("sv").gettext("Done by") == "Spelare"
        assert bench_words_of("sv").gettext("Player") == "Spelare", "and those of pages"


@pytest.mark.parametrize(
    ("language", "way"), [("en", "ltr"), ("de", "ltr"), ("ar", "rtl"), ("he", "rtl"), ("xx", "ltr")]
)
def test_which_way_a_language_runs(language, way):
    """Arabic and Hebrew run from right to left (Unicode Standard Annex 9)."""
    assert direction(language) == way


def test_a_count_without_words_is_english_in_the_right_form(tmp_path):
    """A language that has one form for all counts, and lacks words for one, has the English form of the count."""
    path = tmp_path / "ja.po"
    path.write_text(
        'msgid ""\nmsgstr ""\n"Plural-Forms: nplurals=1; plural=0;\\n"\n\n'
        'msgid "%(num)s day"\nmsgid_plural "%(num)s days"\nmsgstr[0] ""\n',
        encoding="utf-8",
    )
    words = Words("ja", [path])
    assert [words.ngettext("%(num)s day", "%(num)s days", count) for count in (1, 5)] == ["%(num)s day", "%(num)s days"]
