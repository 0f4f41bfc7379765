"""Albums across series: what is true of each slot is what is true of it in an album of its own."""

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from core.app.album_view import album_view
from core.app.spares import SpareIndex, best_of_series
from core.app.views import AlbumView
from core.errors import Refused
from core.fill.proposal import propose
from core.fill.value import FillInput
from core.model.album import Album, AlbumId, Slot, SlotId, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import Coin, CoinId
from core.model.grade import parse_grade
from core.model.issue import Description, Series
from core.model.plan_across import AcrossPlan, plan_across
from tests.builders import cents, dimes, nickels

SERIES = (cents(), nickels(), dimes())
KNOWN = {series.id: series for series in SERIES}
GRADES = ("", "g4", "vf20", "au50", "ms65")
SHAPES = ("years-by-mints", "running:5x4", "by-type:5x8", "years-by-mints; order=mint", "by-design",
          "by-decade:4x4; order=date", "dates-only")  # fmt: skip

chosen = st.lists(st.sampled_from(SERIES), min_size=2, max_size=3, unique=True)
years = st.sampled_from((None, None, 1943, 1946, 1958, 1964, 1982))
coins = st.lists(
    st.tuples(st.integers(0, 2), st.integers(0, 200), st.integers(0, 4), st.booleans()), max_size=8
)
shapes = st.sampled_from(SHAPES)


def slots_of(series: Sequence[Series], year: int | None, each_mint: bool) -> list[Slot]:
    """The slots of an album across series, numbered; [] where there are none."""
    plan = AcrossPlan(tuple(s.id for s in series), year, each_mint, parse_target("VF-20"))
    try:
        planned = plan_across(series, plan)
    except Refused:
        return []
    return [replace(s, id=SlotId(n), album=AlbumId(1)) for n, s in enumerate(planned, 1)]


def made(drawn: list[tuple[int, int, int, bool]]) -> list[Coin]:
    """Coins of usual issues; some of which the mint is not known."""
    out = []
    for number, (of, at, grade, is_open) in enumerate(drawn, 1):
        series = SERIES[of]
        usual = [issue for issue in series.issues if series.is_usual(issue)]
        issue = usual[at % len(usual)]
        facets = {**series.usual, "date": issue.date, "design": issue.design}
        if not is_open:
            facets["mint"] = issue.mint
        points = parse_grade(GRADES[grade]) if GRADES[grade] else None
        out.append(Coin(CoinId(number), Description.of(series.id, facets), points))
    return out


def view_of(slots: Sequence[Slot], held: dict[SlotId, Coin], spares: list[Coin],
            shape: str) -> AlbumView:  # fmt: skip
    codes = list(dict.fromkeys(slot.accepts.series for slot in slots))
    first, *rest = (KNOWN[code] for code in codes)
    album = Album(AlbumId(1), "Across", first.id, 0, arrangement=parse_arrangement(shape))
    index = {
        code: SpareIndex(KNOWN[code], [c for c in spares if c.description.series == code])
        for code in codes
    }
    return album_view(album, first, slots, held, {}, index, {s.id: s for s in rest})


@given(chosen, years, st.booleans(), coins, shapes)
def test_each_slot_is_as_in_an_album_of_its_own_series(
    series: list[Series],
    year: int | None,
    each_mint: bool,
    drawn: list[tuple[int, int, int, bool]],
    shape: str,
) -> None:
    slots = slots_of(series, year, each_mint)
    if not slots:
        return
    every = made(drawn)
    held = best_of_series(series, every[::2], slots)
    spares = every[1::2]
    whole = view_of(slots, held, spares, shape)
    placed = [c.slot for leaf in whole.leaves for row in leaf.rows for c in row.cells]
    assert sorted(at for at in placed if at is not None) == list(range(len(slots)))
    for one in series:
        mine = [slot for slot in slots if slot.accepts.series == one.id]
        if mine:
            alone = view_of(mine, held, spares, shape)
            assert [v for v in whole.slots if v.slot in mine] == list(alone.slots)


@given(chosen, years, st.booleans(), coins)
def test_filling_across_series_is_filling_each_series_alone(
    series: list[Series],
    year: int | None,
    each_mint: bool,
    drawn: list[tuple[int, int, int, bool]],
) -> None:
    slots = slots_of(series, year, each_mint)
    if not slots:
        return

    def filled(some: Sequence[Slot]) -> set[tuple[SlotId, CoinId]]:
        task = FillInput(KNOWN, (AlbumId(1),), tuple(some), tuple(made(drawn)), {})
        return {(move.slot, move.coin) for move in propose(task).moves}

    parts = [filled([s for s in slots if s.accepts.series == one.id]) for one in series]
    assert filled(slots) == set().union(*parts)


@given(chosen, years, st.booleans())
def test_rows_of_a_matrix_are_of_one_series_each(
    series: list[Series], year: int | None, each_mint: bool
) -> None:
    slots = slots_of(series, year, each_mint)
    if not slots:
        return
    view = view_of(slots, {}, [], "years-by-mints")
    for leaf in view.leaves:
        for row in leaf.rows:
            codes = {slots[c.slot].accepts.series for c in row.cells if c.slot is not None}
            assert len(codes) == 1
