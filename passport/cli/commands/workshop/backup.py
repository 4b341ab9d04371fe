"""``passport backup``: the workshop in one file."""

from pathlib import Path

import click

from passport.acts.safekeeping.backup import back_up, recovery_sheet
from passport.cli.shared.bench_folder import bench_folder
from passport.cli.shared.change import said
from passport.cli.shared.common import FOLDER, refuse_place
from passport.cli.shared.secrets import new_passphrase
from passport.records.language.worded import worded


@click.command(name="backup", epilog="Example: passport backup content_demo --out backups/shop.zip")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--out", type=FOLDER, help="The file to write; by default beside CONTENT, with the day in its name.")
@click.option(
    "--encrypt",
    is_flag=True,
    help="Encrypt it with a passphrase, which is asked for, or taken from PASSPORT_PASSPHRASE.",
)
@click.option(
    "--sheet", is_flag=True, help="Print the recovery sheet instead: the key of the site's manifest on paper."
)
@click.option(
    "--online", is_flag=True, help="Put ledger and manifest key, behind a passphrase, among the site's files instead."
)
def command(content: Path, out: Path | None, encrypt: bool, sheet: bool, online: bool) -> None:
    """Save records, photos, ledger, keys and the list of closed addresses in one file for 'passport restore'.

    Keep it on another disk. It holds names and contacts of players: encrypt it where others can reach it. The recovery
    sheet (--sheet) holds the key that opens the list of all numbers on your site; keep it away from the computer.

    --online writes that key and the ledger to public/ledger.age, which the next build puts on the site: then the passphrase
    alone brings printed addresses back (passport restore --from-site). Everybody can fetch that file and try passphrases
    on it: take a long one, four words or more that nobody would guess.
    """
    if sheet:
        target = out or bench_folder(content) / "recovery-sheet.pdf"
        refuse_place(target, "--out", content)
        recovery_sheet(content, target, said)
        click.echo(worded("{target}: print it and keep it where a fire at the bench does not reach it.", target=target))
        return
    if online:
        from passport.acts.safekeeping.regained import put_online

        path = put_online(content, new_passphrase(), said)
        click.echo(
            worded(
                "{path}: build and publish, and it is on-line. Without the passphrase nobody opens it: keep that safe.",
                path=path,
            )
        )
        return
    made = back_up(content, out, new_passphrase() if encrypt else "", said)
    for link in made.links:
        click.echo(worded("Left out, since it is a link: {link}", link=link), err=True)
    click.echo(worded("{path}: {files} files, {size:.1f} MB.", path=made.path, files=made.files, size=made.size / 1e6))
    click.echo(worded("To bring it back: passport restore {path} NEW-FOLDER --site site", path=made.path))
