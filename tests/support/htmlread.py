"""HTML as a browser meets it: elements with their attributes, text, links; by the standard library's parser."""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "hr", "img", "input", "col", "source"}


@dataclass
class Page(HTMLParser):
    """One page, read."""

    html: str
    elements: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    text: str = ""
    unclosed: list[str] = field(default_factory=list)
    misnested: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Read the whole text."""
        super().__init__(convert_charrefs=True)
        self.feed(self.html)
        self.close()

    def handle_starttag(self, tag, attrs):
        """An element begins."""
        self.elements.append((tag, {k: v or "" for k, v in attrs}))
        if tag not in VOID:
            self.unclosed.append(tag)

    def handle_startendtag(self, tag, attrs):
        """An element that holds nothing."""
        self.elements.append((tag, {k: v or "" for k, v in attrs}))

    def handle_endtag(self, tag):
        """An element ends."""
        if self.unclosed and self.unclosed[-1] == tag:
            self.unclosed.pop()
        else:
            self.misnested.append(tag)

    def handle_data(self, data):
        """Text."""
        self.text += data + " "

    def all(self, tag: str) -> list[dict[str, str]]:
        """The attributes of every element of a kind."""
        return [attributes for name, attributes in self.elements if name == tag]

    def meta(self, name: str) -> list[str]:
        """The contents of all meta elements of a name or http-equiv."""
        return [m.get("content", "") for m in self.all("meta") if name in (m.get("name"), m.get("http-equiv"))]

    @property
    def words(self) -> str:
        """The text with single spaces."""
        return re.sub(r"\s+", " ", self.text).strip()

    @property
    def links(self) -> list[str]:
        """Every address that the page leads to or loads."""
        return [a[n] for _, a in self.elements for n in ("href", "src", "xlink:href", "srcset", "action") if n in a]


def inline_parts(page: Page) -> list[str]:
    """What a strict content security policy would block: style, script and handlers inside the page."""
    found = [f"<{tag} {name}>" for tag, a in page.elements for name in a if name == "style" or name.startswith("on")]
    found += [f"<{tag}>" for tag, a in page.elements if tag == "style" or (tag == "script" and not a.get("src"))]
    return found


def faults(page: Page) -> list[str]:
    """What is wrong with a page's structure: nesting, ids used twice, labels that name nothing."""
    ids = [a["id"] for _, a in page.elements if "id" in a]
    found = [f"not closed: {tag}" for tag in page.unclosed] + [f"closed out of turn: {tag}" for tag in page.misnested]
    found += [f"id used twice: {i}" for i in {i for i in ids if ids.count(i) > 1}]
    for _, a in page.elements:
        named = a.get("aria-labelledby", "").split() + a.get("aria-describedby", "").split()
        found += [f"label of nothing: {i}" for i in named if i not in ids]
    found += [f"link to nowhere: {link}" for link in page.links if link.startswith("#") and link[1:] not in ids]
    return found
