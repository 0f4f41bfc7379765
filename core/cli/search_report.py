"""Commands at the end of a box and for the table: finish it, its report, sheets to print."""

from pathlib import Path

import click

from core.cli.show import A_PATH, file_argument, opened

_PAPERS = click.Choice(["a4", "letter", "a5"])
paper_option = click.option("--paper", type=_PAPERS, default="a4", show_default=True)


@click.command()
@file_argument
@click.argument("box")
@click.option(
    "--rest",
    type=click.Choice(["spare", "lot", "bank"]),
    default="spare",
    show_default=True,
    help="What becomes of finds that go into no album.",
)
@click.option("--accept", is_flag=True, help="Do it; without, it is only told.")
def finish(file: Path, box: str, rest: str, accept: bool) -> None:
    """Fill with the finds of a box, send the rest their way, and mark it done: one undo."""
    from core.app.fill_lines import fill_lines
    from core.app.finish_box import Way, finish_box, finish_proposal, finish_task, totals

    with opened(file, read_only=not accept) as collection:
        found = collection.log.find_box(box)
        task = finish_task(collection, found.id)
        proposal = finish_proposal(task)
        for line in fill_lines(collection, proposal):
            out = f", out: {line.leaving_text}" if line.leaving_text else ""
            click.echo(f"{line.album}, {line.label}: {line.coin_text}{out}. {line.reason}")
        ways = {line.coin.id: Way(rest) for line in task.rest(proposal)}
        if accept:
            pairs = [move.pair for move in proposal.moves]
            collection.run(finish_box(found.id, pairs, ways))
    told = totals(task, proposal, ways).text
    if accept:
        click.echo(f"Finished box {found.number}: {told}.")
    else:
        click.echo(f"Box {found.number}: {told}. Nothing was done; add --accept to do it.")


@click.command()
@file_argument
@click.argument("box")
@click.option("-o", "--output", required=True, type=A_PATH, help="A .pdf, .md or .png to write.")
@click.option("--private", is_flag=True, help="Tell where it is from, its cost and notes too.")
@paper_option
def report(file: Path, box: str, output: Path, private: bool, paper: str) -> None:
    """What a box changed, its tallies, records and finds, ready to share."""
    from core.app.box_report import box_report, report_kind, write_report
    from core.printing.checklist import Paper

    kind = report_kind(output)
    with opened(file, read_only=True) as collection:
        found = collection.log.find_box(box)
        told = box_report(collection, found.id, private)
    write_report(output, told, kind, Paper(paper))
    click.echo(f"Wrote {output}: {told.title}. {told.summary}")


@click.command()
@file_argument
@click.argument("album")
@click.option("-o", "--output", required=True, type=A_PATH, help="The PDF file to write.")
@click.option(
    "--kind",
    type=click.Choice(["closer", "tally"]),
    required=True,
    help="What to look closer at, or a blank sheet to tally on.",
)
@click.option("--box", default="", help="Rolls and tallies of this box; of a usual one if left.")
@paper_option
def sheet(file: Path, album: str, output: Path, kind: str, box: str, paper: str) -> None:
    """A sheet for the sorting table, from the open slots of an album."""
    from core.app.table_sheets import SheetKind, sheet_pdf
    from core.printing.checklist import Paper
    from core.printing.whole_file import write_whole

    with opened(file, read_only=True) as collection:
        found = collection.find_album(album)
        at = collection.log.find_box(box).id if box else None
        data = sheet_pdf(collection, SheetKind(kind), found.id, at, Paper(paper))
    write_whole(output, data, "PDF", "The sheet")
    click.echo(f"Wrote {output} for {found.name}.")


COMMANDS = (finish, report, sheet)
