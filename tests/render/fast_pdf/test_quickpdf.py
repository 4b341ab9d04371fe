"""The short ways through WeasyPrint lead to the same bytes."""

import re
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.render.print import pdf

if pdf.available():
    pytest.skip("the Pango library is missing", allow_module_level=True)

from passport.render.fast_pdf import quickpdf

NUMBER = st.one_of(st.integers(-400, 400).map(str), st.decimals(-400, 400, places=2).map(str))
POINT = st.tuples(NUMBER, NUMBER).map(" ".join)


def command(letters: str, size: int) -> Any:
    """A command with the points it takes, once or several times."""
    return st.tuples(st.sampled_from(letters), st.lists(POINT, min_size=size, max_size=3 * size).map(
        lambda points: " ".join(points[: len(points) // size * size])
    )).map("".join)  # fmt: skip


AXIS = st.tuples(st.sampled_from("HhVv"), NUMBER).map("".join)
PATHS = st.tuples(
    st.sampled_from("Mm"), POINT,
    st.lists(st.one_of(AXIS, command("MmLl", 1), command("Cc", 3), command("Ss", 2), st.sampled_from("Zz")), max_size=9).map("".join),
).map("".join)  # fmt: skip


def by_weasyprint(data: str) -> bytes:
    """What WeasyPrint's own function draws."""
    import pydyf
    from weasyprint.svg import SVG, TAGS

    quickpdf.remove()
    stream = pydyf.Stream()
    picture = SimpleNamespace(stream=stream, inner_width=100, inner_height=100)
    picture.point = lambda x, y, size: SVG.point(picture, x, y, size)
    node = SimpleNamespace(get=lambda name, default=None: data if name == "d" else default, vertices=[])
    TAGS["path"](picture, node, 16)
    return b"\n".join(stream.stream)


@settings(max_examples=150)
@given(PATHS)
def test_paths_are_drawn_as_weasyprint_draws_them(data):
    """Any path of moves, lines, curves and closings gives WeasyPrint's own operators."""
    assert quickpdf.operators(data) == by_weasyprint(data)


@pytest.mark.parametrize(
    "data", ["", "M1 1", "M1 1z", "M0 0zL5 5", "m.5.5.5-.5", "M1,1L2,2 3,3z", "M0 0h1v1zl2 2z", "M3 3s1 1 2 2"]
)
def test_odd_paths(data):
    """Empty paths, numbers that touch, closings of nothing are drawn as WeasyPrint draws them."""
    assert quickpdf.operators(data) == by_weasyprint(data)


@pytest.fixture(params=[True, False])
def quick(request):
    """With and without the short ways."""
    quickpdf.remove()
    if request.param:
        assert quickpdf.install()
    yield request.param
    quickpdf.remove()


_cards: dict[bool, list[bytes]] = {}
_others: dict[bool, list[bytes]] = {}
_documents: dict[bool, bytes] = {}


def test_cards_are_the_same(quick, demo_facts):
    """The cards of the demo are the same bytes with the short ways and without."""
    from passport.render.print.card import card_pdf

    frames = [frame for frame in demo_facts.frames if frame.status == "active"][::3]
    _cards[quick] = [card_pdf(frame, demo_facts.shop) for frame in frames]
    assert len(_cards[quick]) > 3
    assert all(data.startswith(b"%PDF") for data in _cards[quick])
    if len(_cards) == 2:
        assert _cards[True] == _cards[False]


def test_other_pieces_and_sheets_are_the_same(quick, demo_facts):
    """Tags, stickers, set cards, bleed and whole sheets are the same bytes too."""
    from passport.render.print.card import card_piece
    from passport.render.print.imposition import PAPERS, sheets, single
    from passport.render.print.setcard import set_pieces
    from passport.render.print.sticker import sticker_piece
    from passport.render.print.tag import tag_piece

    frames, shop = [frame for frame in demo_facts.frames if frame.status == "active"][:3], demo_facts.shop
    matched = next((p, g) for p in demo_facts.players for g in p.groups if g.matched and len(g.frames) > 1)
    cards = [card_piece(frame, shop) for frame in frames]
    made = [single([piece]) for frame in frames for piece in (tag_piece(frame, shop), sticker_piece(frame, shop))]
    _others[quick] = [
        *made,
        single(set_pieces(*matched, shop)),
        single(cards[:1], bleed=True),
        sheets(cards, PAPERS["a4"]),
    ]
    if len(_others) == 2:
        assert _others[True] == _others[False]


def test_printed_pieces_are_read_as_xml(demo_facts, monkeypatch):
    """The documents of printed pieces are well-formed, so that the fast parser reads them, and none is read as HTML."""
    import weasyprint

    from passport.render.print.card import card_pdf
    from passport.render.print.setcard import set_pdf
    from passport.render.print.sticker import sticker_pdf
    from passport.render.print.tag import tag_pdf

    quickpdf.remove()
    read: list[str] = []
    usual = weasyprint.tinyhtml5.parse
    monkeypatch.setattr(weasyprint.tinyhtml5, "parse", lambda text, **more: read.append(text) or usual(text, **more))
    quickpdf.install()
    try:
        for frame in (f for f in demo_facts.frames if f.status == "active"):
            for make in (card_pdf, tag_pdf, sticker_pdf):
                make(frame, demo_facts.shop)
        player, group = next((p, g) for p in demo_facts.players for g in p.groups if g.matched and len(g.frames) > 1)
        set_pdf(player, group, demo_facts.shop)
        assert not read
        weasyprint.HTML(string="<p>one<p>two")
        assert len(read) == 1, "what nobody vouches for is read as HTML"
    finally:
        quickpdf.remove()


ODD = """
<style>
  :root { --wide: 30%; direction: rtl } body { font: 12pt serif; margin-inline-start: 1em }
  p { width: var(--wide); padding: 2% calc(1em + 3px); border-block-start: 1px solid; text-decoration: underline }
  p p, span { min-width: 10%; float: left; position: relative; inset-inline-end: 4px; inline-size: 50% }
  td { border: 2px dotted; border-radius: 10% } ::before { content: 'x'; color: red } div { columns: 2; page: a }
</style><p>one <span>two</span><p lang=de style="letter-spacing: .1em">three<div><p>four</div>
<table style="border-collapse: collapse"><tr><td>1<td>2</table>
<svg viewBox="0 0 9 9" width=40><path d="M1 1a3 3 0 0 1 4 4q1 1 2-2t1 1z" marker-end="url(#m)"/><path d="M1 1 5 5h2s1 1 1 2z"/></svg>
"""


def test_any_document_is_the_same(quick):
    """A document full of odd rules is the same bytes too, where nothing of it is a card."""
    from weasyprint import HTML

    _documents[quick] = HTML(string=ODD).write_pdf()
    assert len(set(_documents.values())) == 1


def test_another_release_is_left_alone(monkeypatch):
    """With a release that nobody compared, WeasyPrint is left as it is."""
    import weasyprint
    from weasyprint.svg import TAGS

    quickpdf.remove()
    before = TAGS["path"]
    monkeypatch.setattr(weasyprint, "__version__", "70.9")
    assert not quickpdf.install()
    assert TAGS["path"] is before


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    """The facts of a generated workshop: many frames with much in common."""
    from benchmarks import workshops

    from passport.records.load import load
    from passport.workshop.gathering.gather import site_facts

    folder = tmp_path_factory.mktemp("many") / "shop"
    workshops.workshop(folder, 24)
    return site_facts(load(folder)[0])


@pytest.fixture(scope="module")
def plain_cards(workshop):
    """Its cards as WeasyPrint makes them by itself."""
    from passport.render.print.card import card_pdf

    quickpdf.remove()
    install, quickpdf.install = quickpdf.install, lambda: False
    pdf._engine.cache_clear()
    try:
        return [card_pdf(frame, workshop.shop) for frame in workshop.frames]
    finally:
        quickpdf.install = install
        pdf._engine.cache_clear()


@pytest.mark.parametrize("most", [10_000, 40])
def test_what_is_remembered_changes_nothing(workshop, plain_cards, most, monkeypatch):
    """Card after card is the same as WeasyPrint makes it, whatever was made before it and however much was forgotten."""
    from passport.render.fast_pdf import quickstyle
    from passport.render.print.card import card_pdf

    monkeypatch.setattr(quickstyle, "_MOST", most)
    quickpdf.remove()
    pdf._engine.cache_clear()
    assert quickpdf.install()
    try:
        assert [card_pdf(frame, workshop.shop) for frame in workshop.frames] == plain_cards
        assert [card_pdf(frame, workshop.shop) for frame in workshop.frames[::-1]] == plain_cards[::-1]
    finally:
        quickpdf.remove()
        pdf._engine.cache_clear()


def test_much_is_remembered(workshop):
    """The second card like the first is laid out in less than half of the calls of the layout."""
    from weasyprint.layout import block

    from passport.render.print.card import card_pdf

    quickpdf.remove()
    pdf._engine.cache_clear()
    assert quickpdf.install()
    calls, usual = [0], block.block_container_layout

    def counting(*given: Any, **named: Any) -> Any:
        calls[0] += 1
        return usual(*given, **named)

    block.block_container_layout = counting
    try:
        counts = []
        for _ in range(2):
            calls[0] = 0
            card_pdf(workshop.frames[0], workshop.shop)
            counts.append(calls[0])
        assert counts[1] * 2 < counts[0]
    finally:
        block.block_container_layout = usual
        quickpdf.remove()
        pdf._engine.cache_clear()


def test_no_rule_looks_at_siblings():
    """What an element looks like follows from what is above it, and from being first or last: no printed piece's rule,
    and none of WeasyPrint's own, looks at neighbours or at the size of the page; those of ``style`` attributes neither."""
    from importlib.resources import files

    from tinycss2 import parse_stylesheet, serialize

    from passport.render.theme import assets

    own = [assets.templates() / "style/fonts-print.css", *(assets.templates() / "card").glob("*.css")]
    texts = [path.read_text(encoding="utf-8") for path in own]
    texts.append((files("weasyprint.css") / "html5_ua.css").read_text(encoding="utf-8"))
    rules = [rule for text in texts for rule in parse_stylesheet(text, skip_comments=True, skip_whitespace=True)]
    selectors = [
        selector
        for rule in rules
        if rule.type == "qualified-rule"
        and not (selector := serialize(rule.prelude)).startswith(("select", "textarea"))  # of forms
    ]
    assert len(selectors) > 100
    for selector in selectors:
        assert not re.search(r"[+~]|:nth|:only|:has|:empty|-of-type|\[(aria|role|content|font|viewBox)", selector), (
            selector
        )
    for text in texts[:-1]:
        assert not re.search(r"\d(vw|vh|vmin|vmax|vi|vb)\b", text)
