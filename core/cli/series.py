"""Commands on series: list the library, show one with its sources, check a folder."""

from pathlib import Path

import click

from core.cli.show import A_PATH, Row, as_json, write_rows


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
@as_json
def show(series_id: str, as_json: bool) -> None:
    """Every issue of a series, with its source and how sure it is."""
    from core.app.series_shelf import SeriesShelf
    from core.catalogue.shares import confidence_shares
    from core.model.issue import SeriesId

    series = SeriesShelf().get(SeriesId(series_id))
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
