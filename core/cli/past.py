"""Commands on the past: the history, restoring a copy; and what `--as-of DAY` means elsewhere."""

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.show import A_PATH, Row, as_json, as_typed, file_argument, opened, write_rows
from core.errors import BadEntry

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.store.store import Entry

as_of_option: Callable[[Callable[..., None]], Callable[..., None]] = click.option(
    "--as-of",
    "as_of",
    default="",
    metavar="DAY",
    help="As at the end of a day gone by, 2024-05-31, with today's targets and arrangement.",
)


def read_day(text: str) -> date:
    """A day as 2024-05-31; raises BadEntry for anything else."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text.strip(), re.ASCII):
        try:
            return date.fromisoformat(text.strip())
        except ValueError:
            raise BadEntry(
                f"“{text}” is a day that no calendar has; write one that it has."
            ) from None
    raise BadEntry(f"“{text}” is no day; write year, month and day such as 2024-05-31.")


def day_gone_by(collection: "Collection", text: str) -> date | None:
    """The day of `--as-of` or `--since`, None where it was left out; raises BadEntry."""
    if not text:
        return None
    day = read_day(text)
    if day > collection.today:
        raise BadEntry(
            f"{day.isoformat()} is still to come; today is {collection.today.isoformat()}."
        )
    return day


@click.command()
@file_argument
@click.option(
    "--limit", type=click.IntRange(1), default=30, show_default=True, help="How many at most."
)
@click.option("--before", type=int, default=None, help="Only those before this entry.")
@as_json
def history(file: Path, limit: int, before: int | None, as_json: bool) -> None:
    """What was changed when, newest first; each with its number for undo --to."""
    with opened(file, read_only=True) as collection:
        entries = collection.entries(limit + 1, before)
    shown, more = entries[:limit], entries[limit:]
    rows = [_row(entry) for entry in shown] if as_json else [_line(entry) for entry in shown]
    write_rows(
        rows, as_json, "Nothing yet." if before is None else "Nothing is recorded before that."
    )
    if more and not as_json:
        click.echo(f"\nOlder ones: slotleaf history {as_typed(file)} --before {shown[-1].id}")


def _row(entry: "Entry") -> Row:
    return {
        "entry": entry.id,
        "at": entry.at.isoformat(timespec="seconds"),
        "label": entry.label,
        "is_undone": entry.is_undone,
        "is_settled": entry.is_settled,
        "run": entry.run,
        "rows": None if entry.is_settled else entry.rows,
    }


def _line(entry: "Entry") -> Row:
    remark = "undone" if entry.is_undone else "settled" if entry.is_settled else ""
    return {
        "entry": entry.id,
        "at": f"{entry.at.astimezone():%Y-%m-%d %H:%M}",
        "what": entry.label,
        "rows": "" if entry.is_settled else entry.rows,
        "remark": remark,
    }


@click.command()
@click.argument("copy", type=A_PATH)
@click.option("-o", "--output", required=True, type=A_PATH, help="The collection to restore.")
def restore(copy: Path, output: Path) -> None:
    """Put a copy in the place of a collection; the present file is kept beside it."""
    from core.app.restore import restore as put_back

    kept = put_back(copy, output)
    click.echo(f"Restored {output} from {copy}.")
    if kept is not None:
        back = f"slotleaf restore {as_typed(kept)} -o {as_typed(output)}"
        click.echo(f"What was there is kept in {kept}. To go back to it: {back}")


COMMANDS = (history, restore)
