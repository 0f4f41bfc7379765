"""Commands on albums across series, on volumes, and taking an album off the shelf."""

from collections.abc import Sequence
from pathlib import Path

import click

from core.cli.albums import album_group
from core.cli.show import file_argument, opened
from core.errors import Refused


@album_group.command("volumes")
@file_argument
@click.argument("album")
@click.option("--title", default=None, help='A volume of this; "" for none.')
@click.option("--split", default="", help="Dates or slots with which volumes begin: 1941,1959.")
@click.option("--join", is_flag=True, help="Make one album of all volumes of its title.")
def volumes_command(file: Path, album: str, title: str | None, split: str, join: bool) -> None:
    """Make an album a volume, split it into volumes, or join them; give one of the three.

    Volumes stand together on the shelf. Coins stay in their slots through all of it.
    """
    from core.app.shelf_entries import shelf_entries
    from core.app.volumes import join_volumes, read_cuts, set_volumes, split_into_volumes

    if (title is not None) + bool(split) + join != 1:
        raise click.UsageError("Give one of --title, --split and --join.")
    with opened(file) as collection:
        found = collection.find_album(album)
        shown = found.id
        if title is not None:
            collection.run(set_volumes([found.id], title))
        elif split:
            cuts = read_cuts(collection.album_view(found.id), split)
            collection.run(split_into_volumes(found.id, cuts))
        else:
            if not found.volumes:
                raise Refused(f"{found.name} is no volume; --split and --title make volumes.")
            run = [one.id for one in collection.albums() if one.volumes == found.volumes]
            collection.run(join_volumes(run))
            shown = run[0]
        entries = shelf_entries(collection.albums())
        entry = next(e for e in entries if shown in [one.id for one in e.albums])
        views = [collection.album_view(one.id) for one in entry.albums]
    if views[0].album.volumes:
        have = sum(view.headline.have for view in views)
        click.echo(f"{entry.title}: have {have} of {sum(v.headline.wanted for v in views)}")
    for view in views:
        click.echo(f"{view.album.name}: {view.headline.text}")


@album_group.command("delete")
@file_argument
@click.argument("album")
@click.option("--drop-coins", is_flag=True, help="Its coins become spares.")
def delete_command(file: Path, album: str, drop_coins: bool) -> None:
    """Take an album off the shelf; its coins stay in the collection as spares.

    Without --drop-coins nothing is done where it holds coins; they are named instead.
    """
    from core.app.album_edit import falling_text
    from core.app.design import falling_out
    from core.app.operations import delete_album

    with opened(file) as collection:
        found = collection.find_album(album)
        view = collection.album_view(found.id)
        falling = falling_out(view, list(view.by_id))
        coins = "A coin" if len(falling) == 1 else f"{len(falling)} coins"
        if falling and not drop_coins:
            raise Refused(
                f"{coins} of {found.name} would become "
                f"{'a spare' if len(falling) == 1 else 'spares'}: {falling_text(falling)}. "
                "Nothing was changed; add --drop-coins to agree."
            )
        collection.run(delete_album(found.id))
    spares = f"; {coins.lower()} {_are(falling)} now" if falling else ""
    click.echo(f"{found.name} is off the shelf{spares}.")


def _are(coins: Sequence[object]) -> str:
    return "is a spare" if len(coins) == 1 else "are spares"


COMMANDS = ()
