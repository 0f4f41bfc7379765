"""Commands that change an album that is there: edit what it holds, move it on the shelf."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.albums import ARRANGE_HELP, album_group, read_mints, read_years
from core.cli.show import file_argument, opened
from core.errors import BadEntry, Refused

if TYPE_CHECKING:
    from core.app.album_edit import AlbumEdit, EditChoice
    from core.app.views import AlbumView


@album_group.command("edit")
@file_argument
@click.argument("album")
@click.option("--name", default=None, help="Another name.")
@click.option("--years", default=None, help="First and last year: 1938-1964; all for the series.")
@click.option("--mints", default=None, help="P,D; any for one slot a date; all for every mint.")
@click.option(
    "--varieties",
    type=click.Choice(["none", "main", "all"]),
    default=None,
    help="Which varieties have optional slots of their own.",
)
@click.option(
    "--collectors/--no-collectors",
    default=None,
    help="Also issues that were sold to collectors only, or not.",
)
@click.option("--target", default=None, help="VF-20, or none. Slots with their own keep it.")
@click.option("--arrange", default=None, help=ARRANGE_HELP)
@click.option("--note", default=None, help="What is written of the album.")
@click.option("--series", default=None, help="Across series: its series from now on, a,b.")
@click.option("--year", type=int, help="The year of a year set.")
@click.option("--each-mint/--any-mint", default=None, help="A slot for each mint of a year set.")
@click.option("--drop-coins", is_flag=True, help="Coins whose slot goes become spares.")
def edit_command(
    file: Path,
    album: str,
    name: str | None,
    years: str | None,
    mints: str | None,
    varieties: str | None,
    collectors: bool | None,
    target: str | None,
    arrange: str | None,
    note: str | None,
    series: str | None,
    year: int | None,
    each_mint: bool | None,
    drop_coins: bool,
) -> None:
    """Change an album; coins keep their slots where the slot stays.

    What is not given stays as it is. Without --drop-coins nothing is done where a coin would fall
    out of its slot; the coins are named instead.
    """
    from core.app.album_edit import edit_album, falling_text, plan_edit, present_choice

    with opened(file) as collection:
        view = collection.album_view(collection.find_album(album).id)
        now = _across_chosen(present_choice(view), series, year, each_mint)
        one_only = (years, mints, varieties)
        if now.across is not None and any(text is not None for text in one_only):
            raise Refused(
                f"{view.album.name} is an album across series; change it by --series, --year "
                "and --each-mint."
            )
        choice = replace(
            _chosen(view, now, years, mints, varieties, collectors, target, arrange),
            name=now.name if name is None else name,
            note=now.note if note is None else note,
        )
        more = [collection.series(code) for code in choice.across.series] if choice.across else []
        edit = plan_edit(view, choice, more=more)
        falling = edit.falling_out
        if falling and not drop_coins:
            coins = "A coin" if len(falling) == 1 else f"{len(falling)} coins"
            raise Refused(
                f"{coins} would fall out of {view.album.name}: {falling_text(falling)}. "
                "Nothing was changed; add --drop-coins to make them spares."
            )
        collection.run(edit_album(view.album.id, choice, [f.coin for f in falling]))
        after = collection.album_view(view.album.id)
    click.echo(f"{after.album.name}: {_done_text(edit)}; {after.headline.text}.")


def _across_chosen(
    now: "EditChoice", series: str | None, year: int | None, each_mint: bool | None
) -> "EditChoice":
    """The choice with what was typed of an album across series; refused of any other."""
    from core.model.issue import SeriesId

    if series is None and year is None and each_mint is None:
        return now
    across = now.across
    if across is None:
        raise Refused(
            f"{now.name} is an album of one series; --series, --year and --each-mint are for "
            "albums across series."
        )
    if (year is not None or each_mint is not None) and across.is_types:
        raise Refused(f"{now.name} is a type album, so it has no year; make a year set of it anew.")
    if series is not None:
        codes = tuple(SeriesId(code.strip()) for code in series.split(",") if code.strip())
        across = replace(across, series=codes)
    if year is not None:
        across = replace(across, year=year)
    if each_mint is not None:
        across = replace(across, each_mint=each_mint)
    return replace(now, across=across)


def _chosen(
    view: "AlbumView",
    now: "EditChoice",
    years: str | None,
    mints: str | None,
    varieties: str | None,
    collectors: bool | None,
    target: str | None,
    arrange: str | None,
) -> "EditChoice":
    """The choice with what was typed in place of what is."""
    from core.model.album import parse_target
    from core.model.arrangement import parse_arrangement
    from core.model.plan_album import Varieties

    plan, arrangement = now.plan, now.arrangement
    if years is not None:
        plan = replace(plan, years=read_years("" if years.strip().lower() == "all" else years))
    if mints is not None:
        known = [mint.id for mint in view.series.mints]
        every = mints.strip().lower() == "all"
        plan = replace(plan, mints=() if every else read_mints(mints, known))
    if varieties is not None:
        plan = replace(plan, varieties=Varieties(varieties))
    if collectors is not None:
        plan = replace(plan, with_collectors=collectors)
    if target is not None:
        plan = replace(plan, target=parse_target(target))
    if arrange is not None:
        arrangement = parse_arrangement(arrange, arrangement.show_p)
    across = now.across
    if across is not None:
        if collectors is not None:
            across = replace(across, with_collectors=collectors)
        if target is not None:
            across = replace(across, target=plan.target)
    return replace(now, plan=plan, arrangement=arrangement, across=across)


def _done_text(edit: "AlbumEdit") -> str:
    """70 slots, 12 added, 5 dropped, 2 coins now spares."""
    many = len(edit.slots)
    words = [f"{many} slot{'' if many == 1 else 's'}"]
    if edit.added:
        words.append(f"{len(edit.added)} added")
    if edit.dropped:
        words.append(f"{len(edit.dropped)} dropped")
    if fallen := len(edit.falling_out):
        words.append("1 coin now a spare" if fallen == 1 else f"{fallen} coins now spares")
    return ", ".join(words)


@album_group.command("order")
@file_argument
@click.argument("album")
@click.option("--up", is_flag=True, help="One place up.")
@click.option("--down", is_flag=True, help="One place down.")
@click.option("--to", "place", type=click.IntRange(min=1), help="To this place, 1 the topmost.")
def order_command(file: Path, album: str, up: bool, down: bool, place: int | None) -> None:
    """Move an album on the shelf; give one of --up, --down and --to."""
    from core.app.operations import move_album

    if up + down + (place is not None) != 1:
        raise click.UsageError("Give one of --up, --down and --to N.")
    with opened(file) as collection:
        found = collection.find_album(album)
        last = len(collection.albums()) - 1
        to = place - 1 if place is not None else found.shelf + (1 if down else -1)
        if place is not None and to > last:
            raise BadEntry(f"The shelf has {last + 1} albums; there is no place {place}.")
        to = max(0, min(to, last))
        if to != found.shelf:
            collection.run(move_album(found.id, to))
        names = [one.name for one in collection.albums()]
    for number, name in enumerate(names, 1):
        click.echo(f"{number}  {name}")


COMMANDS = (album_group,)
