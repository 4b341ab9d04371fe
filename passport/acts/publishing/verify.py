"""The web asked what it really serves, and held against the site that was built, or against its own manifest."""

import json
import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain
from pathlib import Path

from passport.acts.clock import today
from passport.acts.publishing.shop import key_of, knows_more, shop_of
from passport.acts.refused import Refused
from passport.acts.site import records_since
from passport.publish.asked import questions
from passport.publish.asked.questions import Finding, WebQuestion
from passport.publish.asked.web import Silent, Web
from passport.publish.folder import manifest
from passport.publish.folder.manifest import FILE
from passport.publish.remote.expected import Expected, expected, expected_of
from passport.records.disk import opening
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.schema.workshop import PLACEHOLDER
from passport.records.transaction import atomic, private

_AT_ONCE = 8
_SOON = timedelta(days=14)
_CARDS = 3
"""How many cards of each earlier address are tried."""
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Dated:
    """A finding, and the day on which it was first met."""

    finding: Finding
    since: date


@dataclass(frozen=True, slots=True)
class Verified:
    """What came of it. ``asked`` is how many addresses were asked, ``closed`` how many of those that are closed for good
    were proven so; ``same`` whether the site on-line is the one that lies here, None where none lies here; ``ends`` is the
    certificate's last day."""

    address: str
    asked: int
    closed: int
    passports: int
    same: bool | None
    ends: date | None
    found: tuple[Dated, ...]

    @property
    def wrong(self) -> bool:
        """Whether something is wrong, and not only worth knowing."""
        return any(one.finding.wrong for one in self.found)


def verify(content: Path, site: Path, sample: int | None, progress: Progress = lambda done, all_: None,
           web_at: Callable[[str], Web] = Web) -> Verified:  # fmt: skip
    """Ask the workshop's address what it serves: the manifest, what changed, what is closed, lost or erased, and ``sample``
    files of the rest (None: all). Raises Refused and Faulty."""
    shop = shop_of(content)
    if shop.address == PLACEHOLDER:
        raise Refused(
            worded("'address' in workshop.yaml is still the one of the example. Write where the site stands.")
        )
    secret = key_of(content)
    with web_at(shop.address) as web:
        try:
            ends = web.certificate_ends()
            online, said = _online(web, secret)
        except Silent as error:
            return _nothing(content, shop.address, Finding(True, "silent", "", error.what, error.do))
        here = _here(site, secret)
        wanted = here or online
        found = [*said, *_certificate(web, ends), *_older(content, online)]
        if wanted is None:
            return _nothing(content, shop.address, *found)
        to_ask = list(_questions(wanted, online if here else None, sample))
        found += chain.from_iterable(_asked(web, to_ask, progress))
        found += [
            *_not_built(content, site, here, wanted),
            *_plainly(web),
            *_old_cards(content, wanted, shop.address, web_at),
        ]
    bad = {one.path for one in found if one.wrong}
    closed = [path for path in questions.shut(wanted) if questions.asked_as(path) not in bad]
    same = here.data == online.data if here and online else None
    known = _since(content, sorted(set(found), key=lambda one: (not one.wrong, one.rule, one.path)))
    return Verified(shop.address, len(to_ask) + 1, len(closed), len(wanted.passports), same, ends, known)


def _questions(wanted: Expected, online: Expected | None, sample: int | None) -> Iterator[WebQuestion]:
    must = dict.fromkeys(questions.shut(wanted))
    if online:
        must |= dict.fromkeys(questions.changed(wanted, online))
    rest = [path for path in wanted.files if path not in must]
    if sample is not None:
        # other ones each day, the same ones when asked again on it
        rest = random.Random(today().toordinal()).sample(rest, min(sample, len(rest)))
    yield from questions.as_built([*must, *rest], wanted, online)
    yield from questions.gone(wanted, online)
    yield from questions.private()
    yield from questions.manners(wanted)


def _asked(web: Web, asked: Sequence[WebQuestion], progress: Progress) -> Iterator[list[Finding]]:
    """What the answers say, several asked at once. One that does not come is a finding of its own."""

    def judged(question: WebQuestion) -> list[Finding]:
        try:
            return list(question.judge(web.ask(question.path)))
        except Silent as error:
            return [Finding(True, "no-answer", question.path, f"'{question.path}': {error.what}", error.do)]

    with ThreadPoolExecutor(_AT_ONCE) as several:
        for done, found in enumerate(several.map(judged, asked), 1):
            progress(done, len(asked))
            yield found


def _here(site: Path, secret: str) -> Expected | None:
    try:
        return expected_of(site, secret)
    except (manifest.Sealed, manifest.TooNew, OSError) as error:
        do = worded("Name the site of this workshop with --site, or build it.")
        raise Refused(
            worded("The manifest of the site at '{site}' cannot be read: {error}. {do}", site=site, error=error, do=do)
        ) from None


def _online(web: Web, secret: str) -> tuple[Expected | None, list[Finding]]:
    """What the manifest at the address says, or why it says nothing. Raises Silent."""
    answer = web.ask(FILE)
    if not answer.there:
        what = worded(
            "There is no manifest on-line (the status is {status}), so no site of this program, or not all of it.",
            status=answer.status,
        )
        return None, [Finding(True, "no-manifest", FILE, what, questions.UPLOAD)]
    try:
        return expected(answer.body, secret), []
    except (manifest.Sealed, manifest.TooNew):
        what = worded(
            "The manifest on-line does not open with this workshop's key: the address leads to another "
            "site, or it is damaged."
        )
        do = worded("Look at 'address' in workshop.yaml and at where the site was put; then publish again.")
        return None, [Finding(True, "foreign-manifest", FILE, what, do)]


def _older(content: Path, online: Expected | None) -> Iterator[Finding]:
    if online and knows_more(online, content):
        what = worded(
            "The site on-line knows of addresses that the ledger here does not: it was published from newer records."
        )
        do = worded(
            "Work with the newest records; a restored backup is first mended: passport addresses {content} --mend",
            content=content,
        )
        yield Finding(True, "newer-online", FILE, what, do)


def _not_built(content: Path, site: Path, here: Expected | None, wanted: Expected) -> Iterator[Finding]:
    """What the records say and the site that was built does not: least of all may a page stay that was closed for good."""
    do = worded("Build and publish: passport publish {content} --build", content=content)
    book = ledger.read(content) or ledger.Ledger()
    for line in (line for key, line in book.closed.items() if key in questions.open_pages(wanted)):
        what = worded(
            "{named} is closed for good, and the site was built before that: its page is still on-line.",
            named=questions.named(line).capitalize(),
        )
        yield Finding(True, "closed-since", f"{line.key}/", what, do)
    with suppress(OSError):
        if here and records_since(content, site).newer:
            what = worded("The records changed after '{site}' was built; what they say now is not on-line.", site=site)
            yield Finding(False, "records-newer", "", what, do)


def _certificate(web: Web, ends: date | None) -> Iterator[Finding]:
    if ends is not None and ends - today() < _SOON:
        do = worded("Renew it at the host, or see why it did not renew itself.")
        yield Finding(
            True,
            "certificate-ends",
            "",
            worded("The certificate of {host} ends on {ends}.", host=web.host, ends=ends),
            do,
        )
    if not web.encrypted:
        do = worded("Let the host serve https, write it into 'address', and print the cards with it.")
        yield Finding(
            True, "not-encrypted", "", worded("The address is not encrypted: keys can be read on the way."), do
        )


def _plainly(web: Web) -> Iterator[Finding]:
    """That nobody is served without encryption who types the address without it."""
    if not web.encrypted:
        return
    with suppress(Silent):
        with web.without_encryption() as plain:
            answer = plain.ask("")
        if not answer.leads_to.startswith("https://"):
            do = worded("Have the host send everybody on to https: passport hosting shows how.")
            yield Finding(False, "plain-http", "", worded("The address answers without encryption too."), do)


def _old_cards(content: Path, wanted: Expected, address: str, web_at: Callable[[str], Web]) -> Iterator[Finding]:
    """That cards with an earlier address lead here; a few of each are tried."""
    book = ledger.read(content) or ledger.Ledger()
    away: dict[str, list[str]] = {}
    for line in book.moved(address):
        away.setdefault(book.addresses[line.key], []).append(line.key)
    for base, keys in sorted(away.items()):
        asked = [questions.old_address(base, one, book.numbers.get(one, ""), wanted, address) for one in keys[:_CARDS]]
        try:
            with web_at(base) as web:
                for question in asked:
                    yield from question.judge(web.ask(question.path))
        except Silent as error:
            what = worded(
                "{keys} cards lead to {base}, which does not answer: {what}", keys=len(keys), base=base, what=error.what
            )
            do = worded("Keep the old address, or print those cards anew: passport cards")
            yield Finding(True, "old-address", base, what, do)


def _nothing(content: Path, address: str, *found: Finding) -> Verified:
    return Verified(address, 1, 0, 0, None, None, _since(content, found))


def _since(content: Path, found: Iterable[Finding]) -> tuple[Dated, ...]:
    """Each finding with the day on which it was first met, as far as that could be kept."""
    day = today()
    with suppress(OSError, ValueError):
        path = private.made(content, "verified") / "first-seen.json"
        seen = {}
        with suppress(OSError, ValueError):
            seen = {str(name): date.fromisoformat(on) for name, on in json.loads(opening.read_text(path)).items()}
        known = tuple(Dated(one, min(seen.get(f"{one.rule} {one.path}", day), day)) for one in found)
        kept = {f"{one.finding.rule} {one.finding.path}": one.since.isoformat() for one in known}
        atomic.write(path, json.dumps(kept, ensure_ascii=False, indent=1).encode(), 0o600)
        return known
    return tuple(Dated(one, day) for one in found)
