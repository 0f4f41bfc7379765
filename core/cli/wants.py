"""`slotleaf wants`: what is sought, on paper or for a phone, to carry to a show or a dealer."""

from pathlib import Path

import click

from core.cli.show import A_PATH, file_argument, opened
from core.cli.upgrades import read_budget


@click.command()
@file_argument
@click.option("-o", "--output", required=True, type=A_PATH, help="The PDF file to write.")
@click.option("--album", "names", multiple=True, metavar="ALBUM", help="This alone; again.")
@click.option("--budget", default="", metavar="AMOUNT", help="Only what is best within it.")
@click.option(
    "--aim", "aim_text", default="gaps", show_default=True,
    help="What a plan aims at: gaps, targets, points, keys, or mix:3,2,1.",
)  # fmt: skip
@click.option("--pin", type=int, multiple=True, metavar="NUMBER", help="Buy this; again.")
@click.option("--forbid", type=int, multiple=True, metavar="NUMBER", help="Not this; again.")
@click.option(
    "--ignore-pins", "is_bare", is_flag=True, help="Without what you pinned and forbade by hand."
)
@click.option("--time", "seconds", type=float, default=20.0, help="Seconds to plan for.")
@click.option(
    "--pay", "pay_text", default="hidden", show_default=True, metavar="HOW",
    help="How the most to pay is written: shown, hidden, or coded:WORD with a word of ten "
    "different letters, of which the first stands for 1 and the last for 0.",
)  # fmt: skip
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "a6", "phone"]),
    default="a4",
    show_default=True,
)
def wants(
    file: Path,
    output: Path,
    names: tuple[str, ...],
    budget: str,
    aim_text: str,
    pin: tuple[int, ...],
    forbid: tuple[int, ...],
    is_bare: bool,
    seconds: float,
    pay_text: str,
    paper: str,
) -> None:
    """Print a want list: every open slot, or with a budget what a plan buys."""
    from core.app.upgrades import plan_input
    from core.app.want_list import read_pay, want_lines, want_pdf, want_sheet
    from core.planning.aim import read_aim
    from core.planning.plan import plan
    from core.planning.quiet import quiet_output
    from core.printing.want_list import WantPaper
    from core.printing.whole_file import write_whole

    aim, pay = read_aim(aim_text), read_pay(pay_text)
    if pin and not budget:
        raise click.UsageError("--pin needs a --budget to plan with.")
    with opened(file, read_only=True) as collection:
        albums = [collection.find_album(name).id for name in names]
        found = plan_input(collection, albums, pin, forbid, with_choices=not is_bare)
        money = read_budget(budget, found.book.rules.base) if budget else None
        made = None
        if money is not None:
            with quiet_output():
                made = plan(found.given, money, aim, seconds)
        lines = want_lines(found, made)
        sheet = want_sheet(collection, found, lines, pay, made, money)
        data = want_pdf(sheet, WantPaper(paper), collection.today)
    write_whole(output, data, "PDF", "The want list")
    many = len(lines)
    click.echo(f"Wrote {output}: {many} coin{'' if many == 1 else 's'} sought.")
    for said in (*found.notes, *filter(None, [found.book.invented_text])):
        click.echo(f"{said}.")


COMMANDS = (wants,)
