"""What the web is asked of a site, and what an answer says. Pure, but that the questions are asked by others.

`WebQuestion` pairs a path with what judges its answer; a `Finding` is what a person should know, with what to do.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from passport.publish.asked.web import Served
from passport.publish.folder.manifest import FILE, FileMark, sum_of
from passport.publish.remote.expected import HOME, Expected
from passport.records.language.worded import unsaid, worded
from passport.records.ledger.ledger import LedgerLine
from passport.records.schema import numbers

UPLOAD = unsaid("Publish the site again, whole: passport publish; or copy all of the site's folder to the host.")
_HOSTS_OWN = re.compile(r"(^|/)\.|^(_headers|_redirects|CNAME)$")
"""Files that a host reads for itself, and does not serve on every kind of host."""
_OF_A_FRAME = ("setup-{}.json", "card-{}.pdf", "restring-{}.ics", "photo.webp", "photo.jpg")
_SECRET = {
    ".git/HEAD": rb"ref: |[0-9a-f]{40}",
    "workshop.yaml": rb"(?m)^(name|format|address):",
    "ledger.txt": rb"Every address|#",
    "catalogue/strings.yaml": rb"(?m)^\S+:",
}
"""What stands in a folder of records, and by what it is known; none of it belongs on the web."""
_MANNERS = (
    ("x-content-type-options", "nosniff", unsaid("a browser may take a file for another kind than it is")),
    ("referrer-policy", "no-referrer", unsaid("pages that are linked to may be told the address with its key")),
    ("content-security-policy", "frame-ancestors", unsaid("a stranger's page may show a passport inside of it")),
)
_KINDS = {"html": "text/html", "json": "application/json", "pdf": "application/pdf", "ics": "text/calendar"}
_LISTS = re.compile(rb"<title>\s*(Index of|Directory listing)|<h1>\s*(Index of|Directory listing)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """Something that is not as it should be: ``wrong``, or only worth knowing; the rule's name, what, and what to do."""

    wrong: bool
    rule: str
    path: str
    what: str
    do: str


@dataclass(frozen=True, slots=True)
class WebQuestion:
    """A path below the site's address, and what judges the answer."""

    path: str
    judge: Callable[[Served], Iterable[Finding]]


def as_built(paths: Iterable[str], wanted: Expected, online: Expected | None = None) -> Iterator[WebQuestion]:
    """That files are served as the build made them. ``online`` is what the manifest there tells, an older build perhaps."""
    lines = _lines(wanted)
    for path in paths:
        if not _HOSTS_OWN.search(path):
            mark = wanted.files[path]
            before = online.files.get(path) if online else None
            yield WebQuestion(asked_as(path), partial(_as_built, mark, before, _called(path, lines)))


def _as_built(mark: FileMark, before: FileMark | None, name: str, answer: Served) -> Iterator[Finding]:
    path = asked_as(mark.path)
    if answer.status in (404, 410):
        yield Finding(True, "missing", path, worded("{name} is not there.", name=name), worded(UPLOAD))
    elif answer.leads_to:
        do = worded(
            "The host sends visitors on, so the card's code shows something else: switch that off for these addresses."
        )
        yield Finding(
            True,
            "leads-elsewhere",
            path,
            worded("{name} leads to {leads_to}.", name=name, leads_to=answer.leads_to[:200]),
            do,
        )
    elif not answer.there:
        do = worded("Look whether the file is there, and who may read it. {upload}", upload=worded(UPLOAD))
        yield Finding(
            True,
            "refused",
            path,
            worded("{name} is refused with the status {status}.", name=name, status=answer.status),
            do,
        )
    elif sum_of(answer.body) == mark.sum:
        yield from _kind(mark.path, name, answer)
    elif before and sum_of(answer.body) == before.sum:
        yield Finding(True, "older", path, worded("{name} is as an earlier build made it.", name=name), worded(UPLOAD))
    else:
        do = worded(
            "{upload} If it is so again, the host changes files on the way (scripts put in, pages made "
            "smaller): off with it.",
            upload=worded(UPLOAD),
        )
        yield Finding(True, "changed", path, worded("{name} is not what was built: {body:,} bytes came, {size:,} were made.", name=name, body=len(answer.body), size=mark.size), do)  # fmt: skip


def _kind(path: str, name: str, answer: Served) -> Iterator[Finding]:
    wanted, kind = _KINDS.get(path.rpartition(".")[2]), answer.headers.get("content-type", "")
    if wanted and not kind.startswith(wanted):
        do = worded("Have the host say '{wanted}' for such files: passport hosting shows how.", wanted=wanted)
        yield Finding(
            True,
            "wrong-kind",
            asked_as(path),
            worded("{name} is served as '{value}'.", name=name, value=kind or "nothing"),
            do,
        )


def gone(wanted: Expected, before: Expected | None = None) -> Iterator[WebQuestion]:
    """That nothing is left where nothing should be: of closed and lost frames, and of what an earlier build had."""
    lines = _lines(wanted)
    numbers_of = {key: line.number for key, line in lines.items()}
    bare = (
        key for key, number in numbers_of.items() if f"{key}/{HOME}" in wanted.files and not _more(key, number, wanted)
    )
    paths = {f"{key}/{name}" for key in {*wanted.closed, *bare} for name in _names(numbers_of.get(key, ""))}
    if before:
        paths |= set(before.files)
        lines = {**_lines(before), **lines}
    for path in sorted(paths - wanted.files.keys()):
        if not _HOSTS_OWN.search(path):
            yield WebQuestion(asked_as(path), partial(_gone, asked_as(path), _called(path, lines)))


def _more(key: str, number: str, wanted: Expected) -> bool:
    """Whether a frame's page has files beside it; that of a player has none, and no number."""
    return not number or any(f"{key}/{name}" in wanted.files for name in _names(number)) or key in wanted.closed


def _names(number: str) -> list[str]:
    return [name.format(number) for name in _OF_A_FRAME if number or "{}" not in name]


def _gone(path: str, name: str, answer: Served) -> Iterator[Finding]:
    if answer.there:
        do = worded(
            "Delete it at the host, and in what the host keeps of earlier states (versions, a cache before the site)."
        )
        yield Finding(True, "still-there", path, worded("{name} should be gone, and is still served.", name=name), do)


def private(answered: Mapping[str, bytes] = _SECRET) -> Iterator[WebQuestion]:
    """That the records themselves are not on the web."""
    for path, sign in answered.items():
        yield WebQuestion(path, partial(_private, path, sign))


def _private(path: str, sign: bytes, answer: Served) -> Iterator[Finding]:
    if answer.there and re.match(sign, answer.body) and not answer.body.lstrip().startswith(b"<"):
        do = worded(
            "Take it off the host at once: it holds names, contacts and keys. Only the folder 'site' belongs there."
        )
        yield Finding(True, "records-public", path, worded("'{path}' is there for everybody to read.", path=path), do)


def manners(wanted: Expected) -> Iterator[WebQuestion]:
    """How the host serves: its headers, its word for what is not there, whether it lists folders."""
    yield WebQuestion("", _headers)
    card = next((path for path in wanted.files if path.endswith(".pdf")), "")
    if card:
        yield WebQuestion(card, partial(_not_searched, card))
    key = numbers.new_key()
    yield WebQuestion(f"{key}/", partial(_nothing_there, f"{key}/"))
    for folder in sorted({path.partition("/")[0] for path in wanted.files if path.startswith(("assets/", "fonts/"))}):
        yield WebQuestion(f"{folder}/", partial(_listed, f"{folder}/"))


def _headers(answer: Served) -> Iterator[Finding]:
    missing = [(name, value, why) for name, value, why in _MANNERS if value not in answer.headers.get(name, "")]
    if missing:
        whys = "; ".join(
            worded("without {name}: {value} {why}", name=name, value=value, why=worded(why))
            for name, value, why in missing
        )
        do = worded(
            "Where the host can be set up, 'passport hosting' shows how; the site has '_headers' for "
            "hosts that read it."
        )
        yield Finding(False, "headers", "", worded("The host does not say all that it could: {whys}.", whys=whys), do)


def _not_searched(path: str, answer: Served) -> Iterator[Finding]:
    if answer.there and "noindex" not in answer.headers.get("x-robots-tag", ""):
        do = worded("Where the host can be set up, 'passport hosting' shows how.")
        what = worded(
            "Cards are served without 'X-Robots-Tag: noindex': whoever links to one may have it found by "
            "search engines."
        )
        yield Finding(False, "searchable", path, what, do)


def _nothing_there(path: str, answer: Served) -> Iterator[Finding]:
    if answer.there or answer.leads_to:
        what = worded("The host answers an address that was never given out as if something were there.")
        do = worded("Have it answer with the status 404 and the page 404.html: passport hosting shows how.")
        yield Finding(False, "no-404", path, what, do)


def _listed(path: str, answer: Served) -> Iterator[Finding]:
    if answer.there and _LISTS.search(answer.body):
        do = worded("Switch the listing of folders off at the host: it makes every address of a passport public.")
        yield Finding(True, "listed", path, worded("The host lists the files of the folder '{path}'.", path=path), do)


def old_address(base: str, key: str, number: str, wanted: Expected, address: str) -> WebQuestion:
    """That a card's earlier address, below ``base``, still leads to its page."""
    mark = wanted.files.get(f"{key}/{HOME}")
    return WebQuestion(f"{key}/", partial(_leads_here, base, f"{address}/{key}", number, mark))


def _leads_here(base: str, wanted: str, number: str, mark: FileMark | None, answer: Served) -> Iterator[Finding]:
    same = answer.there and mark and sum_of(answer.body) == mark.sum
    if not same and answer.leads_to.split("#")[0].rstrip("/") != wanted:
        what = worded(
            "The card of {value} leads to {base}, which does not lead on to {wanted}/.",
            value=number or "a passport",
            base=base,
            wanted=wanted,
        )
        do = worded("'passport move-address' writes what the old host needs; or print the cards anew: passport cards")
        yield Finding(True, "old-address", base, what, do)


def changed(wanted: Expected, online: Expected | None) -> list[str]:
    """The files that are other ones than those that the manifest on-line tells."""
    there = online.files if online else {}
    return [path for path, mark in wanted.files.items() if path not in there or there[path].sum != mark.sum]


def shut(wanted: Expected) -> list[str]:
    """The pages that must say no more than that they are closed."""
    return [path for key in sorted(wanted.closed) if (path := f"{key}/{HOME}") in wanted.files]


def open_pages(wanted: Expected) -> frozenset[str]:
    """The keys that have a page and are not closed for good."""
    return frozenset(path.partition("/")[0] for path in wanted.files if path.endswith(f"/{HOME}")) - wanted.closed


def named(line: LedgerLine) -> str:
    """What has a key, as a person knows it."""
    return f"passport {line.number}" if line.number else f"a {line.kind}"


def asked_as(path: str) -> str:
    """A file's path as a visitor asks for it: a folder for its page."""
    return path.removesuffix(HOME) if path == HOME or path.endswith(f"/{HOME}") else path


def _called(path: str, lines: Mapping[str, LedgerLine]) -> str:
    """A file as a person knows it."""
    key, _, name = path.partition("/")
    line = lines.get(key)
    if line is None:
        return {HOME: "The home page", FILE: "The manifest"}.get(path, f"'{path}'")
    return f"The page of {named(line)}" if name == HOME else f"'{name}' of {named(line)}"


def _lines(site: Expected) -> dict[str, LedgerLine]:
    return {line.key: line for line in site.said.keys}
