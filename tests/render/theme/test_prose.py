"""The shop's Markdown to clean HTML."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.render.theme.prose import prose


def body(text: str) -> str:
    """The clean HTML of some Markdown."""
    return prose(text, "Fallback").body


def test_the_first_heading_is_the_title():
    """The first line with one # is the title and does not come again in the body."""
    made = prose("# Care of strings\n\nKeep them dry. Always.\n", "Fallback")
    assert (made.title, made.summary) == ("Care of strings", "Keep them dry.")
    assert made.body.strip() == "<p>Keep them dry. Always.</p>"


def test_without_a_heading_the_fallback_is_the_title():
    """Text without a heading has the title that was given, and loses nothing."""
    made = prose("Just text", "Fallback")
    assert (made.title, made.body.strip()) == ("Fallback", "<p>Just text</p>")


def test_an_empty_page_is_harmless():
    """A page without any text has its title and nothing else."""
    assert (prose("", "T").title, prose("", "T").body, prose("", "T").summary) == ("T", "", "")


def test_there_is_one_top_heading_on_a_page():
    """A second heading of the first level becomes one of the second."""
    assert "<h1" not in body("# One\n\n# Two\n\ntext")
    assert "<h2>Two</h2>" in body("# One\n\n# Two\n\ntext")


def test_summary_is_plain_text():
    """The first sentence carries no markup and no entities, for use as a description."""
    assert prose("# T\n\nTape & *silicone* <b>rule</b>! More.", "T").summary == "Tape & silicone rule!"


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<style>p{}</style>",
        "<img src=x onerror=alert(1)>",
        "![photo](https://elsewhere.example/a.png)",
        "<svg onload=alert(1)></svg>",
        "<iframe src='https://elsewhere.example'></iframe>",
        "<p onclick='alert(1)' style='color:red' class='x' id='strings'>x</p>",
        "<form action='/x'><input name=a></form>",
        "<base href='https://elsewhere.example/'>",
        "<link rel=stylesheet href=x.css>",
        "<meta http-equiv=refresh content='0;url=https://elsewhere.example'>",
        "<object data=x></object><embed src=x><video src=x></video><audio src=x></audio>",
        "<a href='x' ping='https://elsewhere.example' target=_blank>x</a>",
        "<table background='https://elsewhere.example/x.png'><tr><td>x</td></tr></table>",
        "<!-- a comment -->",
        "<noscript><p title='</noscript><img src=x onerror=alert(1)>'></noscript>",
    ],
)
def test_nothing_active_and_nothing_loaded(text):
    """Scripts, styles, handlers, images, frames, forms and anything else that acts or loads are dropped."""
    made = body(f"Before\n\n{text}\n\nAfter")
    assert "Before" in made
    assert "After" in made
    tags = set(re.findall(r"<\s*([a-z0-9]+)", made.lower()))
    assert tags <= {"p", "a", "table", "tbody", "tr", "td"}
    assert not re.search(r"<[^>]*\s(on\w+|style|class|id|src|background|ping|target)\s*=", made, re.I)
    assert "alert" not in re.sub(r"&lt;.*?&gt;", "", made)


@pytest.mark.parametrize(
    "address",
    [
        "javascript:alert(1)",
        "JaVaScRiPt:alert(1)",
        "java&#9;script:alert(1)",
        "&#106;avascript:alert(1)",
        "data:text/html,x",
        "vbscript:x",
        "file:///etc/passwd",
        "intent://x",
    ],
)
def test_odd_addresses_lead_nowhere(address):
    """A link with a scheme other than https, http, mailto and tel loses its address."""
    for text in (f"[x]({address})", f'<a href="{address}">x</a>', f"<{address}>"):
        assert "href=" not in body(text)


@pytest.mark.parametrize("address", ["https://a.example/b", "mailto:a@b.example", "tel:+441632960001", "../strings/"])
def test_usual_links_stay(address):
    """Web, mail and telephone links and links inside the site stay, and tell the other side nothing."""
    made = body(f"[x]({address})")
    assert f'href="{address}"' in made
    assert "noreferrer" in made


def test_tables_and_lists():
    """Tables have column heads that a screen reader knows as such, however they are aligned; lists are lists."""
    made = body("| a | b |\n|---|--:|\n| 1 | 2 |\n\n- one\n- two\n\n1. first\n")
    assert made.count('<th scope="col">') == 2
    assert "style" not in made
    assert "<ul>" in made
    assert "<ol>" in made


@given(st.text(max_size=300))
def test_whatever_is_written_stays_inside_the_known_tags(text):
    """No text whatever gives a tag or an attribute outside the list."""
    made = body(text)
    for tag, attributes in re.findall(r"<([a-zA-Z0-9]+)([^<>]*)>", made):
        assert tag in {
            "h2", "h3", "h4", "p", "ul", "ol", "li", "strong", "em", "a", "blockquote", "code", "pre", "hr", "br",
            "table", "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "sup", "sub",
        }  # fmt: skip
        assert set(re.findall(r"\s([a-z-]+)=", attributes)) <= {"href", "title", "scope", "rel"}
