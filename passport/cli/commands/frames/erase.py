"""``passport erase``: a player goes, with everything that was made from the records."""

from pathlib import Path

import click

from passport.acts import erase
from passport.acts.picking import matching
from passport.acts.safekeeping.backup import still_holding
from passport.cli.shared.bench_folder import bench_folder
from passport.cli.shared.change import base_of, said
from passport.cli.shared.closing import agree, close_one, own_site
from passport.cli.shared.common import FOLDER
from passport.cli.shared.folder import site_of
from passport.records.disk import walking
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.load import Content
from passport.records.yaml.validation_messages import closest

_SHOWN = 12


@click.command(name="erase", epilog="Example: passport erase content_demo hallerwund --yes")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("who", metavar="PLAYER")
@click.option("--site", type=FOLDER, help="The site to erase from; by default 'site', if this program made it.")
@click.option("--yes", is_flag=True, help="Do not ask before erasing.")
def command(content: Path, who: str, site: Path | None, yes: bool) -> None:
    """Erase a player: records, photos, pages, cards. Their addresses stay, and lead to a page that says so.

    PLAYER is the name of the folder or the public name. If you give the number of a passport whose record is gone
    already, only its address is closed. At the end it lists what remains in backups, version control and elsewhere, and
    how to clear that.
    """
    base = base_of(content, {who} if (content / "players" / who).is_dir() else None)
    site = own_site(content, site)
    player = _player(base.records, who)
    found = erase.traces(content, player) if player else None
    if found is None:
        if not close_one(base, who, site, yes=yes):
            near = closest(who, [*base.records.players, *(e.record.name for e in base.records.players.values())])
            raise click.ClickException(
                worded(
                    "There is no player '{who}'. {value}", who=who, value=near or worded("Name the folder in players/.")
                )
            )
        return
    agree(_plan(base.records, found, site), worded("Erase all of this? It cannot be undone."), yes=yes)
    for sheet in erase.erase(base, found, site, bench_folder(content), said):
        click.echo(worded("Deleted: {because}", because=_because(sheet, found)))
    click.echo(
        worded(
            "Erased: '{player}'. {keys} addresses now say only that they are closed.",
            player=found.player,
            keys=len(found.keys),
        )
    )
    _remains(found, site)


def _player(records: Content, who: str) -> str:
    """The folder of the player who is meant, or nothing where it may be an address alone."""
    if "/" in who or who.startswith("."):
        raise click.UsageError(
            worded("'{who}' is not a player. Name the folder, as in 'askwell'; one frame can be retired.", who=who)
        )
    if (records.root / "players" / who).is_dir() or (records.root / f"{erase.ASIDE}{who}").is_dir():
        return who
    named = [name for name, e in records.players.items() if e.record.name.lower() == who.lower()]
    if len(named) == 1:
        return named[0]
    frames = matching(records, who)
    if frames:
        owner = frames[0].name.partition("/")[0]
        raise click.ClickException(
            worded("'{who}' is a frame of '{owner}'. Erase the player, or retire the frame.", who=who, owner=owner)
        )
    return ""


def _plan(records: Content, found: erase.Traces, site: Path | None) -> str:
    entry = records.players.get(found.player)
    called = entry.record.name if entry else found.player
    sheets = erase.sheets(bench_folder(found.root), found)
    pages = [key for key, _, _ in found.keys if site and (site / key).is_dir()]
    lines = [
        click.style(worded("{called} ({player}) is erased for good:", called=called, player=found.player), bold=True),
        worded("  {files} files in players/{player}", files=len(found.files), player=found.player),
        *(f"  photos/{photo.name}" for photo in found.photos),
        worded("  {pages} pages with their downloads in {site}", pages=len(pages), site=site)
        if site
        else worded("  no site is named: see --site"),
        *(f"  {_because(sheet, found)}" for sheet in sheets),
        *(_neighbours(found.root) if sheets else ()),
        worded(
            "The {keys} addresses on their cards stay closed: who scans one is told that, and no more.",
            keys=len(found.keys),
        ),
    ]
    return "\n".join(lines)


def _because(sheet: Path, found: erase.Traces) -> str:
    """A sheet of the bench folder, and why it goes."""
    return (
        worded("{sheet}: holds this player", sheet=sheet)
        if erase.names(sheet, found)
        else worded("{sheet}: may hold this player", sheet=sheet)
    )


def _neighbours(root: Path) -> list[str]:
    """A word where other workshops put their sheets into the same folder: a name does not tell whose a sheet is."""
    own = root.resolve()
    others = sorted(
        path.name for path in walking.listed(own.parent) if path != own and (path / "workshop.yaml").is_file()
    )
    if not others:
        return []
    named = ", ".join(others[:3]) + (" …" if len(others) > 3 else "")
    return [
        worded(
            "  '{bench_folder}' is shared with {named}: sheets of theirs with such a name go too; make them anew.",
            bench_folder=bench_folder(root),
            named=named,
        )
    ]


# --- what remains ----------------------------------------------------------------------------------------------


def _remains(found: erase.Traces, site: Path | None) -> None:
    content = found.root
    places = [p for p in (content, site, bench_folder(content)) if p and p.is_dir()]
    left = [hit for place in places for hit in erase.mentions(place, found.words, [content / ledger.FILE])]
    if left:
        click.echo(worded("\nStill named here; look and clear by hand, then build again:"))
        for path, line, word in left[:_SHOWN]:
            click.echo(f"  {path}:{line}: {word}")
        if len(left) > _SHOWN:
            click.echo(worded("  and in {left} more lines", left=len(left) - _SHOWN))
    click.echo(_ADVICE.format(content=content, site=site or site_of(content)))
    for kept in still_holding(content, found.player):
        click.echo(f"                  {kept}")
    click.echo(_PAPER)
    click.echo(_history(found))


_ADVICE = """
What this program cannot reach:
  the web host    Next: passport build {content} --out {site}, then upload so that files which are gone here go there
                  too; an upload that only adds leaves the old pages. Ask the host about its backups.
  backups         of this computer, of the cloud folder and its old versions, the editor's own copies, the bin."""
_PAPER = """\
  paper           printed cards and bench sheets, files that you named yourself with --out, letters, invoices."""


def _history(found: erase.Traces) -> str:
    top = next((p for p in (found.root.resolve(), *found.root.resolve().parents) if (p / ".git").exists()), None)
    if top is None:
        return worded(
            "  history         if the records are kept in version control, remove the files from its history too."
        )
    base = found.root.resolve().relative_to(top)
    gone = [base / "players" / found.player, *(base / "photos" / photo.name for photo in found.photos)]
    paths = " ".join(f"--path '{path.as_posix()}'" for path in gone)
    return worded(
        "  history         {top} is kept by git, whose history still holds all of it. Commit what is "
        "gone, then\n                  git filter-repo --invert-paths {paths}\n                  takes "
        "it out (Debian: apt install git-filter-repo). Push with --force, and have "
        "every\n                  other copy cloned anew: the old ones bring it back.",
        top=top,
        paths=paths,
    )
