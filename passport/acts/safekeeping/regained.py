"""A workshop regained from its site alone, where records and backups are lost: what is public, and no more.

The site's folder tells it, or the site on-line, which is first brought here file by file as its manifest lists them. The
manifest, where its key is known, tells every number and key that was ever given out; each frame's file of its setup the
frame as it was last, each player's page whose frames they are.
"""

import html
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.addresses import repaired, write_repaired
from passport.acts.change import base_of, held
from passport.acts.exchange.carry import Carry
from passport.acts.frames.log import path_of
from passport.acts.reading import checked
from passport.acts.refused import Misused, Refused, writing
from passport.acts.safekeeping import archive
from passport.acts.start import refuse_full
from passport.publish.asked.questions import asked_as
from passport.publish.asked.web import Silent, Web
from passport.publish.folder import manifest
from passport.publish.folder.foreign import MARK
from passport.publish.folder.manifest import FILE, Manifest, sum_of
from passport.publish.folder.site_pages import site_pages
from passport.publish.remote.expected import HOME
from passport.records.disk import opening, rights
from passport.records.exchange import trees
from passport.records.exchange.carried import NotCarried, from_json
from passport.records.exchange.setup import SetupData
from passport.records.faults import has_errors
from passport.records.language.worded import worded
from passport.records.ledger import key as manifest_key
from passport.records.ledger import ledger
from passport.records.ledger.repair import Page
from passport.records.schema.workshop import PLACEHOLDER
from passport.records.transaction import atomic, ledger_file
from passport.records.trial import tried
from passport.records.yaml.yamlwrite import scalar
from passport.workshop.entry.newcomers import NewPlayer

ENVELOPE = "ledger.age"
"""On the site, where the shop wishes it there: the manifest's key and the ledger, behind a passphrase."""
Progress = Callable[[int, int], None]
_NOBODY = "Player unknown"
_LINK = re.compile(r'href="\.\./([0-9A-Z]{26})/')
_MOST = 1 << 24


@dataclass(frozen=True, slots=True)
class Regained:
    """What came back: so many ``players``, ``frames`` with their setups by number, and ``addresses`` in the ledger; ``without``
    are frames of which only number and key are known, each with the reason; ``site`` is where the site's files lie."""

    players: int
    frames: tuple[str, ...]
    addresses: int
    without: tuple[tuple[str, str], ...]
    site: Path


def put_online(content: Path, passphrase: str, say: Callable[[str], None]) -> Path:
    """Write the manifest's key and the ledger, encrypted, among the files that stand on the site as they are; the file.

    With it and the passphrase alone printed addresses survive a burnt workshop. Raises Refused.
    """
    path = content / "public" / ENVELOPE
    with held(content, "passport backup", say), writing(f"'{path}'"):
        try:
            secret = ledger_file.made_key(content)
        except ValueError as error:
            raise Refused(f"{content / manifest_key.FILE}: {error}") from None
        inside = f"{secret}\n".encode() + ledger.data_of(content)
        path.parent.mkdir(exist_ok=True)
        atomic.write(path, archive.encrypted(inside, passphrase))
    return path


def in_envelope(source: Path | Web) -> bytes:
    """The encrypted copy on a site; empty where there is none. Raises Refused."""
    if isinstance(source, Path):
        path = source / ENVELOPE
        return opening.read(path, most=_MOST, inside=source) if path.is_file() and not path.is_symlink() else b""
    try:
        answer = source.ask(ENVELOPE)
    except Silent as error:
        raise Refused(f"{error.what} {error.do}") from None
    return answer.body if answer.there and answer.body.startswith(archive.ENCRYPTED) else b""


def unwrapped(data: bytes, passphrase: str) -> tuple[str, bytes]:
    """The manifest's key and the ledger of an encrypted copy. Raises Refused."""
    secret, _, book = archive.decrypted(data, passphrase).partition(b"\n")
    return secret.decode("ascii", errors="replace"), book


def mirrored(web: Web, secret: str, target: Path, progress: Progress) -> Path:
    """Bring the site at an address into a new folder, each file as its manifest has it. Raises Refused."""
    refuse_full(target)
    try:
        answer = web.ask(FILE)
        if not answer.there:
            raise Refused(
                worded(
                    "There is no manifest at {address} (the status is {status}), so its files are not known.",
                    address=web.address,
                    status=answer.status,
                )
            )
        said = manifest.opened(answer.body, secret)
        wrong = []
        with writing(f"'{target}'"):
            for done, mark in enumerate(said.files, 1):
                progress(done, len(said.files))
                found = web.ask(asked_as(mark.path))
                if found.there and sum_of(found.body) == mark.sum:
                    _put(target, mark.path, found.body)
                else:
                    wrong.append(mark.path)
            _put(target, FILE, answer.body)
            if not (target / MARK).is_file():
                _put(target, MARK, b"")
    except Silent as error:
        raise Refused(f"{error.what} {error.do}") from None
    except (manifest.Sealed, manifest.TooNew):
        raise Refused(
            worded("This key does not open the manifest at {address}. Nothing was written.", address=web.address)
        ) from None
    return target


def manifest_brought(web: Web, target: Path) -> Path:
    """Bring the manifest of the site at an address into a folder, for what compares records with it. Raises Refused."""
    try:
        answer = web.ask(FILE)
    except Silent as error:
        raise Refused(f"{error.what} {error.do}") from None
    if not answer.there:
        raise Refused(
            worded(
                "There is no manifest at {address} (the status is {status}). Name the site's folder.",
                address=web.address,
                status=answer.status,
            )
        )
    with writing(f"'{target}'"):
        _put(target, FILE, answer.body)
        _put(target, MARK, b"")
    return target


def _put(folder: Path, path: str, data: bytes) -> None:
    """Write one file of a site below its folder, which a path may not lead out of. Raises Refused."""
    place = folder / path
    if not place.resolve().is_relative_to(folder.resolve()):
        raise Refused(worded("The manifest names '{path}', which leads out of the site's folder.", path=path))
    place.parent.mkdir(parents=True, exist_ok=True)
    atomic.write(place, data)


def regain(
    site: Path, folder: Path, typed: str, address: str, say: Callable[[str], None], book: bytes = b""
) -> Regained:
    """Make a workshop in a new folder from what a site tells. ``typed`` is the manifest's key as on the recovery sheet, empty
    where it is lost; ``address`` where the site stands; ``book`` the
    ledger as far as a copy of it is known. Raises Refused and Misused."""
    refuse_full(folder)
    secret = _secret(typed)
    said = _manifest(site, secret)
    pages = {page.key: page for page in site_pages(site, b"")}
    if not pages:
        raise Refused(
            worded("'{site}' holds no pages of passports. Name the folder of the last site, or its address.", site=site)
        )
    with writing(f"'{folder}'"):
        folder.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        (fresh / "players").mkdir()
        (fresh / "catalogue").mkdir()
        (fresh / "workshop.yaml").write_text(_shop_text(site, address), encoding="utf-8")
        if secret:
            ledger_file.write_key(fresh, secret)
        if book:
            atomic.write(fresh / ledger.FILE, book)
        players, frames, without = _records(fresh, site, pages, said)
        fresh.chmod(rights.of_new_folder())
        if folder.is_dir():
            folder.rmdir()
        fresh.rename(folder)
    base = base_of(folder)
    anew = repaired(base, site)
    if anew:
        write_repaired(base, anew, say)
    count = len((ledger.read(folder) or ledger.Ledger()).issued)
    return Regained(players, frames, count, without, site)


def _secret(typed: str) -> str:
    try:
        return manifest_key.plain(typed) if typed else ""
    except ValueError as error:
        raise Misused(str(error)) from None


def _manifest(site: Path, secret: str) -> Manifest:
    try:
        return (manifest.read(site, secret) if secret else None) or Manifest()
    except (manifest.Sealed, manifest.TooNew):
        raise Refused(
            worded("This key does not open the manifest of the site at '{site}'. Nothing was written.", site=site)
        ) from None
    except OSError as error:
        raise Refused(worded("The site at '{site}' cannot be read: {error}.", site=site, error=error)) from None


def _shop_text(site: Path, address: str) -> str:
    """The workshop's record: what its home page says of it."""
    page = _text(site / HOME, site)
    name = _plain(_first(r"<title>(.*?)</title>", page)) or "My racquet bench"
    language = _first(r'<html[^>]*\blang="([a-z]{2,3}(?:-[A-Za-z0-9]+)*)"', page)
    mail, phone = _first(r'href="mailto:([^"?]+)', page), _first(r'href="tel:([^"]+)', page)
    reach = ", ".join(filter(None, (mail and f"email: {scalar(mail)}", phone and f'phone: "{phone}"')))
    lines = ["# Regained from the site: what is not public has to be told anew.", "format: 1", f"name: {scalar(name)}"]
    lines += [f"address: {scalar(address or PLACEHOLDER)}"]
    lines += [f"language: {language}"] if language else []
    lines += [f"contact: {{{reach}}}"] if reach else []
    return "\n".join([*lines, ""])


def _records(
    fresh: Path, site: Path, pages: dict[str, Page], said: Manifest
) -> tuple[int, tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Write every player with their frames; how many players, the frames' numbers, and frames that nothing is told of."""
    told = {line.key: line for line in said.keys}
    numbers_of = {one: (told[one].number if one in told else page.number) for one, page in pages.items()}
    shut = said.closed | {one for one, page in pages.items() if page.closed}
    frames = [one for one, page in pages.items() if not page.player and one not in shut]
    owner = {link: one for one, page in pages.items() if page.player and one not in shut for link in _links(site, one)}
    done, without, folders = list[str](), list[tuple[str, str]](), dict[str, str]()
    for key in sorted(frames, key=lambda one: numbers_of[one]):
        number = numbers_of[key]
        setup, why = _setup(site, key, number)
        if setup is not None:
            why = _written(fresh, site, setup, (key, number, owner.get(key, "")), folders)
        if why:
            without.append((number or key, why))
        else:
            done.append(number)
    return len(folders), tuple(done), tuple(without)


def _setup(site: Path, key: str, number: str) -> tuple[SetupData | None, str]:
    path = site / key / f"setup-{number}.json"
    if not number or not path.is_file():
        page = _text(site / key / HOME, site)
        return (
            None,
            "it is sealed: only its card opens it"
            if "data-seal" in page
            else "its page tells no setup (lost or retired)",
        )
    try:
        return from_json(opening.read_text(path, most=_MOST, inside=site), path.name), ""
    except NotCarried as error:
        return None, f"the file of its setup cannot be read: {error}"


def _written(fresh: Path, site: Path, setup: SetupData, who: tuple[str, str, str], folders: dict[str, str]) -> str:
    """Write one frame, its player and what the catalogue lacks; why not, empty where it is done."""
    key, number, owner = who
    known = {folders[owner]} if owner in folders else set[str]()
    faulty = True
    for whole in (True, False):
        base = base_of(fresh, known)
        new = Additions(base, FreshKeys(), site)
        carry = Carry(new, setup)
        try:
            player = folders.get(owner) or _player(new, site, owner)
            model = carry.model()
        except Refused as error:
            return str(error).partition("\n")[0]
        name = f"{player}/f{number.partition('-')[0]}"
        top = {
            "number": number, "key": key, "model": model, "label": setup.label or setup.frame.model,
            "serial": setup.frame.serial, "grip": setup.frame.grip,
            "status": "broken" if setup.state == "broken" else setup.status,
        }  # fmt: skip
        targets = trees.setup_tree(setup, measured=False)
        blocks = dict(carry.blocks(whole=whole, measured=not targets))
        if measured := trees.measured_words(setup):
            # Readings need their instruments, and those are nowhere public.
            blocks["private_note"] = f"Measured before the records were lost: {measured}."
        carry.put(path_of(name), {k: v for k, v in top.items() if v}, blocks)
        faulty = has_errors(tried(base.records, new.files, base.faults, checked)[1])
        if not faulty:
            break
    if faulty:
        return "what its setup says cannot be taken into records"
    for path, text in new.files.items():
        (fresh / path).parent.mkdir(parents=True, exist_ok=True)
        (fresh / path).write_text(text, encoding="utf-8")
    folders.setdefault(owner, player)
    return ""


def _player(new: Additions, site: Path, owner: str) -> str:
    """A player as the page says, with the key of that page; of frames that no player's page leads to one without."""
    page = _text(site / owner / HOME, site) if owner else ""
    name = _plain(_first(r"<h1[^>]*>(.*?)</h1>", page)) or _NOBODY
    language = _first(r'<html[^>]*\blang="([a-z]{2,3})', page)
    folder = new.player(NewPlayer(name, language=language), published=False)
    path = f"players/{folder}/player.yaml"
    if owner:
        new.put(path, re.sub(r"(?m)^(name: .*)$", rf"\1\nkey: {owner}", new.text(path), count=1))
    return folder


def _links(site: Path, key: str) -> Iterator[str]:
    yield from _LINK.findall(_text(site / key / HOME, site))


def _text(path: Path, site: Path) -> str:
    with suppress(OSError):
        return opening.read_text(path, most=_MOST, inside=site, errors="replace")
    return ""


def _first(pattern: str, text: str) -> str:
    found = re.search(pattern, text, re.DOTALL)
    return found[1].strip() if found else ""


def _plain(marked: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", marked)).split())
