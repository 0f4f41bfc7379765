"""Finishing a box: its finds into the albums; the rest kept, put into a lot, or given back.

`finish_task` reads what there is, `finish_proposal` works out where the finds serve best, and
`finish_box` does all of it in one entry of the journal, so that undo takes back the whole.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import reduce
from typing import TYPE_CHECKING

from core.app.changes import Changes
from core.app.look_up_places import is_for_the_eye
from core.app.operations import apply_fill
from core.app.order import Context, Operation, known_coins, places_of
from core.app.search_boxes import finish_box as mark_done
from core.app.search_common import require_open, tidy
from core.app.search_views import FindLine
from core.errors import Refused
from core.fill.proposal import Aim, Move, Proposal, partial, propose
from core.fill.value import FillInput, Pair
from core.model.album import AlbumKind, Slot, SlotId, Wish
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.fit import Fit, fit, meets_target
from core.model.grade import Grade
from core.model.search import Box, BoxId
from core.search.facts import UPGRADES
from core.store.unit import Unit

if TYPE_CHECKING:
    from core.app.collection import Collection

SAID_BETTER = "You said that it is better."
LOT_PLACE = "bulk lot"
"""Where coins of a lot lie, unless another place is told."""


class Way(StrEnum):
    """What becomes of a find that goes into no album."""

    SPARE = "spare"
    LOT = "lot"
    BANK = "bank"


@dataclass(frozen=True, slots=True)
class FinishTask:
    """A box about to be finished.

    `finds` are all of it in order, `loose` those that may still go somewhere: held, in no slot, in
    no lot. `given` is what Fill looks at: the albums that take coins of their series, what sits in
    them, and the loose finds; no other spare.
    """

    box: Box
    finds: tuple[FindLine, ...]
    loose: frozenset[CoinId]
    given: FillInput

    def rest(self, proposal: Proposal) -> tuple[FindLine, ...]:
        """The loose finds that a proposal leaves over, in the order of the box."""
        used = {move.coin for move in proposal.moves}
        return tuple(
            line for line in self.finds if line.coin.id in self.loose and line.coin.id not in used
        )


def finish_task(collection: "Collection", box_id: BoxId, uncapped: bool = False) -> FinishTask:
    """Read all that finishing a box needs; refused where it is finished."""
    view = collection.log.box_view(box_id)
    require_open(view.box)
    loose = {line.coin.id: line.coin for line in view.finds if _is_loose(line)}
    codes = {coin.description.series for coin in loose.values()}
    albums = [
        album.id
        for album in collection.albums()
        if album.kind is AlbumKind.HOLDER
        and codes & {one.id for one in collection.album_view(album.id).all_series}
    ]
    if albums:
        given = collection.fill_input(albums, uncapped)
    else:
        given = FillInput({}, (), (), (), {}, uncapped=uncapped)
    given = replace(given, coins=(*given.coins, *loose.values()), spares=None)
    return FinishTask(view.box, view.finds, frozenset(loose), given)


def _is_loose(line: FindLine) -> bool:
    coin = line.coin
    return line.slot is None and coin.status is CoinStatus.HELD and not coin.is_lot


def finish_proposal(task: FinishTask, barred: Iterable[Pair] = ()) -> Proposal:
    """Where the finds serve best, without these pairs.

    Coins that sit in the albums move only where a find is the reason for it.
    """
    given = replace(task.given, barred=frozenset(barred))
    whole = propose(given)
    chains = {move.chain for move in whole.moves if move.coin in task.loose}
    mine = [move for move in whole.moves if move.chain in chains]
    proposal = whole if len(mine) == len(whole.moves) else partial(given, mine)
    by_eye = tuple(one for one in proposal.compares if one.newcomer in task.loose)
    return _with_judged(task, replace(proposal, compares=by_eye), given.barred)


def _with_judged(task: FinishTask, proposal: Proposal, barred: frozenset[Pair]) -> Proposal:
    """With the finds that only the eye could judge, and that were said to be better (`>`).

    The last one said so of a slot goes in; Fill by itself would only ask to compare.
    """
    coins = {coin.id: coin for coin in task.given.coins}
    order = {line.coin.id: at for at, line in enumerate(task.finds)}
    used = {move.coin for move in proposal.moves}
    for line in reversed(task.finds):
        coin = line.coin
        if line.answer != UPGRADES or coin.id not in task.loose or coin.id in used:
            continue
        for one in task.given.slots:
            held = coins.get(proposal.after.get(one.id, CoinId(0)))
            if (
                held is not None
                and (one.id, coin.id) not in barred
                and one.accepts.series == coin.description.series
                and not one.is_pinned
                and one.wish is not Wish.SKIPPED
                and order.get(coin.id, 0) > order.get(held.id, -1)
                and fit(task.given.series[one.accepts.series], one, coin) is Fit.FITS
                and is_for_the_eye(one, held, coin)
            ):
                proposal = _put(proposal, task.given.placed, one, held, coin)
                used.add(coin.id)
                break
    return proposal


def _put(
    proposal: Proposal, placed: Mapping[SlotId, CoinId], slot: Slot, held: Coin, coin: Coin
) -> Proposal:
    """With another coin in a slot than the one it would hold."""
    chain = max((move.chain for move in proposal.moves), default=-1) + 1
    had = next((move for move in proposal.moves if move.slot == slot.id), None)
    if had is None:
        leaving = placed.get(slot.id)
        move = Move(slot.id, coin.id, None, leaving, Aim.BETTER_GRADE, SAID_BETTER, chain)
        moves = (*proposal.moves, move)
    else:
        now = replace(had, coin=coin.id)
        if had.from_slot is not None:  # a coin of another slot does not go on there
            now = replace(now, from_slot=None, reason=SAID_BETTER, chain=chain)
        moves = tuple(now if m is had else m for m in proposal.moves)
    more = meets_target(slot, coin) - meets_target(slot, held) if slot.wish is Wish.WANTED else 0
    target = dict(proposal.target_after)
    target[slot.album] = target.get(slot.album, 0) + more
    return replace(
        proposal,
        moves=moves,
        compares=tuple(one for one in proposal.compares if one.slot != slot.id),
        after={**proposal.after, slot.id: coin.id},
        target_after=target,
    )


# ---- doing it


def finish_box(
    box_id: BoxId,
    pairs: Sequence[Pair] = (),
    ways: Mapping[CoinId, Way] | None = None,
    lot_place: str = LOT_PLACE,
    seconds: int = 0,
) -> Operation:
    """Fill these slots, send the rest their ways, and mark the box done; all or nothing.

    Finds not named stay spares. Coins of a lot that are alike become one row that lies in
    `lot_place`, with the span of their grades; the box's finds then name that row. A coin given
    back is gone, and its note says so. `seconds` of work are added to the box.
    """
    asked = dict(ways or {})

    def work(unit: Unit, context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        require_open(box)
        _require_rest(unit, box, pairs, asked)
        done = [apply_fill(pairs).work(unit, context)] if pairs else []
        back = [coin for coin, way in asked.items() if way is Way.BANK]
        lot = [coin for coin, way in asked.items() if way is Way.LOT]
        done.append(_give_back(unit, box, known_coins(unit, back)))
        done.append(_put_in_lots(unit, known_coins(unit, lot), tidy(lot_place)))
        done.append(mark_done(box_id, seconds).work(unit, context))
        return reduce(_both, done)

    return Operation("finish", work)


def _both(one: Changes, other: Changes) -> Changes:
    return replace(
        one,
        albums=one.albums | other.albums,
        slots=one.slots | other.slots,
        coins=one.coins | other.coins,
        descriptions=one.descriptions | other.descriptions,
        boxes=one.boxes | other.boxes,
        is_log=one.is_log or other.is_log,
    )


def _require_rest(unit: Unit, box: Box, pairs: Sequence[Pair], ways: Mapping[CoinId, Way]) -> None:
    """Refuse a way for what is no loose find of the box, or goes into an album."""
    found = {find.coin for find in unit.read.log.finds(box.id)}
    filled = {coin for _, coin in pairs}
    placed = places_of(unit, list(ways))
    for coin in known_coins(unit, list(ways)):
        why = ""
        if coin.id not in found:
            why = f"is no find of box {box.number}"
        elif coin.id in filled:
            why = "is to go into an album"
        elif coin.id in placed:
            why = f"sits in slot {unit.read.slot(placed[coin.id]).label}"
        elif coin.status is not CoinStatus.HELD:
            why = f"is {coin.status.value} already"
        elif coin.is_lot:
            why = "is in a lot already"
        if why:
            raise Refused(
                f"Coin {coin.id} {why}; nothing was changed. Look again what is left of the box."
            )


def _give_back(unit: Unit, box: Box, coins: Sequence[Coin]) -> Changes:
    said = f"back to the bank, box {box.number}"
    gone = [
        replace(coin, status=CoinStatus.GONE, note="; ".join(filter(None, (coin.note, said))))
        for coin in coins
    ]
    unit.update_coins(gone)
    return _touched(gone)


def _put_in_lots(unit: Unit, coins: Sequence[Coin], place: str) -> Changes:
    """One row for coins alike in all but their grades; each find names its row.

    A coin that sat in a slot once keeps its own, which the album's past names.
    """
    groups: dict[object, list[Coin]] = defaultdict(list)
    for coin in coins:
        has_past = bool(unit.read.placements_of_coin(coin.id))
        groups[coin.id if has_past else _lot_key(coin)].append(coin)
    rows = [
        replace(
            group[0], quantity=len(group), grade=_span([c.grade for c in group]), place=place
        )
        for group in groups.values()
    ]  # fmt: skip
    row_of = {
        coin.id: row.id
        for row, group in zip(rows, groups.values(), strict=True)
        for coin in group
    }  # fmt: skip
    merged = [coin for coin, row in row_of.items() if coin != row]
    for find in unit.read.log.finds_of_coins(merged) if merged else ():
        unit.log.update(replace(find, coin=row_of[find.coin]))
    unit.update_coins(rows)
    if merged:
        unit.delete_coins(merged)
    return _touched(coins)


def _lot_key(coin: Coin) -> object:
    """Coins with the same key may lie in one row: alike but for number, day and the grade's steps.

    Grades join where they can be one span; one of another country's table only with its equal.
    """
    plain = replace(
        coin, id=CoinId(0), grade=None, acquired=None, place="", paid_minor=None, currency=""
    )
    paid = coin.paid_minor, coin.currency
    grade = coin.grade
    if grade is not None and not grade.entered:
        return plain, paid, replace(grade, low=0, high=0, is_plus=False)
    return plain, paid, grade


def _span(grades: Sequence[Grade | None]) -> Grade | None:
    """The span from the least to the greatest of grades that may join."""
    known = [grade for grade in grades if grade is not None]
    if not known:
        return None
    low, high = min(grade.low for grade in known), max(grade.high for grade in known)
    is_plus = all(grade.is_plus for grade in known)
    return replace(known[0], low=low, high=high, is_plus=is_plus)


def _touched(coins: Sequence[Coin]) -> Changes:
    return Changes(
        coins=frozenset(coin.id for coin in coins),
        descriptions=frozenset(coin.description for coin in coins),
    )


# ---- telling it


@dataclass(frozen=True, slots=True)
class Totals:
    """What finishing a box will do, as counts."""

    moves: int
    finds_placed: int
    coming_out: int
    spares: int
    in_lot: int
    back: int

    @property
    def text(self) -> str:
        """3 finds into albums · 2 coins come out · 18 spares · 4 into the lot · 1 to the bank."""
        told = [
            (self.finds_placed, "find into albums", "finds into albums"),
            (self.coming_out, "coin comes out", "coins come out"),
            (self.spares, "spare", "spares"),
            (self.in_lot, "into the lot", "into the lot"),
            (self.back, "back to the bank", "back to the bank"),
        ]
        words = [f"{n} {one if n == 1 else many}" for n, one, many in told if n]
        return " · ".join(words) or "nothing was kept of this box"


def totals(task: FinishTask, proposal: Proposal, ways: Mapping[CoinId, Way]) -> Totals:
    """The counts of a proposal and of the ways of the rest; who is not named stays a spare."""
    kept = [ways.get(line.coin.id, Way.SPARE) for line in task.rest(proposal)]
    going_in = {move.coin for move in proposal.moves}
    leaving = {move.leaving for move in proposal.moves if move.leaving is not None}
    return Totals(
        len(proposal.moves),
        len(going_in & task.loose),
        len(leaving - going_in),
        kept.count(Way.SPARE),
        kept.count(Way.LOT),
        kept.count(Way.BANK),
    )
