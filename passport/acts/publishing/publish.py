"""The site of a workshop put where workshop.yaml says."""

import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from passport.acts.clock import now
from passport.acts.count import counted
from passport.acts.publishing.places import Asking, place_of
from passport.acts.publishing.shop import key_of, knows_more, shop_of
from passport.acts.refused import Refused, writing
from passport.acts.site import records_since
from passport.publish.folder import manifest
from passport.publish.folder.digest import digest
from passport.publish.remote.destination import Destination, Foreign, Unopened
from passport.publish.remote.expected import Expected, expected_of
from passport.publish.remote.far import Trouble
from passport.publish.remote.lease import NotAlone
from passport.publish.remote.memo import Memo
from passport.publish.remote.plan import UploadPlan
from passport.publish.remote.send import NotAsBuilt, Told
from passport.records.language.worded import unsaid, worded
from passport.records.schema.workshop import Publishing
from passport.records.transaction import lock, private

_HOW = unsaid("""\
Nothing says where to publish to. Write it into workshop.yaml, without a password:
  publish: /mnt/web/passports                       a folder or a mounted disk
  publish: sftp://shop@web.example/srv/passports    a web server with SSH
  publish: git@web.example:shop/cards.git           a branch 'pages' of a repository
  publish: s3://bucket                              storage; 'endpoint: https://…' where it is not the first one's
  publish: davs://shop@web.example/passports        WebDAV
  publish: ftps://shop@web.example/htdocs           FTP with TLS""")
_WAIT = 5.0


@dataclass(frozen=True, slots=True)
class Wish:
    """How to publish: only ``show`` what would be done; let up to ``delete`` passports go; ``anew`` believes nothing that is
    there, and takes files of others of the same names over; ``as_built`` takes a site whose records changed since."""

    show: bool = False
    delete: int = 0
    anew: bool = False
    as_built: bool = False


class RecordsNewer(Refused):
    """The records changed after the site was built."""


class TooManyGone(Refused):
    """More passports would go away than was said; ``lost`` is how many."""

    def __init__(self, text: str, lost: int) -> None:
        super().__init__(text)
        self.lost = lost


@dataclass(frozen=True, slots=True)
class Published:
    """What was done, or would be: the plan, the place, the site's address, how long it took in seconds."""

    plan: UploadPlan
    place: str
    address: str
    seconds: float


class UploadTelling(Protocol):
    """How publishing speaks with the person who waits for it."""

    def say(self, words: str) -> None:
        """A word on what is waited for."""

    def sending(self, files: int, size: int) -> AbstractContextManager[Told]:
        """How far it is, of so many files and bytes."""


def publish(content: Path, site: Path, wish: Wish, telling: UploadTelling, ask: Asking = None) -> Published:
    """Put the site in the folder ``site`` where the records of ``content`` say. Raises Refused, Faulty.

    Whatever stops it, nothing half is served, and a second run goes on from there. ``ask`` asks a person for a password.
    """
    start, begun = time.monotonic(), now()
    shop = shop_of(content)
    if not shop.publish.to:
        raise Refused(worded(_HOW))
    secret = key_of(content)
    wanted = _wanted(content, site, secret)
    _look_for_newer_records(content, site, wish, telling)
    with _stopped(site), writing(worded("What was published")):
        folder = private.made(content, *_folder(shop.publish))
        with lock.locked(folder, "passport publish", wait=_WAIT, say=telling.say):
            memo = Memo(folder)
            place = place_of(content, shop.publish, memo, ask)
            try:
                plan = _carried_out(place, wanted, _Errand(content, site, secret, wish, telling, memo, begun))
            finally:
                place.close()
    return Published(plan, place.name, shop.address, time.monotonic() - start)


def memo_of(content: Path, said: Publishing) -> Memo:
    """What this computer noted of its own publishing to a place; nothing where it never did."""
    return Memo(private.folder_of(content).joinpath(*_folder(said)))


def _folder(said: Publishing) -> tuple[str, str]:
    return "publish", digest(said.to, said.endpoint, said.branch)[:12]


@dataclass(frozen=True, slots=True)
class _Errand:
    content: Path
    site: Path
    key: str
    wish: Wish
    telling: UploadTelling
    memo: Memo
    begun: datetime
    """Before the records were looked at: whatever is changed later is not on-line."""


def _carried_out(place: Destination, wanted: Expected, job: _Errand) -> UploadPlan:
    wish, memo = job.wish, job.memo
    with nullcontext() if wish.show else place.alone(job.telling.say):
        there = place.look(job.key, anew=wish.anew)
        if there.said is None and memo.last and not wish.anew:
            raise Refused(worded(_VANISHED, place=place.name))
        if there.said:
            _refuse_older(job.content, there.said)
        plan = UploadPlan(wanted, there)
        if wish.show:
            return plan
        if plan.too_many and len(plan.lost) > wish.delete:
            raise TooManyGone(_too_many(plan), len(plan.lost))
        if not plan.nothing:
            files = len(plan.contents) + len(plan.pages) + len(plan.gone)
            with job.telling.sending(files, plan.size) as told:
                place.send(plan, job.site, job.key, told)
        memo.done(wanted.data, job.begun)
        return plan


def _wanted(content: Path, site: Path, secret: str) -> Expected:
    try:
        found = expected_of(site, secret)
    except (manifest.Sealed, manifest.TooNew, OSError) as error:
        do = worded("Build it again: passport build {content} --out {site}", content=content, site=site)
        raise Refused(
            worded(
                "The site at '{site}' is not one of this workshop, or of a newer program: {error}.\n  {do}",
                site=site,
                error=error,
                do=do,
            )
        ) from None
    if found is None:
        raise Refused(
            worded(
                "There is no site at '{site}'. Build it first: passport build {content} --out {site}",
                site=site,
                content=content,
            )
        )
    return found


def _look_for_newer_records(content: Path, site: Path, wish: Wish, telling: UploadTelling) -> None:
    """Stop where records changed after the site was built, so that no older state goes on-line without a word."""
    with writing(worded("What was built")):
        since = records_since(content, site)
    build = f"passport build {content} --out {site}"
    if since.newer is None:
        telling.say(
            worded(
                "Whether '{site}' is what the records say now is not known: it was built elsewhere. To be "
                "sure: {build}",
                site=site,
                build=build,
            )
        )
    elif since.newer and not wish.as_built:
        text = worded(
            "The records changed after '{site}' was built; written last was '{last}'.", site=site, last=since.last
        )
        if not wish.show:
            raise RecordsNewer(
                worded(
                    "Nothing was published. {text}\n  Build it first: {build}\n  {as_built}",
                    text=text,
                    build=build,
                    as_built=worded(_AS_BUILT),
                )
            )
        telling.say(worded("{text} Build it first: {build}", text=text, build=build))


def _refuse_older(content: Path, there: Expected) -> None:
    """Stop where the site on-line knows of addresses that the ledger here does not: these records are older."""
    if knows_more(there, content):
        raise Refused(
            worded(
                "The site on-line knows a ledger of {counted} that ends otherwise than the one here: it was "
                "published from newer records.\n  Publish from the newest ones; a restored backup is first "
                "mended: passport addresses {content} --mend",
                counted=counted(there.said.count, "line"),
                content=content,
            )
        )


def _too_many(plan: UploadPlan) -> str:
    there = plan.there.said
    lost, all_ = len(plan.lost), len(there.passports) if there else 0
    numbers = {line.key: line.number for line in there.said.keys} if there else {}
    shown = sorted(numbers.get(one) or one for one in plan.lost)
    more = worded(" and {lost} more", lost=lost - 5) if lost > 5 else ""
    return worded(
        "Nothing was published: {lost} of {counted} on-line would go away: {shown}{more}.\n  If that "
        "is meant, say so: --delete {lost}",
        lost=lost,
        counted=counted(all_, "passport"),
        shown=", ".join(shown[:5]),
        more=more,
    )


_AS_BUILT = unsaid("Or do both: --build. If that older state is meant, say so: --as-built")
_VANISHED = unsaid("""\
'{place}' holds no site any more, though it was published there from here.
  Is the right disk mounted, the right folder named? If it was emptied on purpose, put all of it there again: --anew""")


@contextmanager
def _stopped(site: Path) -> Iterator[None]:
    """Whatever stops a run, told to a person."""
    try:
        yield
    except Trouble as error:
        raise Refused(worded("It is not published. {error}", error=error)) from None
    except NotAlone:
        do = worded("Look at what they did, and publish again when they are done.")
        raise Refused(worded("Somebody else is publishing there, so nothing more was sent. {do}", do=do)) from None
    except Foreign as error:
        do = worded(
            "Name an empty folder or branch in workshop.yaml; or let this site take the place of those files: --anew"
        )
        raise Refused(
            worded(
                "'{place}' holds {what} that this program did not put there, so nothing was sent.\n  {do}",
                place=error.place,
                what=error.what,
                do=do,
            )
        ) from None
    except Unopened as error:
        do = worded("Is it another workshop's? If the key is lost, put all of it there again: --anew")
        raise Refused(
            worded(
                "'{place}' holds a site whose manifest the key here does not open.\n  {do}", place=error.place, do=do
            )
        ) from None
    except NotAsBuilt as error:
        do = worded("Build the site again, then publish: what was sent is whole, and is not sent twice.")
        raise Refused(
            worded("'{site}' is not what the build wrote, so it was not sent.\n  {do}", site=site / error.path, do=do)
        ) from None
    except lock.Busy as error:
        raise Refused(worded("Nothing was published: {error}", error=error)) from None
