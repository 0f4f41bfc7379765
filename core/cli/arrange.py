"""The commands that lay an album out, and those for arrangements kept under a name."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.albums import ARRANGE_HELP, album_group
from core.cli.show import A_PATH, as_json, file_argument, opened, write_rows
from core.errors import NotFound, Refused

if TYPE_CHECKING:
    from core.app.album_edit import FallingOut
    from core.app.collection import Collection
    from core.model.arrangement import Arrangement, SavedArrangement


@album_group.command("arrange")
@file_argument
@click.argument("album")
@click.option("--arrange", default=None, help=ARRANGE_HELP)
@click.option("--kept", default=None, help="The name of a kept arrangement.")
@click.option("--from", "source", type=A_PATH, default=None, help="An arrangement's file.")
@click.option("--drop-coins", is_flag=True, help="Coins whose slot goes become spares.")
def arrange_command(
    file: Path,
    album: str,
    arrange: str | None,
    kept: str | None,
    source: Path | None,
    drop_coins: bool,
) -> None:
    """Lay an album out otherwise; every coin keeps its slot.

    Give one of --arrange, --kept and --from. dates-only asks for other slots where the album has
    one a date and mint: then nothing is done unless no coin falls out, or --drop-coins says that
    they may.
    """
    from core.app.album_edit import falling_text, plan_edit
    from core.app.design import arrange_album, dates_only_choice, misfit_of, needs_other_slots

    if sum(one is not None for one in (arrange, kept, source)) != 1:
        raise click.UsageError("Give one of --arrange, --kept and --from.")
    with opened(file) as collection:
        view = collection.album_view(collection.find_album(album).id)
        shape = _shape(collection, view.album.arrangement, arrange, kept, source)
        falling: tuple[FallingOut, ...] = ()
        if needs_other_slots(view, shape):
            falling = plan_edit(view, dates_only_choice(view, shape)).falling_out
        if falling and not drop_coins:
            coins = "A coin" if len(falling) == 1 else f"{len(falling)} coins"
            raise Refused(
                f"{coins} would fall out of {view.album.name}: {falling_text(falling)}. "
                "Nothing was changed; add --drop-coins to make them spares."
            )
        collection.run(arrange_album(view, shape, [f.coin for f in falling]))
        after = collection.album_view(view.album.id)
    leaves = len(after.leaves)
    text = f"{after.album.name}: {after.album.arrangement.text}, {len(after.slots)} slots on "
    click.echo(text + ("one leaf." if leaves == 1 else f"{leaves} leaves."))
    if (wrong := misfit_of(after)) is not None:
        click.echo(wrong.text)


def _shape(
    collection: "Collection",
    now: "Arrangement",
    arrange: str | None,
    kept: str | None,
    source: Path | None,
) -> "Arrangement":
    from core.app.arrangement_files import read_arrangement
    from core.model.arrangement import parse_arrangement

    if kept is not None:
        return _kept(collection, kept).arrangement
    if source is not None:
        return read_arrangement(source)[1]
    return parse_arrangement(arrange or "", now.show_p)


def _kept(collection: "Collection", name: str) -> "SavedArrangement":
    there = collection.saved_arrangements()
    wanted = name.casefold().strip()
    for one in there:
        if one.name.casefold() == wanted:
            return one
    known = ", ".join(one.name for one in there) or "none is kept yet"
    raise NotFound(f"No arrangement is kept as “{name}” ({known}).")


@click.group("arrangement")
def arrangement_group() -> None:
    """Keep the shape of an album under a name, for other albums and other collections."""


@arrangement_group.command("list")
@file_argument
@as_json
def list_command(file: Path, as_json: bool) -> None:
    """The arrangements kept in a collection."""
    with opened(file, read_only=True) as collection:
        kept = collection.saved_arrangements()
    rows = [{"name": one.name, "arrangement": one.arrangement.whole_text} for one in kept]
    write_rows(rows, as_json, "No arrangement is kept.")


@arrangement_group.command("keep")
@file_argument
@click.argument("album")
@click.argument("name")
def keep_command(file: Path, album: str, name: str) -> None:
    """Keep an album's shape under a name; gaps made by hand become a row map."""
    from core.app.design import keep_arrangement, portable

    with opened(file) as collection:
        shape = portable(collection.album_view(collection.find_album(album).id))
        collection.run(keep_arrangement(name, shape))
    click.echo(f"Kept as {' '.join(name.split())}: {shape.whole_text}.")


@arrangement_group.command("forget")
@file_argument
@click.argument("name")
def forget_command(file: Path, name: str) -> None:
    """Forget a kept arrangement; albums that have its shape keep it."""
    from core.app.design import forget_arrangement

    with opened(file) as collection:
        one = _kept(collection, name)
        collection.run(forget_arrangement(one.id))
    click.echo(f"Forgot {one.name}.")


@arrangement_group.command("export")
@file_argument
@click.argument("name")
@click.argument("path", type=A_PATH)
def export_command(file: Path, name: str, path: Path) -> None:
    """Write a kept arrangement to a small file that people can read."""
    from core.app.arrangement_files import write_arrangement

    with opened(file, read_only=True) as collection:
        one = _kept(collection, name)
    if path.exists():
        raise Refused(f"“{path}” is there already; choose another name.")
    write_arrangement(path, one.name, one.arrangement)
    click.echo(f"Wrote {path}.")


@arrangement_group.command("import")
@file_argument
@click.argument("path", type=A_PATH)
def import_command(file: Path, path: Path) -> None:
    """Keep the arrangement of a file under its name; one of that name gives way."""
    from core.app.arrangement_files import read_arrangement
    from core.app.design import keep_arrangement

    name, shape = read_arrangement(path)
    with opened(file) as collection:
        collection.run(keep_arrangement(name, shape))
    click.echo(f"Kept as {name}: {shape.whole_text}.")


COMMANDS = (arrangement_group,)
