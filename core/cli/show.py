"""What the commands share: opening a file, and writing a listing as a table or as JSON."""

import json
import os
import shlex
import subprocess
import sys
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from core.app.collection import Collection

Row = Mapping[str, str | int | float | bool | None]

# Whether a file can be read is told by whoever opens it, in the words of all its troubles.
A_PATH = click.Path(path_type=Path, readable=False)
as_json: Callable[[Callable[..., None]], Callable[..., None]] = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON array of flat objects."
)
file_argument: Callable[[Callable[..., None]], Callable[..., None]] = click.argument(
    "file", type=A_PATH
)


@contextmanager
def opened(file: Path, read_only: bool = False) -> Iterator["Collection"]:
    """Open a collection; reading works beside an open window. Tells if no daily copy was kept."""
    from core.app.collection import Collection

    with Collection.open(file, read_only=read_only) as collection:
        yield collection
        if collection.copy_trouble:
            click.echo(f"slotleaf: {collection.copy_trouble}", err=True)


def as_typed(file: Path) -> str:
    """A file's name as it can be typed in a command."""
    if os.name == "nt":
        return subprocess.list2cmdline([str(file)])
    return shlex.quote(str(file))


def write_rows(rows: Sequence[Row], as_json: bool, empty: str) -> None:
    """Print rows as a table with a head, or as JSON; `empty` is said where there are none."""
    if as_json:
        is_plain = "utf" not in (getattr(sys.stdout, "encoding", None) or "utf-8").lower()
        click.echo(json.dumps([dict(r) for r in rows], ensure_ascii=is_plain, indent=1))
        return
    if not rows:
        click.echo(empty)
        return
    heads = list(rows[0])
    table = [[h.replace("_", " ") for h in heads]]
    table += [[_text(row[h]) for h in heads] for row in rows]
    widths = [max(_cells(line[i]) for line in table) for i in range(len(heads))]
    for line in table:
        filled = (v + " " * (w - _cells(v)) for v, w in zip(line, widths, strict=True))
        click.echo("  ".join(filled).rstrip())


def _cells(text: str) -> int:
    """How many places of a console a text takes: two for a wide character, none for a mark."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def _text(value: str | float | None) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return f"{value:,}" if abs(value) >= 10_000 else str(value)
    return str(value)
