"""`slotleaf code`: reference codes of one's own for varieties."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.show import Row, as_json, file_argument, opened, write_rows

if TYPE_CHECKING:
    from core.model.issue import Series, VarietyId


@click.command("code")
@file_argument
@click.argument("series_id", metavar="[SERIES]", required=False)
@click.argument("variety_id", metavar="[VARIETY]", required=False)
@click.argument("code", metavar="[CODE]", required=False)
@click.option("--remove", is_flag=True, help="Take the variety's code away.")
@as_json
def own_code(
    file: Path,
    series_id: str | None,
    variety_id: str | None,
    code: str | None,
    remove: bool,
    as_json: bool,
) -> None:
    """Give a variety a code of your own, or list the codes there are."""
    from core.app.own_codes import remove_own_code, set_own_code, variety_name
    from core.model.issue import SeriesId, VarietyId

    if series_id is None:
        if remove:
            raise click.UsageError("Name the series and the variety whose code is to go.")
        with opened(file, read_only=True) as collection:
            rows: list[Row] = [
                {
                    "code": one,
                    "series": str(of),
                    "variety": str(variety),
                    "name": _name(collection.series(of), variety),
                }
                for one, (of, variety) in collection.own_codes().items()
            ]
        write_rows(rows, as_json, "No variety has a code of your own yet.")
        return
    if variety_id is None or (code is None) != remove:
        raise click.UsageError("Write SERIES VARIETY CODE, or SERIES VARIETY --remove.")
    of, variety = SeriesId(series_id), VarietyId(variety_id)
    with opened(file) as collection:
        name = variety_name(collection.series(of), variety)
        order = (
            set_own_code(of, variety, code) if code is not None else remove_own_code(of, variety)
        )
        collection.run(order)
    click.echo(f"{name}: {' '.join(code.split()) if code else 'no code'}")


def _name(series: "Series", variety: "VarietyId") -> str:
    """What a code names; a series edited since may have the variety no more."""
    from core.app.own_codes import variety_name

    return variety_name(series, variety) if series.variety(variety) else "no longer in the series"


COMMANDS = (own_code,)
