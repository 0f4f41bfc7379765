"""Coins out and in again are the same coins; a faulty row lets nothing in; no text is too odd."""

import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.app.changes import Changes
from core.app.collection import Collection
from core.app.exchange import import_coins
from core.app.exchange_cells import (
    WRITTEN,
    Column,
    facet_cells,
    facets_meant,
    plain,
    read_varieties,
    safe,
    varieties_text,
)
from core.app.exchange_read import read_sheet
from core.app.operations import add_coins, edit_coins
from core.app.order import Context, Operation
from core.errors import CollectionError, Refused
from core.model.coin import Coin, CoinId, Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.grade_tables import read_grade_of
from core.model.issue import Description, Facet, Series, VarietyId
from core.store.unit import Unit
from tests.builders import a_series, all_series
from tests.collection_material import CENTS, NICKELS, TOKENS
from tests.exchange_material import an_empty_twin, line_of, rows_of, sheet_of, taken_in, text_of
from tests.property.test_collection import ORDERS, Step, World, a_world, small

# Every character a file may hold; half a surrogate pair is none.
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12) | st.sampled_from(
    (
        "=1+1",
        "@x",
        "-",
        "'",
        "''=",
        "\t",
        " two ",
        "a,b;c",
        'say "so"',
        "one\r\ntwo",
        "\ufeff",
        "or",
    )
)
TABLE_GRADES = tuple(
    map(read_grade_of, ("british gVF rd", "vz-st (German)", "nordic 1?", "PP (German)", "french B"))
)
GRADES = ("", "vf20", "vf-xf", "ms65+ rd fs", "au50 details", "pf66 dcam", "g4", "f", "au50-ms62")
numbers = st.integers(0, 2**40)
# A sheet carries coins with their places and past; not the search log, tallies, prices and offers,
# what was chosen of plans, nor arrangements that are kept.
BESIDE = {
    *("box", "find", "seen", "roll", "log", "unlog", "tally", "keep"),
    *("price", "prices", "offer", "take", "untake", "rate", "rules", "choose"),
}
CARRIED = [name for name in ORDERS if name not in BESIDE]
steps = st.lists(st.tuples(st.sampled_from(CARRIED), small, small, small), min_size=4, max_size=14)


@st.composite
def descriptions(draw: st.DrawFn, series: Series) -> Description:
    """What some coin of a series may still be: any facets of one to three of its issues."""
    issues = draw(st.lists(st.sampled_from(series.issues), min_size=1, max_size=3))
    choices = {name for issue in issues for name, _ in issue.choices}
    facets = {}
    for name in sorted({facet.value for facet in Facet} | choices):
        values = [issue.value(name) for issue in issues]
        if draw(st.booleans()) and None not in values:
            facets[name] = [value for value in values if value is not None]
    return Description.of(series.id, facets)


@st.composite
def coins(draw: st.DrawFn, series: Series) -> Coin:
    """Any coin that a collection may hold: everything known, or nothing."""
    grade = draw(st.sampled_from(GRADES))
    known = [v.id for v in series.varieties] + [VarietyId('no=such; "one"'), VarietyId("any")]
    found = draw(st.dictionaries(st.sampled_from(known).filter(lambda v: ";" not in v),
                                 st.sampled_from(Finding), max_size=2))  # fmt: skip
    entered = draw(st.sampled_from(("", "sehr schön", "=TTB")))
    points = parse_grade(grade) if grade else None
    of_table = draw(st.none() | st.sampled_from(TABLE_GRADES))
    return Coin(
        CoinId(0),
        draw(descriptions(series)),
        of_table or (replace(points, entered=entered) if points else None),
        tuple(draw(st.lists(st.sampled_from(Problem), max_size=3))),
        is_genuine=draw(st.booleans()),
        is_flagged=draw(st.booleans()),
        varieties=tuple(sorted(found.items())),
        weight_mg=draw(st.none() | st.integers(0, 10**8)),
        quantity=draw(st.sampled_from((1, 1, 1, 2, 4000))),
        origin=draw(st.sampled_from(Origin)),
        came_from=draw(texts),
        acquired=draw(st.none() | st.dates()),
        place=draw(texts),
        paid_minor=draw(st.none() | st.integers(-(2**62), 2**62)),
        currency=draw(st.sampled_from(("", "USD", "JPY", "KWD", "harbour")) | texts),
        note=draw(texts),
    )


@st.composite
def changes(draw: st.DrawFn) -> Coin:
    """A coin of the series that the worlds here hold."""
    from core.catalogue.load import load_series

    return draw(coins(load_series(draw(st.sampled_from((NICKELS, CENTS, TOKENS))))))


def relabelled(names: list[str], labels: list[str]) -> Operation:
    """Give albums and some of their slots other names."""

    def work(unit: Unit, _context: Context) -> Changes:
        for album, name in zip(unit.read.albums(), names, strict=False):
            unit.update_album(replace(album, name=f"{name} {album.id}".strip()))
            slots = unit.read.slots(album.id)
            unit.update_slots([replace(s, label=x) for s, x in zip(slots, labels, strict=False)])
        return Changes.everything()

    return Operation("other names", work)


def enriched(world: World, rich: list[Coin], names: list[str], labels: list[str]) -> None:
    """Let coins here be known in any detail, and some come besides."""
    collection = world.collection
    here = [row.coin for row in collection.coin_rows()]
    for have, known in zip(here, rich, strict=False):
        better = replace(known, id=have.id, status=have.status, quantity=have.quantity)
        try:
            collection.run(edit_coins([better]))
        except CollectionError:
            continue
    collection.run(add_coins(rich[len(here) // 2 :] or rich))
    collection.run(relabelled(names, labels))


@contextmanager
def twin_of(world: World) -> Iterator[Collection]:
    with tempfile.TemporaryDirectory() as folder:
        twin = an_empty_twin(world.collection, Path(folder) / "twin.slotleaf", world.clock)
        with twin:
            yield twin


@settings(max_examples=12)
@given(
    steps,
    st.lists(changes(), min_size=1, max_size=6),
    st.lists(texts, max_size=3),
    st.lists(texts | st.sampled_from(("1941", "#3", "1941-D")), max_size=4),
)
def test_coins_out_and_in_again_into_the_same_albums_are_the_same_collection(
    walk: list[Step], rich: list[Coin], names: list[str], labels: list[str]
) -> None:
    with a_world(has_log=False) as world:
        for step in walk:
            world.go(step)
        enriched(world, rich, names, labels)
        with twin_of(world) as twin:
            empty = twin.rows_hash()
            taken_in(twin, sheet_of(world.collection))
            assert twin.content_hash() == world.collection.content_hash()
            assert sheet_of(twin) == sheet_of(world.collection)
            assert sorted(twin.check()) == sorted(world.collection.check())
            twin.undo()
            assert twin.rows_hash() == empty
            twin.redo()
            assert twin.content_hash() == world.collection.content_hash()


# What one may do to a row of a sheet that makes it faulty, whatever was there.
WRONG: Mapping[Column, tuple[str, ...]] = {
    Column.NUMBER: ("x", "0", "-3", "1.5", "9" * 14),
    Column.SERIES: ("no-such-series",),
    Column.DATE: ("1066", 'a"b', "1941 or"),
    Column.STRIKE: ("hammered",),
    Column.RELEASE: ("thieves",),
    Column.CHOICES: ("rim=wavy", "rim"),
    Column.VARIETIES: ("=confirmed", "a=perhaps", "a;a"),
    Column.GRADE: ("zz9", "vf21", "vf20 xf40"),
    Column.PROBLEMS: ("sad",),
    Column.GENUINE: ("perhaps",),
    Column.TO_VERIFY: ("perhaps",),
    Column.WEIGHT: ("heavy", "-1", "3.1.1"),
    Column.STATUS: ("lost",),
    Column.QUANTITY: ("0", "two", "-1"),
    Column.ORIGIN: ("the moon",),
    Column.ACQUIRED: ("2025-02-30", "1.2.2025", "20250102"),
    Column.PAID: ("ten", "1,000.00", "1.2345"),
    Column.ALBUM: ("no such album",),
    Column.SLOT: ("no such slot",),
    Column.SINCE: ("soon", "2025-13-01"),
    Column.PLACED_ANYWAY: ("perhaps",),
    Column.EARLIER: ("once", '2025-03-01 to 2025-01-01: "Nickels" "1941"'),
}
wrongs = st.sampled_from([(column, text) for column, all_ in WRONG.items() for text in all_])
At = Callable[[Column], int]
HEAD = [column.value for column in WRITTEN]


def at(column: Column) -> int:
    return HEAD.index(column.value)


def require_nothing_in(twin: Collection, rows: list[list[str]], faulty: int) -> None:
    """The faulty row is named by its line, and nothing at all comes in."""
    before = twin.rows_hash(), twin.undo_label
    draft = twin.read_sheet(text_of(rows))
    assert line_of(rows, faulty) in {fault.line for fault in draft.faults}
    with pytest.raises(Refused):
        twin.run(import_coins(draft))
    assert (twin.rows_hash(), twin.undo_label) == before


@settings(max_examples=12)
@given(steps, st.lists(changes(), min_size=1, max_size=4), st.integers(0, 99), wrongs)
def test_one_faulty_cell_is_named_by_its_line_and_lets_nothing_in(
    walk: list[Step], rich: list[Coin], which: int, wrong: tuple[Column, str]
) -> None:
    column, text = wrong
    with a_world() as world:
        for step in walk:
            world.go(step)
        enriched(world, rich, [], [])
        rows = rows_of(sheet_of(world.collection))
        faulty = 1 + which % (len(rows) - 1)
        rows[faulty][at(column)] = text
        with twin_of(world) as twin:
            require_nothing_in(twin, rows, faulty)


@settings(max_examples=10)
@given(steps, st.integers(0, 99), st.integers(0, 99))
def test_two_coins_of_one_number_or_in_one_slot_let_nothing_in(
    walk: list[Step], one: int, other: int
) -> None:
    with a_world() as world:
        for step in walk:
            if step[0] != "undo":  # so that the coins of the world stay
                world.go(step)
        rows = rows_of(sheet_of(world.collection))
        first, second = sorted((1 + one % (len(rows) - 1), 1 + other % (len(rows) - 1)))
        if first == second:
            return
        twice = [list(row) for row in rows]
        twice[second][at(Column.NUMBER)] = twice[first][at(Column.NUMBER)]
        with twin_of(world) as twin:
            require_nothing_in(twin, twice, second)
            for column in (Column.ALBUM, Column.SLOT, Column.SINCE, Column.STATUS, Column.QUANTITY):
                rows[second][at(column)] = rows[first][at(column)]
            if rows[first][at(Column.SLOT)]:
                require_nothing_in(twin, rows, second)


@settings(max_examples=200)
@given(st.text())
def test_no_text_is_too_odd_to_be_read(text: str) -> None:
    draft = read_sheet(text, all_series())
    assert draft.faults or draft.notes or draft.rows


@settings(max_examples=200)
@given(
    st.lists(st.sampled_from([*HEAD, "coin", "other", ""]), min_size=1, max_size=5),
    st.lists(st.lists(texts, max_size=6), max_size=4),
    st.sampled_from(",;\t"),
)
def test_no_cell_is_too_odd_to_be_read(
    head: list[str], cells: list[list[str]], delimiter: str
) -> None:
    read_sheet(text_of([head, *cells], delimiter), all_series())


@given(texts)
def test_a_cell_kept_from_running_reads_back_to_the_same_text(text: str) -> None:
    assert plain(safe(text)) == text
    assert not safe(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@settings(max_examples=200)
@given(st.data())
def test_what_a_coin_is_reads_back_to_the_same_description(data: st.DataObject) -> None:
    odd = data.draw(
        st.dictionaries(
            st.sampled_from([f.value for f in Facet]) | texts.filter(bool),
            st.sets(texts, min_size=1, max_size=3),
            max_size=5,
        )
    )
    description = Description.of(a_series().id, odd)
    cells = {column: text for column, text in facet_cells(description.facets).items() if text}
    assert facets_meant(cells) == description.facets


@given(st.dictionaries(texts.filter(lambda t: t and ";" not in t), st.sampled_from(Finding)))
def test_varieties_read_back(found: dict[str, Finding]) -> None:
    varieties = tuple(sorted((VarietyId(v), f) for v, f in found.items()))
    assert read_varieties(varieties_text(varieties)) == varieties
