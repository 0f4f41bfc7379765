"""Commands on albums: list them, show their slots, put, take, fill."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.past import as_of_option, day_gone_by
from core.cli.show import Row, as_json, file_argument, opened, write_rows
from core.errors import BadEntry, Refused
from core.model.state import SlotState

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.views import AlbumView
    from core.model.album import AlbumId


@click.command("albums")
@file_argument
@as_of_option
@as_json
def list_albums(file: Path, as_of: str, as_json: bool) -> None:
    """The albums from the top of the shelf, with their counts."""
    with opened(file, read_only=True) as collection:
        day = day_gone_by(collection, as_of)
        albums = [album.id for album in collection.albums()]
        views = [_view_of(collection, album, day) for album in albums]
    rows = [_album_row(view, day, is_known) for view, is_known in views]
    if day and rows and not as_json:
        click.echo(f"{_as_of_text(day)}\n")
        rows = [_without_day(row) for row in rows]
    if not as_json:
        rows = _as_on_the_shelf(rows)
    write_rows(rows, as_json, "No albums yet. Next: slotleaf album new FILE NAME --series ID")


def _view_of(
    collection: "Collection", album: "AlbumId", day: date | None
) -> tuple["AlbumView", bool]:
    """An album as of a day, and whether spares and orders of then are known: those of today are."""
    present = collection.album_view(album)
    view = present if day is None else collection.album_view_on(album, day)
    return view, view is present


def _as_of_text(day: date) -> str:
    return f"As of {day.isoformat()}, with today's targets and arrangement."


def _without_day(row: Row) -> Row:
    """A row for the table, whose head tells the day."""
    return {key: value for key, value in row.items() if key != "as_of"}


def _as_on_the_shelf(rows: list[Row]) -> list[Row]:
    """Rows for the table: kind and volumes only where one is no plain album; volumes first."""
    has_kinds = any(row["kind"] != "holder" for row in rows)
    has_volumes = any(row["volumes"] for row in rows)
    out: list[Row] = []
    for row in rows:
        first: Row = {"volumes": row["volumes"]} if has_volumes else {}
        rest = {k: v for k, v in row.items() if k != "volumes" and (k != "kind" or has_kinds)}
        code, *others = str(row["series"]).split(", ")
        rest["series"] = f"{code} and {len(others)} more" if others else code
        out.append({**first, **rest})
    return out


def _album_row(view: "AlbumView", day: date | None, is_known: bool) -> Row:
    """One album; what is not recorded of a day gone by (orders, spares) is None."""
    head = view.headline
    states = {
        state.value.replace(" ", "_"): head.states.get(state, 0)
        for state in SlotState
        if state is not SlotState.NOT_STRUCK
    }
    row: dict[str, str | int | None] = {
        "name": view.album.name,
        "series": ", ".join(one.id for one in view.all_series),
        "have": head.have,
        "wanted": head.wanted,
        "at_target": head.at_target,
        **states,
        "spares_waiting": head.spares_waiting,
        "arrangement": view.album.arrangement.text,
        "kind": view.album.kind.value,
        "volumes": view.album.volumes,
    }
    if not is_known:
        row["on_order"] = row["spares_waiting"] = None
    return row | ({"as_of": day.isoformat()} if day else {})


ARRANGE_HELP = (
    "years-by-mints, running:9x5, by-decade, by-type, by-design, dates-only, or "
    'map:"9 9 9 8 / 10 10 9"; README.md lists what may follow.'
)


@click.group("album")
def album_group() -> None:
    """Make albums."""


@album_group.command("new")
@file_argument
@click.argument("name")
@click.option("--series", default="", help="A series id; see slotleaf series list.")
@click.option("--types", default="", help="Series ids a,b: one slot a design of each.")
@click.option("--year", type=int, help="A year set: the coins of this year of the --series a,b.")
@click.option("--each-mint", is_flag=True, help="In a year set, a slot for each mint.")
@click.option("--overview", is_flag=True, help="Show the best coin wherever it sits; hold none.")
@click.option("--years", default="", help="First and last year: 1938-1964.")
@click.option(
    "--mints",
    default="",
    help="Mints to hold: P,D, none for the one without a letter, or any for one slot a date.",
)
@click.option(
    "--varieties",
    type=click.Choice(["none", "main", "all"]),
    default="none",
    show_default=True,
    help="Which varieties get optional slots of their own.",
)
@click.option("--collectors", is_flag=True, help="Also issues that were sold to collectors only.")
@click.option("--target", default="", help="Least grade wanted in every slot: VF-20.")
@click.option("--arrange", default="", help=ARRANGE_HELP)
def new_album(
    file: Path,
    name: str,
    series: str,
    types: str,
    year: int | None,
    each_mint: bool,
    overview: bool,
    years: str,
    mints: str,
    varieties: str,
    collectors: bool,
    target: str,
    arrange: str,
) -> None:
    """Make a new album at the bottom of the shelf: of one series, of types, or of a year."""
    from core.app.across import add_album_across
    from core.app.operations import add_album
    from core.model.album import AlbumKind, parse_target
    from core.model.arrangement import PLAIN, ArrangementKind, parse_arrangement
    from core.model.issue import SeriesId
    from core.model.plan_across import AcrossPlan, without_that_year
    from core.model.plan_album import AlbumPlan, Varieties

    codes = _read_across(series, types, year, each_mint, years or mints or varieties != "none")
    kind = AlbumKind.OVERVIEW if overview else AlbumKind.HOLDER
    left_out = []
    with opened(file) as collection:
        shape = parse_arrangement(arrange) if arrange else None
        known = [collection.series(SeriesId(code)) for code in codes or [series]]
        if codes:
            across = AcrossPlan(
                tuple(one.id for one in known),
                year,
                each_mint,
                parse_target(target),
                with_collectors=collectors,
            )
            done = collection.run(add_album_across(name, across, shape, kind))
            if year is not None:
                left_out = without_that_year(known, year, with_collectors=collectors)
        else:
            if shape is not None and shape.kind is ArrangementKind.DATES_ONLY:
                mints = mints or "any"
            plan = AlbumPlan(
                read_years(years),
                read_mints(mints, [m.id for m in known[0].mints]),
                Varieties(varieties),
                parse_target(target),
                with_collectors=collectors,
            )
            done = collection.run(add_album(name, known[0].id, plan, shape or PLAIN, kind))
        if done.made_album is None:
            raise BadEntry("The album was not made.")
        view = collection.album_view(done.made_album)
    for one in left_out:
        click.echo(f"{one.title}: none in {year}.")
    click.echo(
        f"Made {view.album.name}: {_count(len(view.slots), 'slot', 'slots')} on "
        f"{_count(len(view.leaves), 'leaf', 'leaves')}, "
        f"{view.headline.text}."
    )


def _read_across(
    series: str, types: str, year: int | None, each_mint: bool, is_of_one: object
) -> list[str]:
    """The series of an album across series, as typed; [] for an album of one series."""
    if bool(types) + (year is not None) > 1 or (types and series):
        raise click.UsageError("Give --series ID, --types a,b, or --year with --series a,b.")
    if not types and not series:
        raise click.UsageError("Name a series with --series, or several with --types.")
    if each_mint and year is None:
        raise click.UsageError("--each-mint goes with --year.")
    if not types and year is None:
        return []
    if is_of_one:
        raise click.UsageError("--years, --mints and --varieties go with one series.")
    return [code.strip() for code in (types or series).split(",") if code.strip()]


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def read_years(text: str) -> tuple[int, int] | None:
    """First and last year as typed, None for all; raises BadEntry."""
    if not text.strip():
        return None
    first, _, last = text.replace("–", "-").partition("-")
    last = last or first
    if not (first.strip().isdecimal() and last.strip().isdecimal()):
        raise BadEntry(f"“{text}” is no span of years; write for example 1938-1964.")
    if int(first) > int(last):
        raise BadEntry(f"“{text}” runs backwards; write the earlier year first.")
    return int(first), int(last)


def read_mints(text: str, known: list[str]) -> tuple[str, ...]:
    """Mints as typed, by their ids; () for all, ("any",) for one slot a date; raises BadEntry.

    `none` is the mint to which the trade gives no letter.
    """
    chosen = tuple(m.strip() for m in text.split(",") if m.strip())
    by_name = {(m or "none").casefold(): m for m in known}
    if [m.casefold() for m in chosen] == ["any"]:
        return ("any",)
    for mint in chosen:
        if mint.casefold() not in by_name:
            there = ", ".join(m or "none" for m in known)
            raise BadEntry(f"“{mint}” is no mint of this series; choose from {there}.")
    return tuple(by_name[m.casefold()] for m in chosen)


@click.command("slots")
@file_argument
@click.argument("album")
@as_of_option
@as_json
def list_slots(file: Path, album: str, as_of: str, as_json: bool) -> None:
    """Every slot of an album: where it lies, its state, grade, target and marks."""
    with opened(file, read_only=True) as collection:
        day = day_gone_by(collection, as_of)
        view, _ = _view_of(collection, collection.find_album(album).id, day)
    rows: list[Row] = []
    for slot in view.slots:
        leaf, row, column = view.places[slot.slot.id]
        rows.append(
            {
                "leaf": leaf,
                "row": row,
                "column": column,
                "label": slot.slot.label,
                "state": slot.state.value,
                "grade": slot.coin.grade.text if slot.coin and slot.coin.grade else "",
                "target": slot.slot.target.text if slot.slot.target else "",
                "marks": ", ".join(sorted(m.value for m in slot.marks)),
                "wish": slot.slot.wish.value,
                "coin": int(slot.coin.id) if slot.coin else None,
                **({"as_of": day.isoformat()} if day else {}),
            }
        )
    if not as_json:
        rows = [{**_without_day(row), "coin": row["coin"] or ""} for row in rows]
        click.echo(f"{view.album.name}: {view.headline.whole_text}")
        click.echo(f"{_as_of_text(day)}\n" if day else "")
    write_rows(rows, as_json, "This album has no slots.")


@click.command()
@file_argument
@click.argument("album")
@click.argument("slot")
@click.argument("coin", type=int)
def put(file: Path, album: str, slot: str, coin: int) -> None:
    """Put a coin, by its number, in a slot, by its label; a coin there comes out."""
    from core.app.operations import place_coin
    from core.model.coin import CoinId

    with opened(file) as collection:
        found = collection.find_album(album)
        hole = collection.find_slot(found, slot)
        collection.run(place_coin(CoinId(coin), hole.id))
        view = collection.album_view(found.id)
    click.echo(
        f"Put coin {coin} in {view.album.name}, {hole.label}: "
        f"{view.by_id[hole.id].state}; {view.headline.text}."
    )


@click.command()
@file_argument
@click.argument("album")
@click.argument("slot")
def take(file: Path, album: str, slot: str) -> None:
    """Take the coin out of a slot; it becomes a spare."""
    from core.app.operations import clear_slots

    with opened(file) as collection:
        found = collection.find_album(album)
        hole = collection.find_slot(found, slot)
        collection.run(clear_slots([hole.id]))
        view = collection.album_view(found.id)
    click.echo(f"Took the coin out of {view.album.name}, {hole.label}; {view.headline.text}.")


@click.command()
@file_argument
@click.option("--album", default="", help="Fill only this album; all of them if left.")
@click.option("--accept", is_flag=True, help="Carry the proposal out; it is one undo.")
@as_json
def fill(file: Path, album: str, accept: bool, as_json: bool) -> None:
    """Propose which coin goes where; nothing moves without --accept."""
    from core.app.fill_lines import compare_lines, fill_lines
    from core.app.operations import apply_fill
    from core.fill.proposal import propose
    from core.model.album import AlbumKind

    with opened(file, read_only=not accept) as collection:
        found = collection.find_album(album) if album else None
        if found is not None and found.kind is AlbumKind.OVERVIEW:
            raise Refused(
                f"{found.name} is an overview: it shows coins wherever they sit and holds none. "
                "Fill the albums that hold coins."
            )
        chosen = [found.id] if found is not None else []
        given = collection.fill_input(chosen)
        proposal = propose(given)
        lines = fill_lines(collection, proposal)
        by_eye = compare_lines(collection, proposal)
        if accept and proposal.moves:
            collection.run(apply_fill([(m.slot, m.coin) for m in proposal.moves]))
    rows: list[Row] = [
        {
            "album": line.album,
            "slot": line.label,
            "coin": int(line.coin),
            "what": line.coin_text,
            "from": line.from_text.removeprefix("from "),
            "leaving": line.leaving_text,
            "aim": line.aim,
            "reason": line.reason,
            "is_move": True,
        }
        for line in lines
    ]
    looks: list[Row] = [
        {
            "album": line.album,
            "slot": line.label,
            "coin": int(line.newcomer),
            "what": line.newcomer_text,
            "from": "",
            "leaving": line.held_text,
            "aim": "compare by eye",
            "reason": line.reason,
            "is_move": False,
        }
        for line in by_eye
    ]
    if as_json:
        write_rows([*rows, *looks], as_json, "")
        return
    shown = [{k: v for k, v in row.items() if k not in ("coin", "is_move")} for row in rows]
    write_rows(shown, as_json, "Nothing to move: every coin is where it does most.")
    for look in looks:
        click.echo(
            f"Compare by eye: {look['album']}, {look['slot']} holds {look['leaving']}; "
            f"beside it {look['what']}."
        )
    if rows:
        click.echo("Done." if accept else "Nothing moved yet; add --accept to carry it out.")


COMMANDS = (list_albums, list_slots, put, take, fill)
