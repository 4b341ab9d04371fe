"""The place that workshop.yaml names, reached: its protocol's module and libraries are imported only now."""

import os
import shlex
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlparse

from passport.acts.memory import CACHE
from passport.acts.publishing.secret import secret_of
from passport.acts.refused import Refused
from passport.publish.folder.digest import digest
from passport.publish.remote.destination import Destination, Filed
from passport.publish.remote.far import Far
from passport.publish.remote.memo import Memo
from passport.records.language.worded import worded
from passport.records.schema.workshop import Publishing
from passport.records.target import PublishTarget, target_of

Asking = Callable[[str], str] | None
"""Asks a person for a password, with a question; None where nobody is there."""
BRANCH = "pages"
"""The branch of a repository unless another one is said."""


def place_of(content: Path, said: Publishing, memo: Memo, ask: Asking) -> Destination:
    """Connect to the place that is said. Raises Refused, `passport.publish.remote.far.Trouble`."""
    target = target_of(said.to)
    with _installed():
        match target.way:
            case "folder":
                from passport.publish.remote.folder import FolderFar

                return Filed(FolderFar((content / target.path).absolute()), memo)
            case "git":
                return _branch(content, said, target, ask)
            case "sftp":
                from passport.publish.remote.sftp import SftpFar, Way

                password = secret_of(target.host, target.user or said.user, None)
                return Filed(SftpFar(target, Way(said.key, password, said.fingerprint)), memo)
            case "s3":
                from passport.publish.remote.s3 import S3Far, Storage

                asked = target.host if not said.endpoint else urlparse(said.endpoint).hostname or ""
                secret = secret_of(asked, said.user, ask, needed=bool(said.user))
                return Filed(S3Far(target, Storage(said.endpoint, said.region, said.user, secret)), memo)
            case "davs" | "ftps":
                return Filed(_with_password(said, target, ask), memo)


def _with_password(said: Publishing, target: PublishTarget, ask: Asking) -> Far:
    user = target.user or said.user
    password = secret_of(target.host, user, ask, needed=bool(user))
    if target.way == "ftps":
        from passport.publish.remote.ftps import FtpsFar

        return FtpsFar(target, user, password)
    from passport.publish.remote.webdav import WebdavFar

    return WebdavFar(target, user, password)


def _branch(content: Path, said: Publishing, target: PublishTarget, ask: Asking) -> Destination:
    from passport.publish.remote.branch import Branch

    repository = said.to.removeprefix("git+")
    ssh = "ssh -o BatchMode=yes -o StrictHostKeyChecking=yes"
    if said.key:
        ssh += f" -o IdentitiesOnly=yes -i {shlex.quote(str(Path(said.key).expanduser()))}"
    environment = {
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_ALLOW_PROTOCOL": "ssh:https:file",
        "GIT_SSH_COMMAND": os.environ.get("GIT_SSH_COMMAND", ssh),
    }
    if repository.startswith("https://"):
        user = target.user or said.user or "git"
        if password := secret_of(target.host, user, None):
            environment |= {
                "GIT_CONFIG_COUNT": "1",
                "GIT_CONFIG_KEY_0": f"credential.https://{target.host}{f':{target.port}' if target.port else ''}.helper",
                "GIT_CONFIG_VALUE_0": '!f() { echo "username=$PASSPORT_GIT_USER"; echo "password=$PASSPORT_GIT_SECRET"; }; f',
                "PASSPORT_GIT_USER": user,
                "PASSPORT_GIT_SECRET": password,
            }
    cache = content / CACHE / f"branch-{digest(repository, said.branch)[:12]}"
    cache.mkdir(parents=True, exist_ok=True, mode=0o700)
    return Branch(repository, said.branch or BRANCH, cache, environment)


@contextmanager
def _installed() -> Iterator[None]:
    """A library that is missing is named."""
    try:
        yield
    except ModuleNotFoundError as error:
        do = worded("Install it: pip install 'racquet-passport[publish]'")
        raise Refused(
            worded(
                "Publishing there needs the package '{error}', which is not installed. {do}", error=error.name, do=do
            )
        ) from None
