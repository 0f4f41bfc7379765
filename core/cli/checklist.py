"""The command that prints a checklist."""

from pathlib import Path

import click

from core.cli.past import as_of_option, day_gone_by
from core.cli.show import A_PATH, file_argument, opened


@click.command()
@file_argument
@click.argument("album")
@click.option("-o", "--output", required=True, type=A_PATH, help="The PDF file to write.")
@click.option(
    "--list",
    "which",
    type=click.Choice(["open", "gaps", "below", "all", "spares"]),
    default="open",
    show_default=True,
    help="Gaps, what is below target, both (open), every slot, or the spares.",
)
@click.option(
    "--group",
    type=click.Choice(["leaf", "decade", "mint"]),
    default="leaf",
    show_default=True,
    help="What the rows stand under.",
)
@click.option(
    "--columns",
    default="",
    help="Any of variety, mintage, held, wanted, pieces, price, note, with commas between them; "
    "or none. All but the mintage if left.",
)
@click.option("--large-print", is_flag=True, help="Type of 16 points and more.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "a5", "index-card"]),
    default="a4",
    show_default=True,
)
@as_of_option
def checklist(
    file: Path,
    album: str,
    output: Path,
    which: str,
    group: str,
    columns: str,
    large_print: bool,
    paper: str,
    as_of: str,
) -> None:
    """Print a checklist of an album to a PDF file."""
    from core.app.checklists import ListGroup, ListName, left_out_text, list_columns
    from core.printing.checklist import DEFAULT_COLUMNS, Look, Paper
    from core.printing.pdf import checklist_left_out, checklist_pdf, write_pdf

    look = Look(list_columns(columns) if columns else DEFAULT_COLUMNS, large_print)
    sheet = Paper(paper)
    with opened(file, read_only=True) as collection:
        found = collection.find_album(album)
        day = day_gone_by(collection, as_of)
        listing = collection.checklist(found.id, ListName(which), as_of=day, group=ListGroup(group))
    write_pdf(output, checklist_pdf(listing, sheet, look))
    missing = checklist_left_out(listing, sheet, look)
    if text := left_out_text(missing, sheet):
        click.echo(text)
    if columns and missing.not_filled:
        click.echo(f"Nothing to tell in any row: {', '.join(missing.not_filled)}.")
    rows = sum(len(leaf.rows) for leaf in listing.leaves)
    told = f" as of {day.isoformat()}" if day else ""
    click.echo(f"Wrote {output}: {listing.list_name}{told}, {rows} lines.")


COMMANDS = (checklist,)
