"""Rows for a clipboard: what is copied reads back as the same coins."""

from dataclasses import replace
from pathlib import Path

import pytest

from core.app.exchange import import_coins, rows_text
from core.app.work import Progress
from core.errors import Cancelled
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import VarietyId
from tests.collection_material import DAY, a_collection, read_coin


def coins_of(folder: Path) -> list[Coin]:
    collection = a_collection(folder)
    whole = replace(
        read_coin(collection, "1943-P vf20"),
        problems=(Problem.BENT, Problem.CLEANED),
        is_genuine=False,
        is_flagged=True,
        varieties=((VarietyId("1943-over-2"), Finding.SUSPECTED),),
        weight_mg=4980,
        origin=Origin.FOUND,
        came_from="box 12; roll 3",
        acquired=DAY,
        place="tray\t7",
        paid_minor=1250,
        currency="USD",
        note='=SUM(A1), "two"\nlines',
    )
    series = collection.series(whole.description.series)
    known = series.varieties_open_to(series.may_be(whole.description))
    found = ((known[0].id, Finding.SUSPECTED),) if known else ()
    lot = replace(read_coin(collection, "1944-D"), quantity=30, note="-5")
    open_mint = read_coin(collection, "1945 ?")
    gone = replace(read_coin(collection, "1950-D xf"), status=CoinStatus.GONE)
    ranged = replace(read_coin(collection, "1938"), grade=parse_grade("vf-xf"))
    return [replace(whole, varieties=found), lot, open_mint, gone, ranged]


def test_copied_rows_read_back_as_the_same_coins(tmp_path: Path) -> None:
    coins = coins_of(tmp_path)
    (tmp_path / "other").mkdir()
    collection = a_collection(tmp_path / "other")
    draft = collection.read_sheet(rows_text(coins), renumber=True)
    assert [fault.text for fault in draft.faults] == []
    assert [row.coin for row in draft.rows] == coins
    made = collection.run(import_coins(draft)).made_coins
    assert [replace(collection.coin(n), id=CoinId(0)) for n in made] == coins


def test_only_columns_that_say_something_are_copied(tmp_path: Path) -> None:
    collection = a_collection(tmp_path)
    text = rows_text([read_coin(collection, "1943-D vf20")])
    head, row, *rest = text.splitlines()
    assert head.split("\t")[:3] == ["series", "date", "mint"]
    assert "note" not in head
    assert row.count("\t") == head.count("\t")
    assert rest == []


def test_numbers_and_slots_are_not_copied(tmp_path: Path) -> None:
    collection = a_collection(tmp_path)
    text = rows_text([replace(read_coin(collection, "1943-D"), id=CoinId(7))])
    assert not {"number", "album", "slot"} & set(text.splitlines()[0].split("\t"))


def test_copying_stops_when_asked(tmp_path: Path) -> None:
    collection = a_collection(tmp_path)
    progress = Progress()
    progress.cancel()
    with pytest.raises(Cancelled):
        rows_text([read_coin(collection, "1943-D")], progress)


def test_a_date_with_its_letter_says_where_the_letter_goes(tmp_path: Path) -> None:
    collection = a_collection(tmp_path)
    code = read_coin(collection, "1943-D").description.series
    sheet = f"series\tdate\n{code}\t1943-D\n{code}\t1843-D\n"
    draft = collection.read_sheet(sheet)
    letter, unknown = (fault.text for fault in draft.faults)
    assert "has a letter with it" in letter
    assert "column “mark”" in letter
    assert "its dates run from 1938" in unknown
