"""Commands on prices and offers: take in a sheet, list, rates, rules; note an offer seen."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from core.cli.show import A_PATH, Row, as_json, file_argument, opened, write_rows
from core.errors import BadEntry, CollectionError

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.offers import OfferAnswer
    from core.app.price_book import PriceBook
    from core.model.issue import Description, VarietyId
    from core.model.prices import Offer, SpotPrice


@click.group("prices")
def prices_group() -> None:
    """Prices of your own: sheets of them, rates between currencies, the rules to reckon by."""


@prices_group.command("import")
@file_argument
@click.argument("sheet", type=A_PATH, metavar="PRICES.csv")
@click.option("--series", "series_id", default="", metavar="ID", help="For rows that name none.")
@click.option("--source", default="", help="For rows that name none.")
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="For rows that name none; today.")
@click.option("--dry-run", is_flag=True, help="Say what would come; change nothing.")
def import_prices_command(
    file: Path, sheet: Path, series_id: str, source: str, day: date | None, dry_run: bool
) -> None:
    """Take in a sheet of prices, all or none; README.md lists the columns.

    All faulty rows are listed with line and reason on standard error.
    """
    from core.app.exchange_sheet import sheet_text
    from core.app.price_book import read_price_sheet
    from core.app.price_orders import import_prices
    from core.model.issue import SeriesId

    text = sheet_text(sheet)
    with opened(file, read_only=dry_run) as collection:
        book = collection.price_book()
        if day is not None:
            book = replace(book, today=date(day.year, day.month, day.day))
        only = collection.series(SeriesId(series_id)).id if series_id else None
        used = [one.id for one in collection.series_in_use]
        draft = read_price_sheet(text, collection.all_series(), book, source, only, in_use=used)
        for note in draft.notes:
            click.echo(f"slotleaf: {note}", err=True)
        for fault in draft.faults:
            click.echo(f"slotleaf: {sheet.name}, {fault.text}", err=True)
        if draft.faults:
            many = len(draft.faults)
            raise CollectionError(
                f"Nothing was imported: {many} row{'s are' if many > 1 else ' is'} faulty. Put the "
                "sheet right and import it again."
            )
        if not draft.rows:
            return
        many = len(draft.rows)
        if dry_run:
            click.echo(f"Would come: {_prices(many)}. Nothing was changed.")
            return
        new = len(collection.run(import_prices(draft)).made_prices)
    click.echo(f"Imported: {_prices(many)}, {new:,} of them new or changed.")


def _prices(many: int) -> str:
    return f"{many:,} price{'' if many == 1 else 's'}"


@prices_group.command("list")
@file_argument
@as_json
def list_prices(file: Path, as_json: bool) -> None:
    """List every price as it was entered, and what is old or has no rate."""
    with opened(file, read_only=True) as collection:
        book = collection.price_book()
        rows: list[Row] = [
            {
                "number": one.id,
                "series": str(one.series),
                "coin": _name(collection, one.description, one.variety),
                "grade": one.grade_text,
                "price": _amount(one.minor, one.currency),
                "currency": one.currency,
                "in_base": _in_base(book, one.minor, one.currency),
                "day": one.day.isoformat(),
                "source": one.source,
                "is_old": book.list.is_old(one),
                "is_replaced": book.list.is_replaced(one),
            }
            for one in book.prices
        ]
    write_rows(rows, as_json, "There are no prices yet. Next: slotleaf prices import FILE SHEET")
    if not as_json:
        for said in filter(None, (book.invented_text, book.old_text, book.without_rate_text)):
            click.echo(f"{said}.")


def _amount(minor: int, currency: str) -> str:
    from core.model.money import money_text

    return money_text(minor, currency)


def _in_base(book: "PriceBook", minor: int, currency: str) -> str | None:
    found = book.list.in_base(minor, currency)
    return None if found is None else _amount(found, book.rules.base)


def _name(collection: "Collection", description: "Description", variety: "VarietyId | None") -> str:
    from core.model.coin import Coin, CoinId, Finding
    from core.model.label import coin_name

    varieties = () if variety is None else ((variety, Finding.CONFIRMED),)
    return coin_name(
        collection.series(description.series), Coin(CoinId(0), description, varieties=varieties)
    )


@prices_group.command("add")
@file_argument
@click.argument("text", metavar='"1914-d f12 @ 210"')
@click.option("--source", default="", help="Whose price it is, such as a list's name.")
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="When it was asked; today.")
def add(file: Path, text: str, source: str, day: date | None) -> None:
    """Put one price on the list; it takes the place of that source's of the same day."""
    from core.app.offers import as_price
    from core.app.price_orders import set_prices

    with opened(file) as collection:
        price = as_price(_meant(collection, text), source)
        if day is not None:
            price = replace(price, day=date(day.year, day.month, day.day))
        made = collection.run(set_prices([price])).made_prices
        name = _name(collection, price.description, price.variety)
    grade = price.grade_text
    amount = f"{_amount(price.minor, price.currency)} {price.currency}"
    told = f"Price {made[0]}: " if made else "It stood there already: "
    click.echo(f"{told}{name} {grade}, {amount}.")


@prices_group.command("delete")
@file_argument
@click.argument("numbers", type=int, nargs=-1, required=True, metavar="NUMBER...")
def delete(file: Path, numbers: tuple[int, ...]) -> None:
    """Take prices out of the list, by the numbers that prices list shows."""
    from core.app.price_orders import delete_prices
    from core.model.prices import PriceId

    with opened(file) as collection:
        collection.run(delete_prices([PriceId(number) for number in numbers]))
    many = len(set(numbers))
    click.echo(f"{_prices(many)} {'is' if many == 1 else 'are'} deleted.")


@prices_group.command("rate")
@file_argument
@click.argument("currency", metavar="CURRENCY")
@click.argument("per", metavar="RATE", default="")
@click.option("--forget", is_flag=True, help="Keep no rate of it any more.")
def rate(file: Path, currency: str, per: str, forget: bool) -> None:
    """One unit of a currency is worth so many of the base: prices rate FILE EUR 1.08."""
    from core.app.price_orders import delete_rate, set_rate

    if forget == bool(per):
        raise BadEntry("Write what one unit is worth, such as 1.08, or --forget.")
    with opened(file) as collection:
        if forget:
            collection.run(delete_rate(currency.strip().upper()))
            click.echo(f"The rate of {currency.strip().upper()} is forgotten.")
            return
        collection.run(set_rate(currency, per))
        base = collection.price_book().rules.base
    click.echo(f"1 {currency.upper()} is {per} {base}.")


@prices_group.command("rules")
@file_argument
@click.option("--base", default=None, metavar="CURRENCY", help="What all is told in, such as EUR.")
@click.option("--oldest", "oldest_days", type=int, help="A price is old after so many days.")
@click.option("--choose", type=click.Choice(["newest", "median"]), help="Of several sources.")
@click.option("--problem-share", type=int, help="What a problem coin costs, in % of a sound one.")
@click.option("--resale-share", type=int, help="What a freed coin brings, in % of its price.")
@click.option(
    "--silver", metavar="PRICE", help='Spot price: 30, "28 EUR", "900 EUR a kg"; 0: none.'
)
@click.option("--copper", metavar="PRICE", help="Spot price of a kilogram, or as above; 0: none.")
@click.option("--spot-day", type=click.DateTime(["%Y-%m-%d"]), help="Of these; today.")
@click.option("--inherit", metavar="SERIES/VARIETY", help="It costs what its issue does.")
@click.option("--own-price", metavar="SERIES/VARIETY", help="It does so no longer.")
@click.option(
    "--inherit-all/--no-inherit-all", default=None, help="Every variety costs what its issue does."
)
@as_json
def rules(
    file: Path,
    base: str | None,
    oldest_days: int | None,
    choose: str | None,
    problem_share: int | None,
    resale_share: int | None,
    silver: str | None,
    copper: str | None,
    spot_day: date | None,
    inherit: str | None,
    own_price: str | None,
    inherit_all: bool | None,
    as_json: bool,
) -> None:
    """Show the rules that prices are reckoned by, or change those that are named."""
    from core.app.price_orders import let_inherit, set_rules
    from core.model.issue import SeriesId, VarietyId
    from core.model.prices import Choose, Weight, read_spot

    named: dict[str, Any] = {
        "base": base.strip().upper() if base else None,
        "oldest_days": oldest_days,
        "choose": Choose(choose) if choose else None,
        "problem_share": problem_share,
        "resale_share": resale_share,
        "inherits_all": inherit_all,
    }
    changes = {name: value for name, value in named.items() if value is not None}
    varieties = [(text, yes) for text, yes in ((inherit, True), (own_price, False)) if text]
    is_changed = bool(changes) or silver is not None or copper is not None
    if spot_day is not None and silver is None and copper is None:
        raise BadEntry("A --spot-day is that of a price: say --silver or --copper as well.")
    with opened(file, read_only=not (is_changed or varieties)) as collection:
        now = replace(collection.price_book().rules, **changes)
        day = date(spot_day.year, spot_day.month, spot_day.day) if spot_day else collection.today
        if silver is not None:
            now = replace(now, silver=read_spot(silver, Weight.OUNCE, now.base, day))
        if copper is not None:
            now = replace(now, copper=read_spot(copper, Weight.KILO, now.base, day))
        if is_changed:
            collection.run(set_rules(now))
        for text, yes in varieties:
            series, slash, variety = text.partition("/")
            if not slash:
                raise BadEntry(f"“{text}” names no variety; write SERIES/VARIETY.")
            collection.run(let_inherit(SeriesId(series), VarietyId(variety), yes))
        row = _rules_row(collection.price_book())
    if as_json:
        write_rows([row], True, "")
        return
    write_rows([{"rule": name, "value": cell} for name, cell in row.items()], False, "")


def _rules_row(book: "PriceBook") -> Row:
    now = book.rules
    return {
        "base": now.base,
        "oldest_days": now.oldest_days,
        "choose": str(now.choose),
        "problem_share": now.problem_share,
        "resale_share": now.resale_share,
        "inherits": " ".join(f"{series}/{variety}" for series, variety in now.inherits),
        "inherits_all": now.inherits_all,
        **_spot_cells("silver", now.silver),
        **_spot_cells("copper", now.copper),
        "rates": " ".join(
            f"{one.currency}={one.per}" for one in book.rates if one.base == now.base
        ),
    }


def _spot_cells(metal: str, spot: "SpotPrice | None") -> Row:
    return {
        metal: None if spot is None else _amount(spot.minor, spot.currency),
        f"{metal}_currency": None if spot is None else spot.currency,
        f"{metal}_per": None if spot is None else spot.weight.value,
        f"{metal}_day": None if spot is None else spot.day.isoformat(),
    }


@prices_group.command("metal")
@file_argument
@click.option("--spares", is_flag=True, help="Of the coins that are in no slot alone.")
@as_json
def metal(file: Path, spares: bool, as_json: bool) -> None:
    """The silver and copper in the coins you hold, at the spot prices that rules has.

    An estimate of coins as struck, and not an offer. With the share that the metal is of what your
    price list says of the same coins.
    """
    from core.app.metals import metals

    with opened(file, read_only=True) as collection:
        found = metals(collection, spares)
        book = collection.price_book()
    base = book.rules.base
    rows: list[Row] = [
        {
            "series": str(row.series.id),
            "metal": row.composition.title,
            "coins": row.coins,
            "silver_ounces": None if row.silver_ozt is None else f"{row.silver_ozt:.5f}",
            "copper_grams": None if row.copper_g is None else f"{row.copper_g:.2f}",
            "worth": None if row.worth.minor is None else _amount(row.worth.minor, base),
            "currency": base,
            "priced": row.priced,
            "estimate": _amount(row.listed, base) if row.priced else None,
            "share_percent": row.share,
            "caution": row.worth.caution,
        }
        for row in found.rows
    ]
    if as_json:
        write_rows(rows, True, "")
        return
    shown = [{name: cell for name, cell in row.items() if name != "caution"} for row in rows]
    write_rows(shown, False, "There are no spares." if spares else "No coins are held.")
    if found.left_out:
        many = "1 coin" if found.left_out == 1 else f"{found.left_out:,} coins"
        click.echo(f"{many} may be of several metals; left out.")
    if found.minor:
        click.echo(
            f"Together {_amount(found.minor, base)} {base}, as struck; worn coins weigh less. "
            "An estimate, not an offer."
        )
    if found.spots.without_rate:
        codes = ", ".join(found.spots.without_rate)
        click.echo(f"No rate of {codes}: its spot price is left out.")
    elif rows and not found.spots.is_any:
        click.echo("No spot price is entered: slotleaf prices rules FILE --silver AMOUNT")
    for caution in found.cautions:
        click.echo(caution)


# Offers


@click.command()
@file_argument
@click.argument("text", default="", metavar='"1914-d f12 @ 210"')
@click.option("--look", is_flag=True, help="Answer alone; note nothing.")
@click.option("--take", type=int, metavar="NUMBER", help="Buy an offer: a coin on order.")
@click.option("--album", "album_name", default="", metavar="ALBUM", help="With --take.")
@click.option("--slot", "label", default="", metavar="SLOT", help="With --take.")
@click.option("--back", type=int, metavar="NUMBER", help="Forget an offer.")
@click.option(
    "--change", type=int, metavar="NUMBER", help='Put one right: --change 3 "@ 4 until …".'
)
@as_json
def offer(
    file: Path,
    text: str,
    look: bool,
    take: int | None,
    album_name: str,
    label: str,
    back: int | None,
    change: int | None,
    as_json: bool,
) -> None:
    """Note a coin seen for sale and answer what it is worth to the albums; without text, list.

    After the @ may stand a currency, until a day, at or from where, and x how many.
    """
    if sum((bool(text) or change is not None, take is not None, back is not None)) > 1:
        raise BadEntry("Name one thing to do: an offer to note, --change, --take or --back.")
    numbers = (take, back, change)
    is_looking = look or not (text or any(number is not None for number in numbers))
    with opened(file, read_only=is_looking) as collection:
        if take is not None:
            click.echo(_take(collection, take, album_name, label))
        elif back is not None:
            from core.app.price_orders import take_back_offers
            from core.model.prices import OfferId

            collection.run(take_back_offers([OfferId(back)]))
            click.echo(f"Offer {back} is forgotten.")
        elif change is not None:
            click.echo(_change(collection, change, text))
        elif text:
            _note(collection, text, look, as_json)
        else:
            rows = [_offer_row(collection, one) for one in collection.price_book().offers]
            write_rows(rows, as_json, "There are no offers. Next: slotleaf offer FILE TEXT")


def _take(collection: "Collection", number: int, album_name: str, label: str) -> str:
    from core.app.price_orders import take_offer
    from core.model.prices import OfferId

    if not album_name or not label:
        raise BadEntry("Name the slot it is for: --album ALBUM --slot SLOT.")
    album = collection.find_album(album_name)
    slot = collection.find_slot(album, label)
    collection.run(take_offer(OfferId(number), slot.id))
    return f"Offer {number} is on order for {slot.label} of {album.name}."


def _change(collection: "Collection", number: int, text: str) -> str:
    """Other terms for an offer: what stood after its @, written anew."""
    from core.app.price_orders import edit_offer
    from core.lookup.offer_terms import EXAMPLE, read_terms

    offers = {int(one.id): one for one in collection.price_book().offers}
    if number not in offers:
        raise BadEntry(f"There is no offer {number}; slotleaf offer FILE lists them.")
    before, at, after = text.partition("@")
    if before.strip() or not at:
        raise BadEntry(f"Write what is asked for it now, all of it, such as {EXAMPLE}.")
    old = offers[number]
    terms = read_terms(after, collection.price_book().rules.base)
    new = replace(
        old,
        minor=terms.minor,
        currency=terms.currency,
        where=terms.where,
        until=terms.until,
        quantity=terms.quantity,
    )
    collection.run(edit_offer(new))
    amount = f"{_amount(new.minor, new.currency)} {new.currency}"
    until = f", until {new.until.isoformat()}" if new.until else ""
    return f"Offer {number}: {_offered_name(collection, new)}, {amount}{until}."


def _note(collection: "Collection", text: str, look: bool, as_json: bool) -> None:
    from core.app.offers import offer_answer
    from core.app.price_orders import add_offer

    noted = None
    if look:
        looked = offer_answer(collection, text)
        if looked.trouble:
            raise BadEntry(looked.trouble)
        answers = looked.readings
    else:
        answers = (_meant(collection, text),)
        noted = collection.run(add_offer(answers[0].offer)).made_prices[0]
    rows = [_answer_row(collection, one, noted) for one in answers]
    if as_json:
        write_rows(rows, True, "")
        return
    for row in rows:
        number = f"Offer {row['number']}: " if row["number"] else ""
        click.echo(f"{number}{row['coin']}, {row['price']} {row['currency']}: {row['answer']}")
    invented = collection.price_book().invented_text
    if invented:
        click.echo(f"{invented}.")


def _meant(collection: "Collection", text: str) -> "OfferAnswer":
    """The one reading of a line; raises BadEntry, naming the readings where there are several."""
    from core.app.offers import offer_answer

    looked = offer_answer(collection, text)
    if looked.trouble:
        raise BadEntry(looked.trouble)
    if looked.meant is None:
        readings = ", ".join(one.answer.name for one in looked.readings)
        raise BadEntry(f"“{text}” can be {readings}; write the date in full and the series.")
    return looked.meant


def _answer_row(collection: "Collection", one: "OfferAnswer", number: int | None) -> Row:
    from core.planning.prices import Told

    book, offer = collection.price_book(), one.offer
    listed = one.listed
    return {
        "number": number,
        "coin": _offered_name(collection, offer),
        "price": _amount(offer.minor, offer.currency),
        "currency": offer.currency,
        "answer": one.text,
        "verdict": str(one.answer.verdict),
        "gain": one.gain,
        "in_base": None if one.cost is None else _amount(one.cost, book.rules.base),
        "listed": _amount(listed.minor, book.rules.base) if isinstance(listed, Told) else None,
        "over_percent": one.over,
        "where": offer.where,
        "until": None if offer.until is None else offer.until.isoformat(),
    }


def _offer_row(collection: "Collection", one: "Offer") -> Row:
    book = collection.price_book()
    return {
        "number": one.id,
        "series": str(one.description.series),
        "coin": _offered_name(collection, one),
        "price": _amount(one.minor, one.currency),
        "currency": one.currency,
        "in_base": _in_base(book, one.minor, one.currency),
        "where": one.where,
        "seen": one.seen.isoformat(),
        "until": None if one.until is None else one.until.isoformat(),
        "quantity": one.quantity,
        "stands": one.stands_on(book.today),
        "note": one.note,
    }


def _offered_name(collection: "Collection", one: "Offer") -> str:
    grade = f" {one.grade.text}" if one.grade else ""
    problems = "".join(f", {problem}" for problem in one.problems)
    return f"{_name(collection, one.description, one.variety)}{grade}{problems}"


COMMANDS = (prices_group, offer)
