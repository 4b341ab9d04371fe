"""Attacks by a content folder's templates, from THREATS.md: C3 (no code), C4 (an end), C5 (trust), K1 in part."""

import os
import time

import pytest
import smallshop
from commandline import passport
from jinja2.exceptions import SecurityError, TemplateError
from markupsafe import Markup

from passport.render.print import card_art
from passport.render.theme import assets
from passport.render.theme.sandbox import MOST_SECONDS, Endless, Sandbox
from passport.render.theme.templating import Environment, environment, speak
from passport.render.theme.words import Words
from passport.render.untrusted import trust

ESCAPES = {
    "cycler": "{{ cycler.__init__.__globals__.os.popen('touch hit').read() }}",
    "subclasses": "{{ ().__class__.__base__.__subclasses__() }}",
    "attr": "{{ ''|attr('__class__') }}",
    "getitem": "{{ ''['__class__'] }}",
    "map": "{{ ['']|map(attribute='__class__')|join }}",
    "select": "{{ ['']|selectattr('__class__.__mro__')|list }}",
    "format": "{{ '{0.__class__.__mro__}'.format('') }}",
    "format-map": "{{ '{a.__class__}'.format_map({'a': ''}) }}",
    "percent": "{{ '%s'|attr('format') }}",
    "words": "{{ _.__globals__ }}",
    "function": "{{ draw.__globals__ }}",
    "partial": "{{ partial.func }}",
    "method": "{{ 'x'.upper.__self__.__class__ }}",
    "module-import": "{{ art.Path('/etc/passwd').read_text() }}",
    "module": "{{ art.__builtins__ }}",
    "module-class": "{{ art.CardDrawing }}{{ art.lru_cache }}",
    "append": "{{ names.append('x') }}",
    "update": "{{ table.update({'a': 1}) }}",
    "sort": "{{ names.sort() }}",
    "generator": "{{ (names|map('upper')).gi_frame }}",
    "frame": "{{ self._TemplateReference__context.environment }}",
    "environment": "{{ namespace.__init__.__globals__ }}",
    "undefined": "{{ nowhere.__class__ }}",
    "macro": "{% macro m() %}{% endmacro %}{{ m._func.__globals__ }}",
    "loop": "{% for a in names %}{{ loop._iterable.__class__ }}{% endfor %}",
    "import": "{% import '../../../../etc/passwd' as p %}",
    "include-absolute": "{% include '/etc/passwd' %}",
    "include-back": "{% include 'a\\\\..\\\\..\\\\x' %}",
    "locale": "{{ f.locale.parse('de') }}",
    "bytes": "{{ 5 .to_bytes(9, 'big') }}",
    "day": "{{ day.strftime('%c') }}",
    "lipsum": "{{ lipsum.__globals__ }}",
    "type": "{{ joiner.__mro__ }}",
}
"""Ways out of a template, each seen somewhere as a way to run code or to change what is given."""
BOMBS = {
    "loops": "{% set r = range(100000) %}{% for a in r %}{% for b in r %}{% for c in r %}{% endfor %}{% endfor %}{% endfor %}",
    "range": "{% for a in range(1000000000) %}{% endfor %}",
    "times": "{{ 'a' * 10000000000 }}",
    "times-list": "{{ [1] * 10000000000 }}",
    "power": "{{ 9 ** 9 ** 9 }}",
    "product": "{% set n = namespace(x=99999999) %}{% for i in range(60) %}{% set n.x = n.x * n.x %}{% endfor %}{{ n.x }}",
    "doubling": "{% set n = namespace(x='aaaaaaaa') %}{% for i in range(60) %}{% set n.x = n.x ~ n.x %}{% endfor %}",
    "doubling-plus": "{% set n = namespace(x='aaaaaaaa') %}{% for i in range(60) %}{% set n.x = n.x + n.x %}{% endfor %}",
    "doubling-join": "{% set n = namespace(x='aaaaaaaa') %}{% for i in range(60) %}{% set n.x = [n.x, n.x]|join %}{% endfor %}",
    "doubling-replace": "{% set n = namespace(x='aaaaaaaa') %}{% for i in range(60) %}{% set n.x = n.x|replace('a', 'aa') %}{% endfor %}",
    "doubling-list": "{% set n = namespace(x=[1, 2]) %}{% for i in range(60) %}{% set n.x = n.x + n.x %}{% endfor %}",
    "doubling-block": "{% set n = namespace(x='aaaaaaaa') %}{% for i in range(60) %}{% set y %}{{ n.x }}{{ n.x }}{% endset %}{% set n.x = y %}{% endfor %}",
    "nested": "{% set n = namespace(x=[1]) %}{% for i in range(60) %}{% set n.x = [n.x, n.x] %}{% endfor %}{{ n.x }}",
    "nested-dict": "{% set n = namespace(x={}) %}{% for i in range(60) %}{% set n.x = {'a': n.x, 'b': n.x} %}{% endfor %}{{ n.x }}",
    "nested-equal": "{% set n = namespace(x=[1], y=[1]) %}{% for i in range(60) %}{% set n.x = [n.x, n.x] %}{% set n.y = [n.y, n.y] %}{% endfor %}{{ n.x == n.y }}",
    "deep": "{% set n = namespace(x=[1]) %}{% for i in range(99999) %}{% set n.x = [n.x] %}{% endfor %}{{ n.x }}",
    "recursion": "{% macro m() %}{{ m() }}{{ m() }}{% endmacro %}{{ m() }}",
    "includes": "{% include 'self' %}{% include 'self' %}",
    "center": "{{ 'a'|center(10000000000) }}",
    "ljust": "{{ 'a'.ljust(10000000000) }}",
    "zfill": "{{ 'a'.zfill(10000000000) }}",
    "indent": "{{ 'a\nb'|indent(10000000000) }}",
    "batch": "{{ [1]|batch(10000000000, 'x')|list }}",
    "slice": "{{ [1]|slice(10000000000)|list }}",
    "wide-percent": "{{ '%9999999999d' % 5 }}",
    "wide-star": "{{ '%*d' % (999999999, 5) }}",
    "wide-filter": "{{ '%9999999999d'|format(5) }}",
    "wide-words": "{{ _('%(n)9999999999d', n=5) }}",
    "wide-words-many": "{{ ngettext('%(num)9999999999d', '%(num)9999999999d', 5) }}",
    "wide-method": "{{ '{:>9999999999}'.format(1) }}",
    "round": "{{ 1.5|round(100000000, 'ceil') }}",
    "sum": "{{ range(100000)|map('string')|sum(start='') }}",
    "sum-lists": "{% set r = [range(9)|list] * 9999 %}{{ (r * 10)|sum(start=[]) }}",
    "output": "{% set x = 'a' * 4000000 %}{% for i in range(100000) %}{{ x }}{% endfor %}",
    "output-macro": "{% set x = 'a' * 4000000 %}{% macro m() %}{% for i in range(9999) %}{{ x }}{% endfor %}{% endmacro %}{{ m() }}",
    "tilde": "{% set x = 'a' * 4000000 %}{{ " + " ~ ".join(["x"] * 500) + " }}",
    "join-separator": "{{ range(100000)|join('a' * 4000000) }}",
    "fill": "{{ width(99999999999) }}",
}
"""Ways to take time or memory without an end."""


class Facts:
    """Stands for an object that templates are given; its class is one of the program's."""

    label = "Heron"


Facts.__module__ = "passport.workshop.facts"


@pytest.fixture(scope="module")
def sandbox(tmp_path_factory):
    """A sandbox with things of each kind that pages give to their templates."""
    from functools import partial

    from passport.render.theme.formats import Formats

    folder = tmp_path_factory.mktemp("templates")
    (folder / "self").write_text(BOMBS["includes"])
    made = Sandbox([folder])
    made.globals |= {
        "draw": card_art.small_racquet, "partial": partial(len), "art": card_art, "names": ["a"], "table": {"a": 1},
        "f": Formats("en"), "day": smallshop.TODAY, "facts": Facts(), "width": lambda n: "a" * n,
    }  # fmt: skip
    return made


@pytest.mark.parametrize("name", ESCAPES)
def test_no_way_out(sandbox, name, tmp_path, monkeypatch):
    """C3: an attribute of Python's own, a filter that looks one up, a change of what is given: none of it is done."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises((TemplateError, TypeError)):
        sandbox.from_string(ESCAPES[name]).render()
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", BOMBS)
def test_every_template_ends(sandbox, name):
    """C4: what would go on, or grow, without an end is stopped with an error, long before the most seconds are over."""
    start = time.process_time()
    with pytest.raises((SecurityError, TemplateError, OverflowError, RecursionError, TypeError)):
        sandbox.get_template("self").render() if name == "includes" else sandbox.from_string(BOMBS[name]).render()
    assert time.process_time() - start < MOST_SECONDS / 2


def test_the_clock_ends_a_template_too(sandbox, monkeypatch):
    """C4: steps that take long are ended by the clock."""
    monkeypatch.setattr("passport.render.theme.sandbox.MOST_SECONDS", 0.05)
    slow = "{% set r = range(90000)|list %}{% for a in range(100000) %}{{ 'x' in r }}{% endfor %}"
    with pytest.raises(Endless, match=r"0\.05 s"):
        sandbox.from_string(slow).render()


DRAWN = {
    "{{ facts.label }} {{ f.mass(330.04) }} {{ day.isoformat() }}": "Heron 330.0\u202fg 2026-11-25",
    "{{ names[0] }}{{ table.a }}{{ table['a'] }}{% for k, v in table.items() %}{{ k }}={{ v }}{% endfor %}": "a11a=1",
    "{% for n in [3, 1] %}{{ loop.index }}/{{ loop.length }}:{{ n }}{{ ',' if not loop.last }}{% endfor %}": "1/2:3,2/2:1",
    "{% macro m(x) %}<b>{{ x }}</b>{% endmacro %}{% macro c() %}{{ caller() }}{% endmacro %}{{ m('<') }}{% call c() %}!{% endcall %}": "<b>&lt;</b>!",
    "{{ ['b', 'a']|sort|join('+') }} {{ '%.2f' % 1.005 }} {{ '<' ~ 1 }} {{ 'a-b'.split('-')|last }}": "a+b 1.00 &lt;1 b",
    "{% set n = namespace(x=0) %}{% for i in range(5) %}{% set n.x = n.x + i * 2 %}{% endfor %}{{ n.x }}": "20",
    "{{ names|map('upper')|list }}{{ [1, [2, [3]]] }}{{ {'a': (1, 2)} }}": "[&#39;A&#39;][1, [2, [3]]]{&#39;a&#39;: (1, 2)}",
    "{{ _('a < %(b)s', b='<') }}{{ markup }}": "a < &lt;<i>",
    "{% for n in [1, [2, [3]]] recursive %}{% if n is iterable %}({{ loop(n) }}){% else %}{{ n }}{% endif %}{% endfor %}": "1(2(3))",
    "{{ 'abc'[1:] }}{{ 7 // 2 }}{{ 7 % 4 }}{{ 2 ** 3 }}{{ 'x' * 3 }}{{ [1] + [2] }}": "bc338xxx[1, 2]",
}


@pytest.mark.parametrize("text", DRAWN)
def test_what_pages_need_is_there(sandbox, text):
    """Facts, formats, loops, macros, filters and words give in the sandbox what they give outside."""
    sandbox.globals["markup"] = Markup("<i>")
    speak(Words("en"))
    assert sandbox.from_string(text).render() == DRAWN[text]


TAP = "{{ ''.__class__.__mro__ }}<p class='own'>taken</p>"


@pytest.fixture
def strange(tmp_path, monkeypatch):
    """A content folder with a template of its own that looks where the sandbox does not let it."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    yield smallshop.write(tmp_path / "content", {"templates/pages/reach.html.j2": TAP})
    assets.use(None)


def test_a_strange_folder_builds_no_site_with_code(strange, tmp_path):
    """C3: a build with a template that reaches out ends with an error that names the template's doing, without a site."""
    result = passport("build", strange, "--out", tmp_path / "site", "--no-cards")
    assert result.exit_code == 1
    assert "unsafe" in result.stderr
    assert not (tmp_path / "site").exists()


def test_trust_is_given_outside_the_folder_and_ends_with_a_change(strange, tmp_path):
    """C5: nothing in the folder makes it trusted; a person does, for the templates as they are; another one ends that."""
    for name in ("trusted.json", ".trusted", "templates/trusted.json"):
        (strange / name).write_text(f'{{"{strange}": "{trust.fingerprint(strange)}"}}')
    assert passport("build", strange, "--out", tmp_path / "site", "--no-cards").exit_code == 1
    told = passport("trust", strange, "--yes")
    assert told.exit_code == 0
    assert "reach.html.j2" in told.output
    assert passport("build", strange, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert not trust.place().is_relative_to(strange)
    (strange / "templates/pages/twin.html.j2").write_text("another")
    assert not trust.trusted(strange)
    (strange / "templates/pages/twin.html.j2").unlink()
    assert trust.trusted(strange)
    assert passport("trust", strange, "--forget").exit_code == 0
    assert not trust.trusted(strange)


def test_trust_is_not_given_unasked(strange):
    """C5: where nobody can be asked, and nobody agreed beforehand, nothing is trusted."""
    assert passport("trust", strange).exit_code == 1
    assert not trust.trusted(strange)


def test_shipped_templates_alone_are_compiled_to_plain_calls(strange, tmp_path):
    """C3: the short way past the sandbox's look at calls is for shipped and trusted templates alone."""
    with assets.using(strange):
        assert isinstance(environment(assets.folders()), Sandbox)
        trust.trust(strange)
        assets.use(strange)
        assert type(environment(assets.folders())) is Environment
    with assets.using(smallshop.write(tmp_path / "plain")):
        assert type(environment(assets.folders())) is Environment


def test_a_template_that_is_a_pipe_or_leads_outside_is_not_read(strange, tmp_path):
    """C1: the loader of templates waits for no pipe and follows no link out of the folder."""
    place = strange / "templates/pages/reach.html.j2"
    place.unlink()
    os.mkfifo(place)
    with assets.using(strange), pytest.raises(TemplateError, match="ordinary"):
        environment(assets.folders()).get_template("pages/reach.html.j2")
    place.unlink()
    (tmp_path / "secret").write_text("SECRET")
    place.symlink_to(tmp_path / "secret")
    with assets.using(strange), pytest.raises(TemplateError, match="outside"):
        environment(assets.folders()).get_template("pages/reach.html.j2")
