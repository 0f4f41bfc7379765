"""Commands on series: list the library, show one with its sources, check a folder."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.show import A_PATH, Row, as_json, write_rows

if TYPE_CHECKING:
    from core.model.issue import Marker, Series, Sign, Variety


@click.group("series")
def series_group() -> None:
    """The series of the library, and series folders of one's own."""


@series_group.command("list")
@as_json
def list_series(as_json: bool) -> None:
    """Every series of the library."""
    from core.catalogue.load import library_ids, load_series

    rows: list[Row] = []
    for code in library_ids():
        series = load_series(code)
        rows.append(
            {
                "id": series.id,
                "title": series.title,
                "issuer": series.issuer,
                "first": series.dates[0][0],
                "last": series.dates[-1][0],
                "issues": len(series.issues),
                "varieties": len(series.varieties),
                "is_invented": series.is_invented,
            }
        )
    write_rows(rows, as_json, "The library is empty.")


@series_group.command()
@click.argument("series_id", metavar="ID")
@click.option("--varieties", is_flag=True, help="Only its varieties, with what to look for.")
@as_json
def show(series_id: str, varieties: bool, as_json: bool) -> None:
    """Every issue of a series and its varieties, with their sources and how sure they are."""
    from core.app.series_shelf import SeriesShelf
    from core.catalogue.shares import confidence_shares
    from core.model.issue import SeriesId

    series = SeriesShelf().get(SeriesId(series_id))
    if varieties:
        if as_json:
            write_rows(list(marker_rows(series)), as_json, "")
        else:
            _tell_varieties(series)
        return
    rows: list[Row] = [
        {
            "date": issue.date,
            "year": issue.year,
            "mint": issue.mint,
            "mark": issue.mark,
            "design": issue.design,
            "composition": issue.composition,
            "strike": issue.strike.value,
            "release": issue.release.value,
            "choices": "; ".join(f"{name}={value}" for name, value in issue.choices),
            "mintage": issue.mintage,
            "source": issue.source,
            "confidence": issue.confidence.value,
        }
        for issue in series.issues
    ]
    if not as_json:
        click.echo(f"{series.title}, {series.issuer}")
        for work in series.sources:
            click.echo(f"  rests on: {work}")
        if series.note:
            click.echo(f"  note: {series.note}")
        click.echo(f"  {confidence_shares(series).text}")
        click.echo("  recalled: from memory, not read in a publication\n")
    write_rows(rows, as_json, "This series has no issues.")
    if not as_json:
        click.echo()
        _tell_varieties(series)


def _tell_varieties(series: "Series") -> None:
    """Print each variety and sign with its markers, as a text to read."""
    if not series.varieties and not series.signs:
        click.echo("This series has no varieties.")
    for one in _signs_and_varieties(series):
        named, name, applies = _named(one)
        click.echo(f"{named}  {name}; {applies}; in rolls: {one.odds.value}")
        for marker in one.markers:
            where = f"{marker.place} ({marker.face.value})"
            click.echo(f"  {marker.evidence.value:<8}  {where}: {marker.see}  [{_rests(marker)}]")
        if not one.markers:
            click.echo(f"  {one.where}: {one.look}  [{_rests(one)}]")


def _rests(fact: "Marker | Sign | Variety") -> str:
    """What a fact rests on: how sure it is, and the work it is from."""
    return ", ".join(dict.fromkeys(filter(None, (fact.confidence.value, fact.source))))


def marker_rows(series: "Series") -> Iterator[Row]:
    """A row a marker; of what has none, one row with where to look and what to see."""
    for one in _signs_and_varieties(series):
        head: Row = {
            **dict(zip(("id", "name", "applies"), _named(one), strict=True)),
            "odds": one.odds.value,
        }
        for marker in one.markers:
            yield {
                **head,
                "evidence": marker.evidence.value,
                "place": marker.place,
                "see": marker.see,
                "face": marker.face.value,
                "x": marker.x if marker.face.has_spots else None,
                "y": marker.y if marker.face.has_spots else None,
                "source": marker.source,
                "confidence": marker.confidence.value,
            }
        if not one.markers:
            yield {
                **head,
                "evidence": None,
                "place": one.where,
                "see": one.look,
                "face": None,
                "x": None,
                "y": None,
                "source": one.source,
                "confidence": one.confidence.value,
            }


def _signs_and_varieties(series: "Series") -> tuple["Variety | Sign", ...]:
    return (*series.signs, *series.varieties)


def _named(one: "Variety | Sign") -> tuple[str, str, str]:
    """The id of a variety, or facet=value of a sign; its name; the facets of its issues."""
    from core.model.issue import Variety

    applies = ", ".join(f"{facet}={'|'.join(values)}" for facet, values in one.applies)
    if isinstance(one, Variety):
        return str(one.id), one.name, applies
    return f"{one.facet}={one.value}", f"{one.facet} {one.value}".strip(), applies


@series_group.command("check")
@click.argument("folder", type=A_PATH)
@as_json
def check_series(folder: Path, as_json: bool) -> None:
    """Check a folder with series.toml and issues.csv; every fault with file and line."""
    from core.catalogue.load import check_folder
    from core.errors import CatalogueFault

    try:
        series = check_folder(folder)
    except CatalogueFault as fault:
        faults = str(fault).splitlines()
        rows: list[Row] = [{"fault": line} for line in faults]
        write_rows(rows, as_json, "")
        many = "a fault" if len(faults) == 1 else f"{len(faults)} faults"
        raise CatalogueFault(
            f"{folder} has {many}; correct what is listed, then check again."
        ) from fault
    write_rows([], as_json, f"{series.title}: {len(series.issues)} issues, no faults.")


COMMANDS = (series_group,)
