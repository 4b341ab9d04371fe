"""Names from right to left."""

from markupsafe import Markup

from passport.render.faces.direction import isolated
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
