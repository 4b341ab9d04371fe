"""Markdown of the shop's own pages to clean HTML."""

import html
import re
from dataclasses import dataclass

import markdown
import nh3

_TAGS = {
    "h2", "h3", "h4", "p", "ul", "ol", "li", "strong", "em", "a", "blockquote", "code", "pre", "hr", "br", "table",
    "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "sup", "sub",
}  # fmt: skip
_ATTRIBUTES = {"a": {"href", "title"}, "th": {"scope"}, "td": set[str]()}


@dataclass(frozen=True, slots=True)
class Prose:
    """A page of text: its title in plain text, its first sentence, and its body as clean HTML."""

    title: str
    summary: str
    body: str


def prose(text: str, fallback_title: str) -> Prose:
    """Markdown to HTML: the first ``# line`` is the title; scripts, styles, images and odd addresses are dropped."""
    lines = text.strip().splitlines()
    title = fallback_title
    if lines and lines[0].startswith("# "):
        title, lines = lines[0][2:].strip(), lines[1:]
    raw = markdown.markdown("\n".join(lines), extensions=["tables", "def_list", "sane_lists", "smarty"])
    raw = re.sub(r"<(/?)h1>", r"<\1h2>", raw)
    body = nh3.clean(raw, tags=_TAGS, attributes=_ATTRIBUTES, url_schemes={"https", "http", "mailto", "tel"})
    body = body.replace("<th>", '<th scope="col">')
    return Prose(title, _first_sentence(body), body)


def _first_sentence(body: str) -> str:
    paragraph = re.search(r"<p>(.*?)</p>", body, re.DOTALL)
    if not paragraph:
        return ""
    plain = html.unescape(re.sub(r"<[^>]+>", "", paragraph[1])).strip()
    return re.split(r"(?<=[.!?])\s", plain, maxsplit=1)[0]
