"""`slotleaf weigh`: how many coins of a weighed pile are of one of two metals."""

from typing import TYPE_CHECKING

import click

from core.cli.show import Row, as_json, write_rows

if TYPE_CHECKING:
    from core.search.weighing import Metal


@click.command()
@click.option("--coins", required=True, type=int, metavar="N", help="How many coins lie there.")
@click.option("--grams", required=True, type=float, metavar="W", help="What they weigh together.")
@click.option("--of", "series_id", required=True, metavar="ID", help="The series of the coins.")
@click.option("--metals", default="", help="Two metals, the one to count first: copper,zinc.")
@click.option(
    "--scale", default=0.1, show_default=True, help="How far the scale may be off, in grams."
)
@click.option(
    "--wear",
    type=float,
    default=None,
    help="How far wear may have shifted the weight of all coins alike, in grams a coin; "
    "0.9 % of it where left out, which is assumed.",
)
@as_json
def weigh(
    coins: int,
    grams: float,
    series_id: str,
    metals: str,
    scale: float,
    wear: float | None,
    as_json: bool,
) -> None:
    """How many of a weighed pile are copper, or silver; with both parts of the spread."""
    from core.app.series_shelf import SeriesShelf
    from core.model.issue import SeriesId
    from core.search import weighing

    series = SeriesShelf().get(SeriesId(series_id))
    counted, other = weighing.two_metals(series, metals.split(","))
    pile = weighing.Pile(coins, grams, scale, wear)
    found = weighing.weigh(pile, counted, other)
    low, high = found.between
    caution = weighing.melting_caution(series, counted)
    if as_json:
        row: Row = {
            "counted": counted.title,
            "other": other.title,
            "coins": found.coins,
            "count": found.count,
            "chance": round(found.chance, 2),
            "shared_wear": round(found.wear, 2),
            "low": low,
            "high": high,
            "caution": caution,
        }
        write_rows([row], as_json, "")
        return
    if coins == 1:
        click.echo(_one(grams, weighing.one_coin(grams, (counted, other), scale)))
    else:
        click.echo(f"{counted.title}: {found.text}")
        reach = f"between {low:,} and {high:,}" if low < high else f"{low:,}"
        click.echo(f"{reach} of {coins:,} coins, the rest {other.title}")
    for note in (*found.notes, caution):
        if note:
            click.echo(note)


def _one(grams: float, fits: "tuple[Metal, ...]") -> str:
    """What one coin of this weight is by its tolerance."""
    if len(fits) == 1:
        return f"One coin of {grams:g} g is {fits[0].title} by its weight."
    lies = "fits both" if fits else "fits neither within its tolerance"
    return f"One coin of {grams:g} g {lies}: weight alone does not settle it."


COMMANDS = (weigh,)
