"""Finding a frame by what somebody remembers."""

import pytest

from passport.workshop.entry.search import Findable, plain, search, typos


def found(name, number="", player="", label="", model="", serial="", status="active", strings=()):
    """A frame that can be found."""
    return Findable(name, number, player, label, model, serial, status, strings)


SHELF = [
    found("askwell/i", "1042-9", "Juniper A.", "I", "Ostrevane Marlpit 98", "OV98-1", strings=("Deep Petrol",)),
    found(
        "askwell/ii",
        "1043-7",
        "Juniper A.",
        "II",
        "Ostrevane Marlpit 98",
        "OV98-2",
        strings=("Softmere", "Deep Petrol"),
    ),
    found("tremorel/un", "1003-1", "Sylvie Trémorel", "Un", "Yarrowquist Sallow", strings=("Thrushline",)),
    found("x/old", "1004-X", "Juniper B.", "Old", "Sallow", status="retired"),
]


def names(text):
    """The frames that a text finds."""
    return [f.name for f in search(text, SHELF)]


@pytest.mark.parametrize("text", ["1042-9", "10429", "1042 9"])
def test_a_number_finds_its_frame_alone(text):
    """A number is found however it is typed."""
    assert names(text) == ["askwell/i"]


def test_a_check_character_x_may_be_small():
    """An X is found as x."""
    assert names("1004x") == ["x/old"]


def test_each_word_must_fit():
    """Two words narrow the search."""
    assert names("juniper softmere") == ["askwell/ii"]


def test_accents_and_capitals_do_not_matter():
    """``tremorel`` finds Trémorel."""
    assert names("TREMOREL") == ["tremorel/un"]
    assert plain("Trémorel") == "tremorel"


SCRIPTS = [
    ("pl", "Żółki Brzękwa", ["żółki", "zolki", "ZOLKI brzekwa", "brzękwą"]),
    ("no", "Øystein Fjærmo", ["øystein", "oystein", "Fjaermo", "fjærmo"]),
    ("tr", "Işıl Ünvarkal", ["ışıl", "isil", "unvarkal", "Ünvarkal"]),
    ("de", "Grußwald Ämmel", ["grusswald", "Grußwald", "ammel", "GRUSSWALD"]),
    ("vi", "Đặng Thỏn Vơi", ["đặng", "dang", "thon voi"]),
    ("el", "Ελένη Βαρούκη", ["ελενη", "ΒΑΡΟΎΚΗ", "Varoyki", "eleni"]),
    ("ru", "Мирёна Талкова", ["талкова", "мирена", "mirena", "Talkova"]),
    ("ar", "نُهى الورداني", ["نهى", "الورداني", "nuha"]),
    ("he", "תמר בן-ארזי", ["תמר", "ארזי"]),
    ("hi", "अर्जुन वेलारे", ["अर्जुन", "वेला", "arjun"]),
    ("bn", "রুমেলা দাশক", ["রুমেলা", "rumela"]),
    ("ta", "கவின்மொழி", ["கவின்", "kvin"]),
    ("th", "สมชัยวรณ์ พุ่มคำ", ["สมชัย", "วรณ์", "พุ่มคำ", "คำ"]),
    ("km", "សុខដារ៉ា", ["សុខ", "ដារ៉ា"]),
    ("zh", "林若溪", ["若溪", "林", "LinRuoXi"]),
    ("ja", "山瀬 実波", ["山瀬", "波", "Yamase Minami", "yamase"]),
    ("kana", "ﾐﾅｾ ナミ", ["ミナセ", "minase"]),
    ("ko", "김보라늘", ["김보", "보라", "기", "GimBo"]),
    ("ka", "ნინელი", ["ნინელი", "nineli"]),
    ("hy", "Արուսակ", ["արուսակ", "arowsak"]),
]
READINGS = {"ja": "Yamase Minami"}


@pytest.mark.parametrize(("name", "text"), [(n, text) for n, _, texts in SCRIPTS for text in texts])
def test_a_name_is_found_in_its_script_and_in_latin_letters(name, text):
    """In twenty scripts and spellings: without accents, by a part of a word, in other letters, by how it is read."""
    others = [found(n, player=f"{who} {READINGS.get(n, '')}") for n, who, _ in SCRIPTS]
    assert search(text, others)[0].name == name


@pytest.mark.parametrize("text", ["!!!", "🏸", "。", "ّ"])
def test_signs_that_are_no_letters_find_nothing(text):
    """Not everything, and no fault."""
    assert search(text, SHELF) == []


@pytest.mark.parametrize("text", ["junper", "jnuiper", "junipper", "juniqer"])
def test_one_typo_is_forgiven(text):
    """A letter missing, swapped, doubled or wrong still finds."""
    assert names(text)[:2] == ["askwell/i", "askwell/ii"]


def test_frames_in_play_come_first():
    """Among equals a retired frame stands last."""
    assert names("juniper")[-1] == "x/old"


def test_nothing_is_found_by_nothing():
    """Empty words and words that fit nothing find nothing."""
    assert names("  ") == []
    assert names("zzzzzz") == []


@pytest.mark.parametrize(
    ("one", "other", "count"),
    [("ca", "abc", 3), ("kitten", "sitting", 3), ("abcd", "acbd", 1), ("abc", "abc", 0), ("", "ab", 2)],
)
def test_typos_are_counted_as_in_the_literature(one, other, count):
    """Optimal string alignment distances; kitten to sitting is Levenshtein's textbook 3, ca to abc 3 (from memory)."""
    assert typos(one, other, 9) == count


def test_counting_stops_where_it_is_enough():
    """Beyond the limit the count is the limit plus one."""
    assert typos("abcdefgh", "zyxwvuts", 2) == 3
