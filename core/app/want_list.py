"""The want list: what is sought, by priority, with the most to pay shown, hidden or in letters.

It goes to shows and dealers, so nothing private is on it: not what was paid, nor where from, nor
where an offer was seen. Letters for digits are plain practice of the trade: a word of ten letters,
none twice, of which the first stands for 1, the ninth for 9 and the last for 0. Who has the word
reads the amounts; it is on no page.
"""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from itertools import groupby
from typing import TYPE_CHECKING

from core.app.checklists import day_text, held_in_full
from core.app.operations import order_coin
from core.app.order import Operation
from core.app.price_book import PriceBook
from core.app.price_orders import take_offer
from core.app.upgrades import Buyable, UpgradeRow, Upgrades
from core.errors import BadEntry
from core.model.album import Slot, SlotId, Target
from core.model.coin import Coin
from core.model.grade import code_of
from core.model.issue import SeriesId
from core.model.label import describe, join_and
from core.model.money import money_text
from core.model.plan_across import short_names
from core.model.prices import require_amount
from core.planning.plan import Plan
from core.planning.prices import PriceMark
from core.planning.wants import is_marked
from core.printing.pdf import measure, pages_pdf, wrap
from core.printing.want_list import WantPaper, WantPart, WantRow, WantSheet, want_pages

if TYPE_CHECKING:
    from core.app.collection import Collection

ESTIMATES = "Prices are estimates, not appraisals"
SIGNS = {
    PriceMark.ISSUE: ("*", "the issue's price, taken for a variety that has none"),
    PriceMark.BETWEEN: ("~", "a grade between two of the price list"),
}
"""Behind the most to pay, and what each means."""
LETTERS = 10
_DIGITS = "1234567890"


class PayKind(StrEnum):
    """How the most to pay stands on the list."""

    SHOWN = "shown"
    HIDDEN = "hidden"
    CODED = "coded"


@dataclass(frozen=True, slots=True)
class Pay:
    """How the most to pay is written; `word` in capitals, only where it is coded."""

    kind: PayKind = PayKind.HIDDEN
    word: str = ""

    def written(self, minor: int, currency: str) -> str:
        """An amount as it stands on the list: 12.50, "", or letters."""
        match self.kind:
            case PayKind.SHOWN:
                return money_text(minor, currency)
            case PayKind.CODED:
                return coded(minor, currency, self.word)
            case PayKind.HIDDEN:
                return ""


def read_pay(text: str) -> Pay:
    """`shown`, `hidden` or `coded:WORD`; raises BadEntry."""
    kind, colon, word = text.strip().partition(":")
    kind = kind.strip().casefold()
    if kind == PayKind.CODED and colon:
        return Pay(PayKind.CODED, code_word(word))
    if kind in (PayKind.SHOWN, PayKind.HIDDEN) and not colon:
        return Pay(PayKind(kind))
    raise BadEntry(
        f"“{text.strip()}” does not say how the most to pay is written. Choose shown, hidden, or "
        "coded with a word of ten different letters, such as coded:BLACKHORSE."
    )


def code_word(text: str) -> str:
    """A word that digits may be written in, in capitals: ten letters, none twice.

    Raises BadEntry, which names what is wrong with it.
    """
    word = unicodedata.normalize("NFC", text.strip()).upper()
    if not word or not all(map(_is_letter, word)):
        raise BadEntry(
            f"“{text.strip()}” is no word to write prices in. Choose one of ten Latin letters, no "
            "figures, spaces or signs."
        )
    twice = sorted({one for one in word if word.count(one) > 1})
    if len(word) != LETTERS:
        raise BadEntry(
            f"“{word}” has {len(word)} letters. Prices are written in a word of ten, one for each "
            "digit."
        )
    if twice:
        raise BadEntry(
            f"“{word}” has {join_and(twice)} more than once, which could be either of two "
            "digits. Choose a word of ten different letters."
        )
    return word


def _is_letter(one: str) -> bool:
    return unicodedata.name(one, "").startswith("LATIN CAPITAL LETTER")


def coded(minor: int, currency: str, word: str) -> str:
    """An amount in the letters of a code word, its point as it is: BLACKHORSE, 12.50: BL.KE."""
    return money_text(minor, currency).translate(str.maketrans(_DIGITS, word))


def decoded(text: str, word: str) -> str:
    """The amount that letters stand for, as text."""
    return text.translate(str.maketrans(word, _DIGITS))


class Priority(StrEnum):
    """What is sought first; a line stands under the first that is so."""

    CHOSEN = "Chosen by hand"
    KEY = "Key dates"
    GAP = "Gaps"
    UPGRADE = "Upgrades"
    OPTIONAL = "Optional"


_ORDER = tuple(Priority)


@dataclass(frozen=True, slots=True)
class WantLine:
    """A coin sought for a slot: by a plan, or as the slot's target asks.

    `most` in minor units of the base currency, None without a price. `buy` is the purchase that
    the amount is of, None without one.
    """

    row: UpgradeRow
    priority: Priority
    least: str
    takes_problems: bool
    held: str
    most: int | None
    buy: Buyable | None

    @property
    def slot(self) -> SlotId:
        """The slot it is for."""
        return self.row.slot.slot.id


def want_lines(found: Upgrades, made: Plan | None = None) -> tuple[WantLine, ...]:
    """What a plan buys, or else every slot that is open: by priority, then in the albums' order.

    Slots whose coin is pinned are left out. A slot that a spare would better stays on the list,
    which says so, since one spare may fit several.
    """
    if made is None:
        lines = [_open_line(row) for row in found.rows if row.is_open and not _is_kept(row)]
    else:
        by_slot = {row.slot.slot.id: row for row in found.rows}
        places = {slot: at for at, slot in enumerate(by_slot)}
        bought = sorted(made.purchases, key=lambda one: places[SlotId(one.slot)])
        pinned = found.given.pinned
        lines = [
            _planned_line(by_slot[SlotId(one.slot)], found.buys[one.purchase], one.cost,
                          is_marked(pinned, one.purchase, one.slot))
            for one in bought
        ]  # fmt: skip
    return tuple(sorted(lines, key=lambda line: _ORDER.index(line.priority)))


def _is_kept(row: UpgradeRow) -> bool:
    return row.slot.slot.is_pinned and row.slot.coin is not None


def _priority(row: UpgradeRow, is_pinned: bool = False) -> Priority:
    if is_pinned:
        return Priority.CHOSEN
    if not row.slot.counts:
        return Priority.OPTIONAL
    if row.is_key:
        return Priority.KEY
    return Priority.GAP if row.held is None else Priority.UPGRADE


def _open_line(row: UpgradeRow) -> WantLine:
    target = row.slot.slot.target
    listed = (one.buy for one in row.steps if one.meets_target and one.buy.offer is None)
    buy = next(listed, None)
    takes = target is not None and target.allows_problems
    return WantLine(row, _priority(row), _least(target), takes, _held(row), row.asks, buy)


def _planned_line(row: UpgradeRow, buy: Buyable, cost: int, is_pinned: bool) -> WantLine:
    """A purchase of a plan, which may be of less than the target, or of a coin with a problem."""
    target = row.slot.slot.target
    grade = buy.coin.grade
    meets = any(one.meets_target for one in row.steps if one.buy.id == buy.id)
    damaged = bool(buy.coin.problems) or (grade is not None and grade.is_details)
    least = _least(target)
    if not (meets and target is not None) and grade is not None:
        least = f"{code_of(grade.low, grade.is_proof)} or better"
    takes = damaged or (target is not None and target.allows_problems)
    return WantLine(row, _priority(row, is_pinned), least, takes, _held(row), cost, buy)


def _least(target: Target | None) -> str:
    if target is None:
        return "any grade"
    text = replace(target, allows_problems=False).text
    return "any grade" if text == "sound" else f"{text} or better"


def _held(row: UpgradeRow) -> str:
    """What is there now, and what is on its way or waiting: now G-4, spare VF-20 at hand."""
    shown = row.slot
    told = []
    if shown.coin is not None:
        told.append(f"now {held_in_full(shown) or 'no grade'}")
    if shown.ordered is not None:
        told.append(f"{_grade(shown.ordered)} on order")
    if row.spare is not None:
        told.append(f"spare {_grade(row.spare)} at hand")
    return ", ".join(told if shown.coin or shown.ordered else ["gap", *told])


def _grade(coin: Coin) -> str:
    return coin.grade.text if coin.grade else "without a grade"


# ---- on paper


def want_sheet(
    collection: "Collection",
    found: Upgrades,
    lines: Sequence[WantLine],
    pay: Pay,
    made: Plan | None = None,
    budget: int | None = None,
) -> WantSheet:
    """All that a want list tells; with a plan `lines` are its own."""
    albums = [row.album_name for row in {row.album: row for row in found.rows}.values()]
    base = found.book.rules.base
    priced = [line.most for line in lines if line.most is not None]
    head = f"most to pay, {base}" if pay.kind is not PayKind.HIDDEN and priced else ""
    return WantSheet(
        albums[0] if len(albums) == 1 else collection.name,
        day_text(collection.today),
        _notes(found.book, lines, pay, made, budget),
        head,
        _parts(collection, lines, pay, base, len(albums) > 1),
        ESTIMATES,
        collection.name,
        "Nothing within the budget betters a slot."
        if made is not None
        else "Every slot is at its target.",
    )


def _notes(
    book: PriceBook,
    lines: Sequence[WantLine],
    pay: Pay,
    made: Plan | None,
    budget: int | None,
) -> tuple[str, ...]:
    """What is said above the rows; amounts only where they are shown."""
    is_shown = pay.kind is PayKind.SHOWN
    priced = [line.most for line in lines if line.most is not None]
    many = len(lines)
    said = f"{many:,} coin{'' if many == 1 else 's'} sought"
    if missing := many - len(priced):
        said += f", {missing:,} without a price"
    if is_shown and priced:
        said += f"; {book.told(sum(priced))} for {'those priced' if missing else 'all'}"
    planned = ""
    if made is not None:
        within = f" within {book.told(budget)}" if is_shown and budget is not None else ""
        planned = f"Chosen by a plan{within}{', proven best' if made.is_proven else ''}."
    coded_text = "The most to pay is written in letters." if pay.kind is PayKind.CODED else ""
    signed = {mark for line in lines for mark in _signed(line)}
    signs = [
        f"{sign} {words}"
        for mark, (sign, words) in SIGNS.items()
        if mark in signed and pay.kind is not PayKind.HIDDEN
    ]
    told = (*signs, ESTIMATES, book.invented_text, book.old_text, book.without_rate_text)
    others = (f"{text}." for text in told if text)
    return tuple(filter(None, (f"{said}." if many else "", planned, coded_text, *others)))


def _parts(
    collection: "Collection",
    lines: Sequence[WantLine],
    pay: Pay,
    base: str,
    is_several: bool,
) -> tuple[WantPart, ...]:
    firsts = {line.row.album: line.row for line in lines}
    names = {album: _names(collection, row) for album, row in firsts.items()}
    parts = []
    for (priority, album), some in groupby(lines, key=lambda line: (line.priority, line.row.album)):
        mine = list(some)
        rows = tuple(_want_row(collection, line, names[album], pay, base) for line in mine)
        name = mine[0].row.album_name if is_several else ""
        parts.append(WantPart(priority.value, name, rows))
    return tuple(parts)


def _names(collection: "Collection", row: UpgradeRow) -> dict[SeriesId, str]:
    """What coins of each series are called, where an album has several; none where it has one."""
    known = collection.album_view(row.album).all_series
    return short_names(known) if len(known) > 1 else {}


def _named(collection: "Collection", slot: Slot) -> str:
    """What a slot asks for, whatever its label."""
    series = collection.series(slot.accepts.series)
    variety = series.variety(slot.variety) if slot.variety else None
    return " ".join(filter(None, (describe(series, slot.accepts), variety.name if variety else "")))


def _want_row(
    collection: "Collection", line: WantLine, names: dict[SeriesId, str], pay: Pay, base: str
) -> WantRow:
    slot = line.row.slot.slot
    of = names.get(slot.accepts.series, "")
    label = f"{slot.label}, {of}" if of and of not in slot.label else slot.label
    if slot.has_own_label:  # which says nothing to anybody else
        label = f"{_named(collection, slot)} ({label})"
    return WantRow(
        line.row.slot.code,
        label,
        line.least,
        "problems accepted" if line.takes_problems else "sound only",
        line.held,
        _pay_text(line, pay, base),
    )


def _pay_text(line: WantLine, pay: Pay, base: str) -> str:
    """The most to pay with the signs of what it rests on, which the notes explain."""
    written = "" if line.most is None else pay.written(line.most, base)
    return f"{written}{''.join(SIGNS[mark][0] for mark in _signed(line))}" if written else ""


def _signed(line: WantLine) -> tuple[PriceMark, ...]:
    buy = line.buy
    if line.most is None or buy is None or buy.offer is not None or buy.told is None:
        return ()
    return tuple(mark for mark in buy.told.short_marks if mark in SIGNS)


def want_pdf(sheet: WantSheet, paper: WantPaper, day: date) -> bytes:
    """The want list as a PDF file on that paper."""
    pages = want_pages(sheet, paper, measure, wrap)
    return pages_pdf(pages, f"{sheet.title}: want list", f"D:{day:%Y%m%d}000000Z", "Want list")


# ---- bought


def bought(
    buy: Buyable, slot: SlotId, base: str, paid: int | None = None, came_from: str = ""
) -> Operation:
    """A line that was bought: its coin is on order in the slot, and an offer counts one less.

    `paid` in minor units of the base; what was paid for a price of the list is not known without
    it. An offer tells both itself.
    """
    if buy.offer is not None:
        return take_offer(buy.offer.id, slot)
    if paid is not None:
        require_amount(paid, "What was paid")
    currency = base if paid is not None else ""
    coin = replace(buy.coin, paid_minor=paid, currency=currency, came_from=came_from.strip())
    return order_coin(coin, slot)
