"""Grade words of another country in the window: cells, forms, the card, stocking, on paper."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from core.app.checklists import held_in_full
from core.app.exchange import rows_text
from core.app.operations import add_and_place
from core.app.operations_coins import CoinChange, change_coins
from core.app.stocking import SPACE
from core.catalogue.load import load_series
from core.lookup.parse import parse_entry
from core.model.album import parse_target
from core.model.coin import CoinId
from core.model.grade_tables import read_grade_of
from core.model.issue import SeriesId
from core.model.state import SlotState
from gui.album.stock_run import StockRun
from gui.coins.cells import KnownSeries, read_cell
from gui.coins.columns import FOREIGN_GRADE_PX, WIDTHS
from gui.coins.draft import draft_of, read_draft
from gui.coins.many import Field, ManyDraft, read_many, shared
from gui.coins.rows import COLUMNS, CoinTable, Column, Part, text_of
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.leaf.slot_orders import read_coin
from tests.gui.coins_material import Key, a_panel, coin, field, shown, stand_on, type_cell
from tests.gui.desk_material import a_desk, an_album, collection_of, with_coins

PENNIES = load_series("uk-penny-bronze")
GVF = read_grade_of("gVF", "United Kingdom")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Four spare pennies of 1936 and an album of them."""
    desk = a_desk(tmp_path)
    an_album(desk, "Pennies", SeriesId("uk-penny-bronze"), (1930, 1936), parse_target("xf40"))
    lines = ("1936 nef", "1936 vf", "1936 gvf", "1936 f")
    with_coins(desk, [parse_entry(line, [PENNIES]).coin for line in lines])
    return desk


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk) -> CoinsWorkspace:
    return a_panel(qtbot, desk)


def test_the_table_shows_the_word_its_table_and_its_range(panel: CoinsWorkspace) -> None:
    assert shown(panel, Column.GRADE) == [
        "F (British, 15–35)",
        "gVF (British, 40–53)",
        "VF (British, 40–53)",
        "nEF (British, 40–53)",
    ]  # the newest coin first


def test_the_grade_column_has_room_for_a_table_only_where_one_is_shown_or_it_was_made_so(
    panel: CoinsWorkspace, desk: Desk
) -> None:
    place = COLUMNS.index(Column.GRADE)
    assert panel.table.columnWidth(place) == FOREIGN_GRADE_PX
    assert panel.table.columns.widths == {}
    every = [CoinId(number) for number in (1, 2, 3, 4)]
    desk.run(change_coins(every, CoinChange(grade=read_grade_of("vf20"))))
    assert panel.table.columnWidth(place) == WIDTHS[Column.GRADE]
    panel.table.setColumnWidth(place, 120)
    desk.undo()
    assert panel.table.columnWidth(place) == 120


@pytest.mark.parametrize("is_descending", [False, True])
def test_the_grade_column_sorts_by_the_low_end_and_then_by_half_steps(
    desk: Desk, is_descending: bool
) -> None:
    with_coins(desk, [parse_entry(f"1936 {g}", [PENNIES]).coin for g in ("xf45", "vf35")])
    table = CoinTable(collection_of(desk).coin_rows())
    order = table.shown("", Part.ALL, Column.GRADE, is_descending)
    grades = [grade.short_text for n in order if (grade := table.rows[n].coin.grade)]
    expected = ["F", "VF-35", "VF", "gVF", "nEF", "XF-45"]
    assert grades == (expected[::-1] if is_descending else expected)


def test_a_cell_takes_a_word_of_the_coins_issuer_and_says_which_it_has(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    type_cell(panel, qtbot, 4, Column.GRADE, "aef", Key.Key_Return)
    assert coin(desk, 4).grade == read_grade_of("aEF", "United Kingdom")
    type_cell(panel, qtbot, 4, Column.GRADE, "zz", Key.Key_Return)
    assert "the British table has Fair, VG, F, VF, EF" in panel.editing.editor.fault
    assert panel.editing.is_open
    panel.editing.leave()
    stand_on(panel, 3, Column.GRADE)
    qtbot.keyClick(panel.table, Key.Key_F2)
    qtbot.keyClick(field(panel), Key.Key_Return)
    assert coin(desk, 3).grade == GVF


def test_the_text_of_a_cell_reads_back(desk: Desk) -> None:
    known = KnownSeries((PENNIES,), (PENNIES,))
    for row in collection_of(desk).coin_rows():
        text = text_of(row, Column.GRADE)
        assert read_cell(text, Column.GRADE, row.coin, known).grade == row.coin.grade


def test_the_form_takes_a_word_of_the_issuer(desk: Desk) -> None:
    from dataclasses import replace

    draft = draft_of(coin(desk, 4))
    assert draft.grade == "F (British, 15–35)"
    read, faults = read_draft(replace(draft, grade="gvf"), coin(desk, 4), PENNIES)
    assert (read.grade, faults) == (GVF, [])
    _read, faults = read_draft(replace(draft, grade="vz"), coin(desk, 4), PENNIES)
    assert "British table has" in faults[0].text


def test_many_coins_of_one_issuer_take_its_words_and_others_only_where_named(desk: Desk) -> None:
    rows = collection_of(desk).coin_rows()
    common = shared(rows, lambda _row: "", lambda _row: "United Kingdom")
    change, faults = read_many(ManyDraft({Field.GRADE: "gvf"}), "", common.issuer)
    assert (change.grade, faults) == (GVF, [])
    mixed = shared(rows, lambda _row: "", lambda row: f"issuer {row.coin.id}")
    _change, faults = read_many(ManyDraft({Field.GRADE: "gvf"}), "", mixed.issuer)
    assert "not on the grade scale" in faults[0].text
    change, faults = read_many(ManyDraft({Field.GRADE: "british gvf"}), "", mixed.issuer)
    assert (change.grade, faults) == (GVF, [])


def test_a_slot_takes_a_word_alone_and_shows_it_short_with_its_range_on_paper(desk: Desk) -> None:
    collection = collection_of(desk)
    album = collection.albums()[0].id
    slot = next(v.slot for v in collection.album_view(album).slots if v.slot.label == "1936")
    typed = read_coin("gvf", PENNIES, slot)
    assert (typed.grade, typed.description) == (GVF, slot.accepts)
    collection.run(add_and_place(typed, slot.id))
    view = collection.album_view(album).by_id[slot.id]
    assert view.state is SlotState.FILLED
    assert view.held_text == "gVF"
    assert held_in_full(view) == "gVF (British, 40–53)"
    facts = dict(collection.slot_card(slot.id).facts)
    assert any("gVF (British, 40–53)" in fact for fact in facts.values()), facts


def test_stocking_an_album_reads_the_words_of_its_series(desk: Desk) -> None:
    collection = collection_of(desk)
    run = StockRun(collection.album_view(collection.albums()[0].id))
    for key in "gvf":
        run.press(key)
    run.press(SPACE)
    assert run.typed.grade == GVF


def test_an_undo_brings_the_word_and_its_table_back(desk: Desk) -> None:
    collection = collection_of(desk)
    collection.run(change_coins([CoinId(3)], CoinChange(grade=read_grade_of("vf20"))))
    desk.undo()
    assert coin(desk, 3).grade == GVF


def test_a_grade_of_the_scale_on_a_coin_of_a_country_with_words_survives_copy_and_export(
    desk: Desk,
) -> None:
    collection = collection_of(desk)
    grades = ("us vf", "us vf details", "us ms", "vf20", "gvf", "vf-ef")
    lines = [f'1935 {grade} "{grade}"' for grade in grades]
    with_coins(desk, [parse_entry(line, [PENNIES]).coin for line in lines])
    coins = [row.coin for row in collection.coin_rows()]
    pasted = rows_text(coins, series={PENNIES.id: PENNIES})
    draft = collection.read_sheet(pasted, renumber=True)
    assert [row.coin.grade for row in draft.rows] == [one.grade for one in coins]
    assert "US VF" in pasted
