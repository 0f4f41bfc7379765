"""`slotleaf upgrades`: what to buy or swap next, the best plan within a budget, the curve."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.show import A_PATH, Row, as_json, file_argument, opened, write_rows
from core.errors import BadEntry
from core.model.money import money_text, read_money

if TYPE_CHECKING:
    from core.app.plan_pages import About
    from core.app.upgrades import Buyable, UpgradeRow, Upgrades
    from core.planning.aim import Aim
    from core.planning.curve import Curve
    from core.planning.plan import Plan


@click.command()
@file_argument
@click.option("--album", "names", multiple=True, metavar="ALBUM", help="This alone; again.")
@click.option("--budget", default="", metavar="AMOUNT", help="Plan the best purchases within it.")
@click.option(
    "--aim", "aim_text", default="gaps", show_default=True,
    help="gaps, targets, points, keys, or mix:3,2,1 for gaps, targets and points.",
)  # fmt: skip
@click.option("--curve", "is_curve", is_flag=True, help="What each further amount buys.")
@click.option("-o", "--output", type=A_PATH, help="Draw the curve, with its table, as a PDF file.")
@click.option("--paper", type=click.Choice(["a4", "letter", "a5"]), default="a4", show_default=True)
@click.option("--pin", type=int, multiple=True, metavar="NUMBER", help="Buy this; again.")
@click.option("--forbid", type=int, multiple=True, metavar="NUMBER", help="Not this; again.")
@click.option(
    "--ignore-pins", "is_bare", is_flag=True, help="Without what you pinned and forbade by hand."
)
@click.option("--time", "seconds", type=float, default=20.0, help="Seconds to plan for.")
@as_json
def upgrades(
    file: Path,
    names: tuple[str, ...],
    budget: str,
    aim_text: str,
    is_curve: bool,
    output: Path | None,
    paper: str,
    pin: tuple[int, ...],
    forbid: tuple[int, ...],
    is_bare: bool,
    seconds: float,
    as_json: bool,
) -> None:
    """Slot by slot what would better it; with a budget, the best set of purchases and swaps."""
    from core.app.plan_pages import About
    from core.app.upgrades import plan_input
    from core.planning.aim import read_aim
    from core.planning.curve import curve
    from core.planning.plan import plan
    from core.planning.quiet import quiet_output

    aim = read_aim(aim_text)
    if output is not None and not is_curve:
        raise click.UsageError("-o draws the curve: say --curve as well.")
    with opened(file, read_only=True) as collection:
        if not collection.albums() and not as_json and output is None:
            click.echo(f"There are no albums yet. Next: slotleaf album new {file} NAME --series ID")
            return
        albums = [collection.find_album(name).id for name in names]
        found = plan_input(collection, albums, pin, forbid, with_choices=not is_bare)
        base = found.book.rules.base
        if is_curve:
            with quiet_output():
                told = curve(found.given, aim.shown, seconds)
            if as_json or output is None:
                rows = _curve_rows(found, aim, told)
                write_rows(rows, as_json, "Nothing that is priced is left.")
            if output is not None:
                money = read_budget(budget, base) if budget else None
                said = _draw_curve(output, paper, About(collection.name, found), aim, told, money)
                if not as_json:
                    click.echo(said)
        elif budget:
            with quiet_output():
                made = plan(found.given, read_budget(budget, base), aim, seconds)
            nothing = (
                "Nothing within the budget betters a slot."
                if found.buys
                else "Nothing has a price yet. Next: slotleaf prices add, or slotleaf offer"
            )
            write_rows(_plan_rows(found, made), as_json, nothing)
            if not as_json:
                for line in _plan_lines(found, made, aim):
                    click.echo(line)
        else:
            open_rows = [row for row in found.rows if row.is_open]
            rows = [_row(found, row) for row in open_rows]
            write_rows(rows, as_json, "Every slot is at its target.")
        if not as_json:
            invented = found.book.invented_text
            for said in (*found.notes, *([invented] if invented else [])):
                click.echo(f"{said}.")


def read_budget(text: str, currency: str) -> int:
    """An amount to spend, in minor units; raises BadEntry for none, and for one below zero."""
    minor = read_money(text, currency)
    if minor < 0:
        raise BadEntry(f"“{text}” is below zero; write what there is to spend, such as 250.")
    return minor


def _money(found: "Upgrades", minor: int | None) -> str | None:
    return None if minor is None else money_text(minor, found.book.rules.base)


def _row(found: "Upgrades", row: "UpgradeRow") -> Row:
    """A slot, a spare that would better it (0: none) and its next useful purchase.

    That is the one pinned, else the cheapest that is not forbidden.
    """
    from core.planning.wants import is_marked

    given, slot = found.given, row.slot.slot.id
    pinned = [one for one in row.steps if is_marked(given.pinned, one.buy.id, slot)]
    may_be = [one for one in row.steps if not is_marked(given.forbidden, one.buy.id, slot)]
    step = next(iter([*pinned, *may_be]), None)
    marks = ["pinned"] if pinned else []
    marks += step.buy.told.marks if step and step.buy.told else ()
    coin = row.slot.coin
    return {
        "album": row.album_name,
        "slot": row.slot.label,
        "state": str(row.slot.state),
        "holds": (coin.grade.text if coin.grade else "no grade") if coin else "",
        "target": row.slot.slot.target.text if row.slot.slot.target else "",
        "spare": row.spare.id if row.spare else 0,
        "number": str(step.buy.id) if step else "",
        "next": step.buy.name if step else "",
        "costs": (_money(found, step.buy.cost) if step else None) or "not priced",
        "gains": step.points if step else 0,
        "useful": len(row.steps),
        "brings": _money(found, row.brings) or "",
        "marks": ", ".join(marks),
    }


def _plan_rows(found: "Upgrades", made: "Plan") -> list[Row]:
    """The moves for nothing first, then the purchases by slot."""
    slots: dict[int, UpgradeRow] = {row.slot.slot.id: row for row in found.rows}
    rows: list[Row] = []
    for moved in made.moves:
        row = slots[moved.to_slot]
        home = None if moved.from_slot is None else slots.get(moved.from_slot)
        coin = found.coin(moved.coin)
        rows.append(
            {
                "do": "move",
                "album": row.album_name,
                "slot": row.slot.label,
                "coin": f"coin {found.number(moved.coin)}"
                + (f" {coin.grade.text}" if coin.grade else ""),
                "from": f"{home.album_name}, {home.slot.label}" if home else "the spares",
                "costs": _money(found, 0),
                "points": moved.points,
                "number": "",
            }
        )
    for bought in made.purchases:
        row = slots[bought.slot]
        buy = found.buys[bought.purchase]
        rows.append(
            {
                "do": "buy",
                "album": row.album_name,
                "slot": row.slot.label,
                "coin": buy.name,
                "from": buy.where or ("an offer" if buy.offer else _of_list(buy)),
                "costs": _money(found, bought.cost),
                "points": bought.points,
                "number": str(bought.purchase),
            }
        )
    return rows


def _of_list(buy: "Buyable") -> str:
    """your list, in between: what the price rests on."""
    return ", ".join(("your list", *(buy.told.marks if buy.told else ())))


def _plan_lines(found: "Upgrades", made: "Plan", aim: "Aim") -> Sequence[str]:
    base = found.book.rules.base
    proof = (
        "proven best"
        if made.is_proven
        else f"not proven: one could be better by up to {made.gap:.1%} of what it could reach"
    )
    gains = made.gains
    said = [
        f"Spent {_money(found, made.spent)} {base}: {_many(gains.gaps, 'gap')} closed, "
        f"{_many(gains.targets, 'target')} met, {_many(gains.points, 'grade point')}; {proof}."
    ]
    if made.freed:
        may = f", which may bring {_money(found, made.brings)} {base}" if made.brings else ""
        said.append(f"{_many(len(made.freed), 'coin')} freed{may}.")
    return (*said, aim.words)


def _many(count: int, what: str) -> str:
    """1 gap; 12 gaps."""
    return f"{count:,} {what}{'' if count == 1 else 's'}"


def _curve_rows(found: "Upgrades", aim: "Aim", told: "Curve") -> list[Row]:
    return [
        {
            "spent": _money(found, step.spent),
            "figure": step.figure / aim.unit if aim.unit > 1 else step.figure,
            "is_exact": told.is_complete and told.is_proven,
        }
        for step in told.steps
    ]


def _draw_curve(
    output: Path, paper: str, about: "About", aim: "Aim", told: "Curve", budget: int | None
) -> str:
    """Write the curve as a PDF file; gives what is said of it."""
    from core.app.plan_pages import curve_pdf, curve_sheet
    from core.planning.drawn import counted
    from core.printing.checklist import Paper
    from core.printing.whole_file import write_whole

    pins = "in every step, whatever they gain" if about.found.given.pinned else ""
    sheet = curve_sheet(about, aim, told, budget, pins=pins)
    data = curve_pdf(sheet, Paper(paper), about.found.book.today)
    write_whole(output, data, "PDF", "The curve")
    if sheet.is_empty:
        return f"Wrote {output}: nothing that is priced is left."
    end = sheet.drawn.stairs[-1]
    most = counted(end.figure, sheet.drawn.figure)
    spent = about.found.book.told(end.across)
    return f"Wrote {output}: at most {most} for {spent}."


COMMANDS = (upgrades,)
