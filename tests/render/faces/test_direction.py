"""Names from right to left, and what keeps its order inside such text."""

import re

import pytest
from markupsafe import Markup

from passport.render.faces.direction import in_visual_order, isolated, ordered, printed
from passport.render.theme.templating import Environment


def test_only_what_runs_from_right_to_left_is_isolated() -> None:
    """Arabic and Hebrew get first strong isolate and its end (UAX 9: U+2068, U+2069), once; anything else stays."""
    assert isolated("ليلى") == "\u2068ليلى\u2069" == isolated(isolated("ليلى"))
    assert isolated("A-1 יעל") == "\u2068A-1 יעל\u2069"
    assert [isolated(value) for value in ("Żółki", "山田", 3, None, "")] == ["Żółki", "山田", 3, None, ""]


def test_markup_is_left_alone() -> None:
    """What was put together already is not wrapped once more."""
    assert isolated(Markup("<b>ليلى</b>")) == "<b>ليلى</b>"


def test_templates_isolate_names_wherever_they_stand(tmp_path) -> None:
    """In text, in an attribute and inside a sentence, each name alone."""
    (tmp_path / "t.j2").write_text(
        "{{ name }}|<i title=\"{{ name }}\">|{{ _('“%(x)s” (%(n)s)', x=name, n='7-1') }}", "utf-8"
    )
    environment = Environment([tmp_path])
    from passport.render.theme.words import words_of

    environment.always_speak(words_of("en"))
    made = environment.get_template("t.j2").render(name="ليلى")
    one = "\u2068ليلى\u2069"
    assert made == f'{one}|<i title="{one}">|“{one}” (7-1)'


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("حدّ الإطار 26.0\u202fkg / 57.3\u202flb", ["26.0\u202fkg / 57.3\u202flb"]),
        ("16\u00a0×\u00a019 · قطعتان · 4 عُقد", ["16\u00a0×\u00a019"]),
        ("الهدف ± 2.0\u202fmm (51 / 49\u202flb)", ["± 2.0\u202fmm", "51 / 49\u202flb"]),
        ("شريط 10\u00a0×\u00a03¼\u202fin", ["10\u00a0×\u00a03¼\u202fin"]),
        ("<td>83–91\u202f%</td><b title='1 2'>5</b>", ["83–91\u202f%"]),
        ('<b>331.1<span class="unit"> g</span></b>', ['331.1<span class="unit"> g</span>']),
    ],
)
def test_figures_keep_their_order_from_right_to_left(text, kept) -> None:
    """A figure with its unit, two figures with a sign between them: each alone from left to right (UAX 9: U+2066, U+2069);
    a number or word alone needs nothing, nor do tags."""
    assert re.findall("\u2066(.*?)\u2069", ordered(text, inside=True)) == kept
    assert ordered(text, inside=True).replace("\u2066", "").replace("\u2069", "") == text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("<i>1</i> \u2066320.0\u202fg\u2069 ± \u20661.0\u2069 وتر", "<i>1</i> [320.0\u202f[g ± 1.0]] وتر"),
        ("\u2068وتر \u2066320.0\u202fg\u2069 ± 1.0\u2069", "{وتر [320.0\u202f[g ± 1.0]]}"),
    ],
)
def test_a_figure_is_not_parted_from_its_spread(text, said) -> None:
    """The figure comes first and its spread behind it, from left to right, in one run."""
    signs = str.maketrans({"[": "\u2066", "{": "\u2068", "]": "\u2069", "}": "\u2069"})
    assert ordered(text, inside=True) == said.translate(signs)
    apart = 'وتر \u2066320.0\u202fg\u2069 <span class="nobreak">± 1.0</span>'
    assert ordered(apart, inside=True).startswith("وتر \u2066\u2066320.0\u202fg\u2069 <span")
    assert ordered(apart, inside=True).endswith("</span>\u2069")


def test_print_is_told_the_direction_text_by_text() -> None:
    """Where nothing around says it, a text with such letters runs from right to left whatever it begins with; others stay."""
    said = ordered("<p>Reed 98 · وتر</p><p>24.0\u202fkg</p><p>\u2068A وتر\u2069</p>", inside=False)
    assert said == "<p>\u2067\u2066Reed 98\u2069 · وتر\u2069</p><p>24.0\u202fkg</p><p>\u2067\u2067A وتر\u2069\u2069</p>"


@pytest.mark.parametrize(
    ("markup", "said"),
    [
        ("<p>24.0\u202fkg</p>", "<p>\u206624.0\u202fkg\u2069</p>"),
        ("<td>331.1</td><td>3</td><td>–</td>", "<td>331.1</td><td>3</td><td>–</td>"),
        ('<b>331<span class="unit"> g</span></b>', '<b><span dir="ltr">331<span class="unit"> g</span></span></b>'),
        ("<p>Pull the maker&#39;s third main.</p>", '<p><span dir="ltr">Pull the maker\'s third main.</span></p>'),
        ("<p>A &amp; B, وتر</p>", "<p>\u2066A\u2069 &amp; \u2066B\u2069, وتر</p>"),
        ("<p>، Reed 98 · </p>", "<p>، \u2066Reed 98\u2069 · </p>"),
        ("<p>«I» · 13\u200f/11\u200f/2026</p>", "<p>«\u2066I\u2069» · \u206713\u200f/11\u200f/2026\u2069</p>"),
        ("<p>«अनीता» · «ऋतु» · وتر</p>", "<p>«\u2066अनीता\u2069» · «\u2066ऋतु\u2069» · وتر</p>"),
        (
            "<p>The catalogue names no places of the سهل 98: those usual (12 4\u202fg).</p>",
            '<p><span dir="ltr">The catalogue names no places of the سهل 98: those usual (12 4\u202fg).</span></p>',
        ),
        ("<p>ضمن ±\u20663\u202fHz\u2069</p>", "<p>ضمن \u2066±3\u202fHz\u2069</p>"),
    ],
)
def test_print_in_elements_that_run_from_right_to_left(markup, said) -> None:
    """Figures with their units, words of another language with their full stop and days keep their order, and a number
    does not run with a word from left to right that stands before it (UAX 9, rule W7)."""
    assert printed(markup) == said


def test_drawings_are_told_apart() -> None:
    """A drawing is given to what draws its words; all around it is not."""
    made = printed("<p>A 1</p><svg><text>A 1</text></svg>", lambda svg: svg.replace("A 1", "drawn"))
    assert made == "<p>\u2066A 1\u2069</p><svg><text>drawn</text></svg>"


def test_a_line_as_it_is_seen() -> None:
    """Its parts from left to right: the last word first, figures with their units as they are."""
    assert in_visual_order("وتر 24.0\u202fkg قوي") == [(" قوي", True), ("24.0\u202fkg", False), ("وتر ", True)]
