"""A fill proposal as the lines of a list, and as what the leaf would show. No Qt here."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from core.app.album_view import cell_of, slot_view
from core.app.slot_card import coin_text
from core.app.slot_label import has_labels
from core.app.views import AlbumView, SlotView
from core.fill.proposal import Compare, Move, Proposal
from core.fill.value import FillInput, Pair
from core.glyph.codes import STATE_BITS
from core.model.album import AlbumId, SlotId
from core.model.coin import Coin, CoinId

if TYPE_CHECKING:
    from core.app.collection import Collection


NO_SLOT, NO_ALBUM = SlotId(0), AlbumId(0)


@dataclass(frozen=True, slots=True)
class FillTask:
    """What Fill works on, with the views that its lines are told from.

    `coins` are those that the lines speak of; those in slots from the beginning.
    """

    given: FillInput
    views: Mapping[AlbumId, AlbumView]
    coins: Mapping[CoinId, Coin]
    has_coins: bool = True


class LineKind(StrEnum):
    """What a line of the list is."""

    HEADING = "heading"
    MOVE = "move"
    COMPARE = "compare"


@dataclass(frozen=True, slots=True)
class FillLine:
    """One line: a heading, a move with its tick, or two coins to compare by eye.

    `before` and `after` are glyph bytes; `title` is the slot's label, `coin` the newcomer, `detail`
    where it comes from and what leaves, `reason` the aim that decided, in a sentence.
    """

    kind: LineKind
    title: str
    slot: SlotId = NO_SLOT
    album: AlbumId = NO_ALBUM
    pair: Pair | None = None
    is_ticked: bool = True
    before: int = 0
    after: int = 0
    coin: str = ""
    detail: str = ""
    reason: str = ""

    @property
    def spoken(self) -> str:
        """What a screen reader says of the line."""
        if self.kind is LineKind.HEADING:
            return self.title
        tick = ("ticked" if self.is_ticked else "not ticked") if self.kind is LineKind.MOVE else ""
        return ", ".join(w for w in (tick, self.title, self.coin, self.detail, self.reason) if w)


@dataclass(frozen=True, slots=True)
class Figures:
    """The headline before and after."""

    have_before: int
    have_after: int
    target_before: int
    target_after: int
    wanted: int


def read_task(
    collection: "Collection", albums: Sequence[AlbumId], uncapped: bool = False
) -> FillTask:
    """Read all that a fill of these albums needs, every album where none is named."""
    given = collection.fill_input(albums, uncapped)
    views = {album: collection.album_view(album) for album in given.albums}
    coins = {coin.id: coin for coin in given.coins}
    for view in views.values():
        coins |= {v.coin.id: v.coin for v in view.slots if v.coin is not None}
    return FillTask(given, views, coins, given.has_coins or bool(collection.coin_count()))


def _with_coins(
    collection: "Collection", task: FillTask, proposal: Proposal, taken_off: Iterable[Move]
) -> FillTask:
    """The task with all the coins that the lines speak of, read from the collection."""
    numbers = {move.coin for move in (*proposal.moves, *taken_off)}
    numbers |= {compare.newcomer for compare in proposal.compares}
    read = collection.coins_by_number(numbers - task.coins.keys())
    return replace(task, coins={**task.coins, **read})


@dataclass(frozen=True, slots=True)
class Shown:
    """A proposal made ready off the main thread: its counts, lines, and look on the leaf."""

    task: FillTask
    proposal: Proposal
    figures: Figures
    lines: list[FillLine]
    preview: dict[int, tuple[int, str, str]]


def shown(
    collection: "Collection", task: FillTask, proposal: Proposal, taken_off: Sequence[Move] = ()
) -> Shown:
    """All that the panel shows of a proposal."""
    task = _with_coins(collection, task, proposal, taken_off)
    return Shown(
        task,
        proposal,
        figures(task, proposal),
        lines(task, proposal, taken_off),
        preview(task, proposal),
    )


def figures(task: FillTask, proposal: Proposal) -> Figures:
    """The counts over all chosen albums."""
    return Figures(
        sum(proposal.have_before.values()),
        sum(proposal.have_after.values()),
        sum(proposal.target_before.values()),
        sum(proposal.target_after.values()),
        sum(view.headline.wanted for view in task.views.values()),
    )


def lines(task: FillTask, proposal: Proposal, taken_off: Iterable[Move] = ()) -> list[FillLine]:
    """All lines in the order of the shelf and the albums; moves taken off stay, unticked."""
    off = {move.pair: move for move in taken_off}
    moves = [(move, True) for move in proposal.moves if move.pair not in off]
    moves += [(move, False) for move in off.values()]
    order = _order(task)
    moves.sort(key=lambda pair: (order[pair[0].slot], not pair[1], int(pair[0].coin)))
    out: list[FillLine] = []
    heading = ""
    for move, is_ticked in moves:
        view = _view_of(task, move.slot)
        if view.album.name != heading and len(task.views) > 1:
            heading = view.album.name
            out.append(FillLine(LineKind.HEADING, heading))
        out.append(_move_line(task, view, move, is_ticked))
    if proposal.compares:
        out.append(FillLine(LineKind.HEADING, "Compare by eye"))
        out += [_compare_line(task, compare) for compare in proposal.compares]
    return out


def preview(task: FillTask, proposal: Proposal) -> dict[int, tuple[int, str, str]]:
    """Every slot that would change: its glyph byte and the lines below it."""
    filled = {move.slot: move.coin for move in proposal.moves}
    left = {m.from_slot for m in proposal.moves if m.from_slot is not None} - set(filled)
    changed: dict[SlotId, CoinId | None] = {**dict.fromkeys(left), **filled}
    shown = {}
    for slot, coin in changed.items():
        view = _view_of(task, slot)
        as_drawn = _with_coin(task, view, slot, coin)
        two_lines = has_labels(view.album.arrangement)
        code, _name, line_1, line_2, _detail, _slot = cell_of(as_drawn, two_lines)
        shown[int(slot)] = (code, line_1, line_2)
    return shown


def _order(task: FillTask) -> dict[SlotId, int]:
    slots = [v.slot.id for album in task.given.albums for v in task.views[album].slots]
    return {slot: place for place, slot in enumerate(slots)}


def _view_of(task: FillTask, slot: SlotId) -> AlbumView:
    return next(view for view in task.views.values() if slot in view.by_id)


def _with_coin(task: FillTask, view: AlbumView, slot: SlotId, coin: CoinId | None) -> SlotView:
    shown = view.by_id[slot]
    held = task.coins[coin] if coin is not None else None
    series = view.series_of(shown.slot)
    return slot_view(series, shown.slot, held, shown.ordered, None, view.album.arrangement)


def _move_line(task: FillTask, view: AlbumView, move: Move, is_ticked: bool) -> FillLine:
    coin = task.coins[move.coin]
    parts = []
    if move.from_slot is not None:
        source = _view_of(task, move.from_slot)
        where = source.by_id[move.from_slot].slot.label
        other = "" if source is view else f" of {source.album.name}"
        parts.append(f"from {where}{other}")
    elif coin.place:
        parts.append(coin.place)
    if move.leaving is not None:
        parts.append(f"out: {coin_text(task.coins[move.leaving])}")
    return FillLine(
        LineKind.MOVE,
        view.by_id[move.slot].slot.label,
        move.slot,
        view.album.id,
        move.pair,
        is_ticked,
        view.by_id[move.slot].code & STATE_BITS,
        _with_coin(task, view, move.slot, move.coin).code & STATE_BITS,
        f"{coin_text(coin)} · no. {coin.id}",
        " · ".join(parts),
        move.reason,
    )


def _compare_line(task: FillTask, compare: Compare) -> FillLine:
    view = _view_of(task, compare.slot)
    held, newcomer = task.coins[compare.held], task.coins[compare.newcomer]
    more = f", and {compare.others} more" if compare.others else ""
    code = view.by_id[compare.slot].code & STATE_BITS
    return FillLine(
        LineKind.COMPARE,
        view.by_id[compare.slot].slot.label,
        compare.slot,
        view.album.id,
        before=code,
        after=code,
        coin=f"{coin_text(newcomer)} · no. {newcomer.id}{more}",
        detail=f"in the slot: {coin_text(held)} · no. {held.id}",
        reason="One of the two has no grade; lay them side by side.",
    )
