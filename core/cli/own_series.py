"""Commands on a collection's series: add one's own, export, take updates, add a year."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.series import series_group
from core.cli.show import A_PATH, Row, as_json, as_typed, file_argument, opened, write_rows

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.order import Operation
    from core.model.album import AlbumId

no_grow = click.option(
    "--no-grow", is_flag=True, help="Leave the albums of the series as they are."
)


@series_group.command("add")
@file_argument
@click.argument("folder", type=A_PATH)
@no_grow
def add_series(file: Path, folder: Path, no_grow: bool) -> None:
    """Carry the series of a folder in a collection; one that is there already is changed."""
    from core.app.own_series import save_series
    from core.catalogue.draft import draft_of
    from core.catalogue.load import check_folder

    series = check_folder(folder)
    with opened(file) as collection:
        before = collection.series_texts(series.id)
        told = _run(collection, save_series(draft_of(series), grow=not no_grow))
        is_same = collection.series_texts(series.id) == before
    what = "added" if before is None else "is there already as it is" if is_same else "changed"
    click.echo(f"{series.title} ({series.id}) {what}: {len(series.issues)} issues.{told}")


@series_group.command("export")
@file_argument
@click.argument("series_id", metavar="ID")
@click.argument("folder", type=A_PATH)
@click.option("--replace", is_flag=True, help="Write over the files that are there.")
def export_command(file: Path, series_id: str, folder: Path, replace: bool) -> None:
    """Write a series as series.toml and issues.csv into a folder."""
    from core.app.own_series import export_series
    from core.model.issue import SeriesId

    with opened(file, read_only=True) as collection:
        series = collection.series(SeriesId(series_id))
    for path in export_series(series, folder, replace=replace):
        click.echo(as_typed(path))


@series_group.command()
@file_argument
@click.option("--take", "series_id", metavar="ID", default="", help="Take what the library has.")
@no_grow
@as_json
def updates(file: Path, series_id: str, no_grow: bool, as_json: bool) -> None:
    """What the library says otherwise now than the collection's copies of its series."""
    from core.app.own_series import take_update
    from core.model.issue import SeriesId

    if series_id:
        with opened(file) as collection:
            told = _run(collection, take_update(SeriesId(series_id), grow=not no_grow))
            title = collection.series(SeriesId(series_id)).title
        click.echo(f"{title} is as the library has it.{told}")
        return
    with opened(file, read_only=True) as collection:
        found = collection.series_differences()
    rows: list[Row] = [
        {"series": one.series, "difference": line} for one in found for line in one.lines
    ]
    write_rows(rows, as_json, "Every series is as the library has it.")
    if rows and not as_json:
        click.echo(f"\nNext: slotleaf series updates {as_typed(file)} --take ID")


@series_group.command("next-year")
@file_argument
@click.argument("series_id", metavar="ID")
@click.option("--year", type=int, default=None, help="Another year than the one after the last.")
@no_grow
def next_year(file: Path, series_id: str, year: int | None, no_grow: bool) -> None:
    """Repeat a series' last year in the next, without mintages; albums that follow it grow."""
    from core.app.own_series import add_next_year
    from core.model.issue import SeriesId

    code = SeriesId(series_id)
    with opened(file) as collection:
        before = {(i.date, i.year) for i in collection.series(code).issues}
        told = _run(collection, add_next_year(code, year, grow=not no_grow))
        series = collection.series(code)
    new = [i for i in series.issues if (i.date, i.year) not in before]
    many = "an issue" if len(new) == 1 else f"{len(new)} issues"
    click.echo(f"{series.title}: {many} of {new[0].date} added.{told}")


def _run(collection: "Collection", order: "Operation") -> str:
    """Carry an order out; how many slots came to which albums, in words."""
    before = {album.id: _slots(collection, album.id) for album in collection.albums()}
    collection.run(order)
    grown = [
        f"{album.name} ({more})"
        for album in collection.albums()
        if (more := _slots(collection, album.id) - before[album.id])
    ]
    return f" New slots: {', '.join(grown)}." if grown else ""


def _slots(collection: "Collection", album_id: "AlbumId") -> int:
    return len(collection.album_view(album_id, with_marks=False).slots)


COMMANDS: tuple[click.Command, ...] = ()
"""They stand in the group `series`, which core.cli.series names."""
