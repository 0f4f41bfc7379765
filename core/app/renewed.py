"""An album's kept view after a change beside it: its marks anew, everything else kept. Pure.

A coin that came to the spares or left them changes which slots a spare waits for, and in an
overview the coin that is shown; the slots, their places and their labels stay.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from core.app.album_view import cell_of, headline, slot_view
from core.app.spares import SpareIndex, rank
from core.app.views import AlbumView, SlotView
from core.model.album import AlbumKind
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.fit import Fit, fit
from core.model.issue import Description, Series, SeriesId


def shows_any(view: AlbumView, coins: frozenset[CoinId]) -> bool:
    """Whether one of these coins lies in the album or is on order for it."""
    return any(
        (one.coin is not None and one.coin.id in coins)
        or (one.ordered is not None and one.ordered.id in coins)
        for one in view.slots
    )


def renewed(
    view: AlbumView,
    descriptions: Collection[Description],
    touched: Sequence[Coin],
    spares: Mapping[SeriesId, SpareIndex],
) -> AlbumView:
    """The view after coins that it shows none of were touched, added or taken away.

    `descriptions` is what these coins are, and were; `touched` are those of them that are there
    now, `spares` the spares of the view's series as they are now, none for a view without marks.
    """
    held = [coin for coin in touched if coin.status is CoinStatus.HELD]
    changed: dict[int, SlotView] = {}
    for series in view.all_series:
        begins = 0
        for description in descriptions:
            may_be = series.may_be(description)
            begins |= may_be & -may_be
        for at in _taking(view, series, begins) if begins else ():
            shown = view.slots[at]
            after = _renewed_slot(view, shown, held, spares.get(series.id))
            if after != shown:
                changed[at] = after
    return _with_slots(view, changed) if changed else view


def _taking(view: AlbumView, series: Series, mask: int) -> list[int]:
    """Which slots of the view, by their place in its order, accept one of these issues."""
    takes: dict[int, bool] = {}  # by identity: the many slots of one kind share what they accept
    found = []
    for at, shown in enumerate(view.slots):
        accepts = shown.slot.accepts
        is_taking = takes.get(id(accepts))
        if is_taking is None:
            is_taking = takes[id(accepts)] = bool(series.may_be(accepts) & mask)
        if is_taking:
            found.append(at)
    return found


def _renewed_slot(
    view: AlbumView, shown: SlotView, held: Sequence[Coin], spares: SpareIndex | None
) -> SlotView:
    series, slot, coin = view.series_of(shown.slot), shown.slot, shown.coin
    if view.album.kind is AlbumKind.OVERVIEW:
        fitting = [one for one in held if fit(series, slot, one) is Fit.FITS]
        candidates = [*fitting, coin] if coin is not None else fitting
        coin = min(candidates, key=lambda one: rank(slot, one), default=None)
    return slot_view(series, slot, coin, shown.ordered, spares, view.album.arrangement)


def _with_slots(view: AlbumView, changed: Mapping[int, SlotView]) -> AlbumView:
    """The view with other slots at these places of its order; those that shared it keep theirs."""
    slots, by_id, plan = list(view.slots), dict(view.by_id), view.plan.copy()
    for at, shown in changed.items():
        slots[at] = by_id[shown.slot.id] = shown
        cell = cell_of(shown, plan.has_two_lines)
        where = plan.cell_of_slot(cell.slot_id)
        plan.set_cell(where, cell.code, cell.line_1, cell.line_2, cell.detail)
    return replace(view, slots=tuple(slots), plan=plan, headline=headline(slots), by_id=by_id)
