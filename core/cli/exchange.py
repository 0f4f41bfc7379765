"""Commands on coins sheets: take coins in from a CSV file, write them out to one."""

from pathlib import Path

import click

from core.cli.show import A_PATH, file_argument, opened
from core.errors import CollectionError

_DRY_ROWS = 10  # rows that a dry run shows


@click.command("import")
@file_argument
@click.argument("sheet", type=A_PATH, metavar="COINS.csv")
@click.option("--dry-run", is_flag=True, help="Say what would come; change nothing.")
@click.option("--new-numbers", is_flag=True, help="Leave the sheet's numbers aside.")
def import_sheet(file: Path, sheet: Path, dry_run: bool, new_numbers: bool) -> None:
    """Take in coins from a sheet, all or none; README.md lists the columns.

    A sheet made by hand needs one column alone, coin, with entry lines such as 1943-D vf20. All
    faulty rows are listed with line and reason on standard error.
    """
    from core.app.exchange import coming_text, faulty_text, import_coins
    from core.app.exchange_sheet import sheet_text

    text = sheet_text(sheet)
    with opened(file, read_only=dry_run) as collection:
        draft = collection.read_sheet(text, renumber=new_numbers)
        for note in draft.notes:
            click.echo(f"slotleaf: {note}", err=True)
        for fault in draft.faults:
            click.echo(f"slotleaf: {sheet.name}, {fault.text}", err=True)
        if draft.faults:
            raise CollectionError(
                f"Nothing was imported: {faulty_text(draft)}. Put the sheet right and import it "
                "again."
            )
        if not draft.rows:
            return
        if dry_run:
            click.echo("Would come: " + "; ".join(coming_text(draft)) + ". Nothing was changed.")
            for row in collection.coming_rows(draft, _DRY_ROWS):
                click.echo(f"  line {row.line}: {row.text}")
            if len(draft.rows) > _DRY_ROWS:
                click.echo(f"  and {len(draft.rows) - _DRY_ROWS:,} rows more")
            return
        collection.run(import_coins(draft))
    click.echo("Imported: " + "; ".join(coming_text(draft)) + ".")


@click.command("export")
@file_argument
@click.option(
    "-o", "--output", required=True, type=A_PATH, help="The CSV file to write; - for the screen."
)
def export_sheet(file: Path, output: Path) -> None:
    """Write every coin with its place and past to a sheet that import reads back."""
    with opened(file, read_only=True) as collection:
        if str(output) == "-":
            for line in collection.coins_sheet().lines():
                click.echo(line.encode("utf-8"), nl=False)
            return
        rows = collection.export_coins(output)
    click.echo(f"Wrote {output}: {rows:,} row{'' if rows == 1 else 's'} of coins.")


COMMANDS = (import_sheet, export_sheet)
