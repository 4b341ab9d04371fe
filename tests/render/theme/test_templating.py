"""The templates' environment: calls are calls, words are those of the reader."""

import jinja2
import pytest
from markupsafe import Markup

from passport.render.theme.templating import Environment, speak
from passport.render.theme.words import Words, words_of

KIT = "{% macro strong(text, class='') %}<b{% if class %} class=\"{{ class }}\"{% endif %}>{{ text }}</b>{% endmacro %}"
PAGES = {
    "plain": "{{ add(1, b='2') }}{{ add(1) }}",
    "unpacked": "{{ add(*[1], **{'b': '2'}) }}",
    "reserved": "{{ k.strong('a', class='x') }}",
    "macro": "{{ k.strong('<a>') }}",
    "block": "{% macro frame() %}<p>{{ caller() }}</p>{% endmacro %}{% call frame() %}{{ add('<', b='2') }}{% endcall %}",
    "safe": "{{ markup('<i>') }}",
    "loop": "{% for n in [1, [2, [3]]] recursive %}{% if n is iterable %}({{ loop(n) }}){% else %}{{ n }}{% endif %}{% endfor %}",
    "method": "{{ 'ab'.upper() }}{{ [3, 1].index(1) }}",
}


@pytest.fixture
def environment(tmp_path):
    """An environment with these templates, and one as Jinja makes it by itself."""
    (tmp_path / "kit").write_text(KIT)
    for name, text in PAGES.items():
        (tmp_path / name).write_text("{% import 'kit' as k %}" + text)
    ours = Environment([tmp_path])
    plain = jinja2.Environment(
        loader=jinja2.FileSystemLoader(tmp_path), autoescape=True, undefined=jinja2.StrictUndefined
    )
    for each in (ours, plain):
        each.globals |= {"add": lambda a, b="": f"{a}+{b};", "markup": Markup}
    return ours, plain


@pytest.mark.parametrize("name", PAGES)
def test_calls_do_what_they_do_in_jinja(environment, name):
    """Functions, methods, macros, call blocks and recursive loops give and escape what Jinja's own compiler makes of them."""
    ours, plain = environment
    assert ours.get_template(name).render() == plain.get_template(name).render() != ""


def test_what_is_not_there_is_named(environment):
    """A call of something that no one has defined names it, as anything else that is not there does."""
    ours, _ = environment
    with pytest.raises(jinja2.UndefinedError, match="'nowhere' is undefined"):
        ours.from_string("{{ nowhere('x') }}").render()


def test_one_template_serves_all_languages(tmp_path):
    """The words are those of whoever is spoken to, also where they were written in another language before."""
    (tmp_path / "page").write_text(
        "{{ _('Player') }}, {{ ngettext('%(num)s piece', '%(num)s pieces', 2) }} {{ _('a < %(b)s', b='<') }}"
    )
    template = Environment([tmp_path]).get_template("page")
    for language, said in (("de", "Spieler/in, 2 Stücke"), ("en", "Player, 2 pieces"), ("de", "Spieler/in, 2 Stücke")):
        speak(words_of(language))
        assert template.render() == f"{said} a < &lt;"
    speak(Words("en"))


def test_words_that_are_always_the_same(tmp_path):
    """An environment with words of its own keeps them, whoever is spoken to."""
    environment = Environment([tmp_path])
    environment.always_speak(Words("en"))
    speak(words_of("de"))
    text = "{{ _('Player') }} {{ ngettext('%(num)s piece', '%(num)s pieces', 1) }} {{ _('a < %(b)s', b='<') }}"
    assert environment.from_string(text).render() == "Player 1 piece a < &lt;"
    speak(Words("en"))
