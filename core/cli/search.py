"""Commands of the search log: begin a box, list and show what there is, log entries."""

from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from core.cli import search_report
from core.cli.show import Row, as_json, as_typed, file_argument, opened, write_rows
from core.model.search import BoxKind

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.search_views import CampaignView
    from core.model.search import Search
    from core.search.packaging import Packaging

KINDS = {"circulated": BoxKind.CIRCULATED, "new": BoxKind.NEW, "mixed": BoxKind.MIXED,
         "own": BoxKind.OWN}  # fmt: skip


@click.group("search")
def search_group() -> None:
    """Searches: campaigns, their boxes of rolls, what was kept and counted in them."""


@search_group.command("new")
@file_argument
@click.option("--campaign", default="", help="Its name; begun where there is none of it.")
@click.option("--search", "name", default="", help="Its name; the campaign's last one if left.")
@click.option("--of", "denomination", default="", metavar='"US 1c"', help="What the box holds.")
@click.option("--rolls", type=int, help="Rolls of the box; as usual for what it holds if left.")
@click.option("--per-roll", type=int, help="Coins of a roll; as usual if left.")
@click.option("--goal", default="", metavar="ALBUM", help="The album a new campaign is for.")
@click.option("--series", multiple=True, metavar="ID", help="Ask about this series alone; again.")
@click.option("--nothing-before", type=int, metavar="YEAR", help="Earlier dates are not asked.")
@click.option("--from", "came_from", default="", help="Where the box is from.")
@click.option("--wrapper", default="", help="How the rolls are wrapped.")
@click.option("--kind", type=click.Choice(list(KINDS)), default="circulated", show_default=True)
@click.option("--number", type=int, default=0, help="The box's number; the next one if left.")
@click.option("--fees", default="", metavar="AMOUNT", help="What the box cost beyond its face.")
@click.option("--goes-to", default="", help="Where the searched coin goes.")
@click.option("--boxes-before", type=click.IntRange(0), default=0, help="Boxes before this log.")
@click.option("--coins-before", type=click.IntRange(0), default=0, help="Coins before this log.")
@click.option("--have-before", default="", metavar="N/M", help="Slots filled of those wanted then.")
def new(
    file: Path,
    campaign: str,
    name: str,
    denomination: str,
    rolls: int | None,
    per_roll: int | None,
    goal: str,
    series: tuple[str, ...],
    nothing_before: int | None,
    came_from: str,
    wrapper: str,
    kind: str,
    number: int,
    fees: str,
    goes_to: str,
    boxes_before: int,
    coins_before: int,
    have_before: str,
) -> None:
    """Begin a box, and its campaign and search where they are new: one undo."""

    from core.app.search_orders import add_box
    from core.errors import Refused
    from core.model.issue import SeriesId
    from core.model.search import Box, BoxId, Campaign, CampaignId, Search, SearchId
    from core.search.packaging import packaging

    with opened(file) as collection:
        under = _campaign(collection, campaign)
        opening = (goal, boxes_before, coins_before, have_before)
        new_campaign: Campaign | None = None
        if under is None:
            have, wanted = _n_of_m(have_before)
            album = collection.find_album(goal).id if goal else None
            new_campaign = Campaign(
                CampaignId(0), campaign, album, "", boxes_before, coins_before, have, wanted
            )
        elif any(opening):
            raise Refused(
                f"The campaign {under.campaign.name} is begun already; --goal and the figures "
                "before this log are for a new one."
            )
        of = denomination or _last_denomination(under)
        told = packaging(of)
        if rolls is None or per_roll is None:
            rolls, per_roll = _as_usual(of, told, rolls, per_roll)
        at = _search(under, name) if not (series or nothing_before) else None
        new_search: Search | None = None
        if at is None:
            new_search = Search(
                SearchId(0),
                under.campaign.id if under else CampaignId(0),
                name or f"Begun {collection.today.isoformat()}",
                collection.today,
                tuple(SeriesId(code) for code in series),
                nothing_before,
            )
        currency = told.currency if told else ""
        box = Box(
            BoxId(0),
            at.id if at else SearchId(0),
            number,
            collection.today,
            told.key if told else of,
            rolls,
            per_roll,
            came_from,
            wrapper,
            KINDS[kind],
            rolls * per_roll * told.face_minor if told else None,
            _minor(fees, currency),
            currency,
            goes_to,
        )
        done = collection.run(add_box(box, new_search, new_campaign))
        made = collection.log.box_view(BoxId(done.made_log[-1]))
    click.echo(
        f"Box {made.box.number} of {made.campaign.name}: {made.text}, {made.box.coins:,} coins. "
        f"Next: slotleaf search log {as_typed(file)} {made.box.number} ENTRIES"
    )


def _campaign(collection: "Collection", name: str) -> "CampaignView | None":
    """The campaign of that name, the only one without a name, or None for a new one."""
    from core.errors import Ambiguous, Refused

    there = collection.log.campaigns()
    if name:
        wanted = " ".join(name.casefold().split())
        return next((one for one in there if one.campaign.name.casefold() == wanted), None)
    if not there:
        raise Refused("There is no campaign yet; name the first one with --campaign.")
    if len(there) > 1:
        names = ", ".join(one.campaign.name for one in there)
        raise Ambiguous(f"Name the campaign with --campaign. Campaigns here: {names}.")
    return there[0]


def _search(under: "CampaignView | None", name: str) -> "Search | None":
    """The search of that name, or the campaign's last one; None for a new one."""
    if under is None or not under.searches:
        return None
    if not name:
        return under.searches[-1]
    wanted = " ".join(name.casefold().split())
    return next((one for one in under.searches if one.name.casefold() == wanted), None)


def _last_denomination(under: "CampaignView | None") -> str:
    from core.errors import Refused

    if under is None or not under.boxes:
        raise Refused('Say what the box holds with --of, such as --of "US 1c".')
    return under.boxes[0].box.denomination


def _as_usual(
    of: str, told: "Packaging | None", rolls: int | None, per_roll: int | None
) -> tuple[int, int]:
    """Rolls and coins a roll, those not said as the packaging table has them."""
    from core.errors import Refused
    from core.search.packaging import packagings

    if told is None:
        known = ", ".join(one.key for one in packagings())
        raise Refused(
            f"How “{of}” is packed is not known; give --rolls and --per-roll. Known: {known}."
        )
    many = rolls if rolls is not None else told.rolls
    if many is None:
        raise Refused(f"How many rolls a box of {told.key} has is not known; give --rolls.")
    return many, per_roll if per_roll is not None else told.per_roll


def _n_of_m(text: str) -> tuple[int | None, int | None]:
    """88/140 as two figures."""
    if not text:
        return None, None
    have, _, wanted = text.partition("/")
    try:
        return int(have), int(wanted)
    except ValueError:
        raise click.BadParameter(
            f"“{text}” is not N/M, such as 88/140.", param_hint="--have-before"
        ) from None


def _minor(text: str, currency: str) -> int | None:
    """An amount as minor units; None for none."""
    from decimal import Decimal, InvalidOperation

    from core.model.money import minor_digits

    if not text:
        return None
    try:
        amount = Decimal(text).scaleb(minor_digits(currency))
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or amount != int(amount):
        raise click.BadParameter(f"“{text}” is no amount, such as 1.50.", param_hint="--fees")
    return int(amount)


@search_group.command("list")
@file_argument
@as_json
def list_boxes(file: Path, as_json: bool) -> None:
    """Every box: campaign, what it holds, how far it is, what was kept and counted."""
    with opened(file, read_only=True) as collection:
        campaigns = collection.log.campaigns()
    rows: list[Row] = [
        {
            "box": line.box.number,
            "campaign": campaign.campaign.name,
            "search": line.search.name,
            "of": line.box.denomination,
            "begun": line.box.begun.isoformat(),
            "rolls": line.box.rolls,
            "opened": line.opened,
            "kept": line.kept,
            "seen": line.seen,
            "slots": line.slots,
            "upgrades": line.bettered,
            "slots_by": "albums" if line.box.is_done else "answers so far",
            "is_done": line.box.is_done,
        }
        for campaign in campaigns
        for line in reversed(campaign.boxes)
    ]
    if not as_json:
        for campaign in campaigns:
            click.echo(f"{campaign.campaign.name}: {campaign.text}")
    next_one = f'slotleaf search new {as_typed(file)} --campaign NAME --of "US 1c"'
    write_rows(rows, as_json, f"No boxes yet. Next: {next_one}")


@search_group.command("show")
@file_argument
@click.argument("box")
@as_json
def show_box(file: Path, box: str, as_json: bool) -> None:
    """What was kept and counted in a box, roll by roll."""
    with opened(file, read_only=True) as collection:
        view = collection.log.box_view(collection.log.find_box(box).id)
    entries: list[tuple[int, Row]] = [
        (
            line.find.place,
            {
                "roll": line.roll,
                "entry": "kept",
                "coin": line.label,
                "quantity": 1,
                "grade": line.grade,
                "answer": line.answer,
                "where": line.where,
                "note": "; ".join(filter(None, (line.problems, line.coin.note))),
                "ender": line.find.is_ender,
            },
        )
        for line in view.finds
    ]
    entries += [
        (
            seen.sighting.place,
            {
                "roll": seen.roll,
                "entry": "seen",
                "coin": seen.name,
                "quantity": seen.sighting.quantity,
                "grade": "",
                "answer": "",
                "where": "",
                "note": seen.text,
                "ender": seen.sighting.is_ender,
            },
        )
        for seen in view.sightings
    ]
    if not as_json:
        done = "finished" if view.box.is_done else f"roll {view.now.shown} in hand"
        click.echo(f"Box {view.box.number} of {view.campaign.name}: {view.text}")
        click.echo(f"{done} · {view.coins_opened:,} coins opened · {view.facts.slots_text}")
    rows = [row for _, row in sorted(entries, key=lambda pair: pair[0])]
    write_rows(rows, as_json, "Nothing was kept or counted in it yet.")


@search_group.command("log")
@file_argument
@click.argument("box")
@click.argument("entries", type=click.File("r", encoding="utf-8-sig"), default="-")
@click.option("--dry-run", is_flag=True, help="Read the entries, log nothing.")
def log(file: Path, box: str, entries: TextIO, dry_run: bool) -> None:
    """Log entries, one a line, from a file or standard input; all of them or none.

    A coin is kept; “seen 5 x 1959” and “+foreign” count; “/” is the next roll, “/37” roll 37;
    “ender” before a coin marks it. Empty lines and those that begin with # mean nothing.
    """
    from core.app.search_entry import log_entries, read_entries

    lines = entries.read().splitlines()
    with opened(file, read_only=dry_run) as collection:
        found = collection.log.find_box(box)
        if dry_run:
            steps = read_entries(collection, found.id, lines)
            click.echo(f"{len(steps)} entries can be logged. Nothing was logged.")
            return
        done = log_entries(collection, found.id, lines)
    click.echo(
        f"Box {found.number}: {done.kept} kept, {done.seen} counted, now at roll {done.roll}."
    )


for _command in search_report.COMMANDS:
    search_group.add_command(_command)

COMMANDS = (search_group,)
