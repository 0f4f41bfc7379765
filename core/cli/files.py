"""Commands on whole files: demo, new, copy, check, undo, redo."""

from pathlib import Path

import click

from core.cli.show import A_PATH, Row, as_json, as_typed, file_argument, opened, write_rows
from core.errors import CollectionError, FileTrouble


@click.command()
@click.argument("file", type=A_PATH)
def demo(file: Path) -> None:
    """Write the demo collection: a harbour museum's donation jar."""
    from core.app.demo import write_demo

    write_demo(file)
    click.echo(f"Wrote the demo collection to {file}.")


@click.command()
@click.argument("file", type=A_PATH)
@click.option("--name", default="", help="What the collection is called; the file's name if left.")
def new(file: Path, name: str) -> None:
    """Make a new, empty collection."""
    from core.app.collection import make_collection

    make_collection(file, name.strip() or file.stem)
    click.echo(f"Made {file}. Next: slotleaf album new {as_typed(file)} NAME --series ID")


@click.command()
@file_argument
@click.option("-o", "--output", required=True, type=A_PATH, help="The file to write.")
def copy(file: Path, output: Path) -> None:
    """Save a verified copy under another name."""
    with opened(file, read_only=True) as collection:
        collection.copy_to(output)
    click.echo(f"Copied {file} to {output}.")


@click.command()
@file_argument
@as_json
def check(file: Path, as_json: bool) -> None:
    """Check a collection: the file, its journal, its placements, its texts and their letters."""
    with opened(file, read_only=True) as collection:
        faults = collection.check()
        signs = [] if faults else collection.unprintable()
    rows: list[Row] = [{"fault": fault, "is_damage": True} for fault in faults]
    rows += [{"fault": sign, "is_damage": False} for sign in signs]
    if as_json:
        write_rows(rows, as_json, "")
    else:
        click.echo("\n".join([*faults, *signs] if faults else [*signs, f"{file} is sound."]))
    if faults:
        raise FileTrouble(
            f"{file} has {len(faults)} fault{'' if len(faults) == 1 else 's'}; "
            "restore one of the daily copies beside it, or save a copy of what can be read."
        )


@click.command()
@file_argument
@click.option(
    "--to",
    "entry",
    type=click.IntRange(0),
    default=None,
    metavar="ENTRY",
    help="Back to the state right after this entry of the history; 0 is before the first.",
)
def undo(file: Path, entry: int | None) -> None:
    """Take back the newest change, or all that came after an entry of the history."""
    with opened(file) as collection:
        if entry is None:
            label = collection.undo()
            labels = [] if label is None else [label]
        else:
            labels = collection.undo_to(entry)
    if not labels:
        where = f"after entry {entry} " if entry else ""
        raise CollectionError(f"There is nothing to undo {where}in {file}.")
    for label in labels:
        click.echo(f"Undone: {label}.")


@click.command()
@file_argument
def redo(file: Path) -> None:
    """Do again what was undone last."""
    with opened(file) as collection:
        label = collection.redo()
    if label is None:
        raise CollectionError(f"There is nothing to redo in {file}.")
    click.echo(f"Done again: {label}.")


COMMANDS = (demo, new, copy, check, undo, redo)
