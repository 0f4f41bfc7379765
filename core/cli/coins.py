"""Commands on coins: list them, add some by entry lines."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.show import Row, as_json, file_argument, opened, write_rows

if TYPE_CHECKING:
    from core.model.coin import Coin


@click.command("coins")
@file_argument
@as_json
def list_coins(file: Path, as_json: bool) -> None:
    """Every coin: number, what it is, grade, problems, where it sits."""
    with opened(file, read_only=True) as collection:
        found = collection.coin_rows()
    rows: list[Row] = [
        {
            "number": int(row.coin.id),
            "series": row.coin.description.series,
            "coin": row.text,
            "grade": row.grade,
            "problems": ", ".join(map(str, row.coin.problems)),
            "state": row.state,
            "where": row.where,
            "quantity": row.coin.quantity,
            "origin": row.coin.origin.value,
            "came_from": row.coin.came_from,
            "note": row.coin.note,
        }
        for row in found
    ]
    write_rows(rows, as_json, 'No coins yet. Next: slotleaf coin add FILE "1943-D vf20"')


@click.group("coin")
def coin_group() -> None:
    """Add coins."""


@coin_group.command("add")
@file_argument
@click.argument("entries", nargs=-1, required=True, metavar='"1943-D vf20" …')
@click.option("--series", "series_id", default="", help="Read the entries as this series.")
def add_coin(file: Path, entries: tuple[str, ...], series_id: str) -> None:
    """Add coins as collectors write them; all of them or, if one cannot be read, none."""
    from core.app.operations import add_coins
    from core.errors import BadEntry
    from core.lookup.parse import parse_entry
    from core.model.issue import SeriesId
    from core.model.label import coin_name

    with opened(file) as collection:
        chosen = [collection.series(SeriesId(series_id))] if series_id else []
        known = chosen or list(collection.series_in_use) or list(collection.all_series())
        read, faults = [], []
        for text in entries:
            try:
                read.append(parse_entry(text, known))
            except BadEntry as fault:
                faults.append(f"“{text}”: {fault}")
        if faults:
            raise BadEntry(" ".join(faults) + " Nothing was added.")
        done = collection.run(add_coins([entry.coin for entry in read]))
        for number, entry in zip(done.made_coins, read, strict=True):
            series = collection.series(entry.coin.description.series)
            many = f"{entry.coin.quantity} × " if entry.coin.is_lot else ""
            what = f"{coin_name(series, entry.coin)}, {_condition(entry.coin)}"
            said = f" ({entry.said})" if entry.said else ""
            name = series.words[0] if series.words else series.denomination
            click.echo(f"Coin {number}: {many}{name} {what}.{said}")


def _condition(coin: "Coin") -> str:
    """VF-20, bent; no grade, not genuine, to verify."""
    words = [coin.grade.text if coin.grade else "no grade", *map(str, coin.problems)]
    words += ["not genuine"] * (not coin.is_genuine) + ["to verify"] * coin.is_flagged
    return ", ".join(words)


COMMANDS = (list_coins, coin_group)
