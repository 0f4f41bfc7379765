"""Coins sheets: what is read, what is written, and what is said of rows that are wrong."""

import csv
from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.demo import write_demo
from core.app.exchange import coming_text, import_coins
from core.app.exchange_cells import WRITTEN, Column, read_values, values_text
from core.app.exchange_read import _PROPERTIES, SheetDraft, read_sheet
from core.app.exchange_sheet import cut, sheet_text
from core.app.operations import (
    add_coins,
    clear_slots,
    edit_coins,
    let_go,
    order_coin,
    place_coin,
    set_flagged,
)
from core.app.price_orders import delete_prices, set_rules, take_back_offers
from core.app.work import Progress
from core.catalogue.load import load_series
from core.errors import Cancelled, CollectionError, FileTrouble, Refused
from core.model.album import AlbumKind
from core.model.coin import Coin, CoinStatus, Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import Series
from core.model.prices import PriceRules
from tests.cli_material import ROOT
from tests.collection_material import (
    CENTS,
    DAY,
    NICKELS,
    Clock,
    a_collection,
    an_album,
    held,
    read_coin,
    slot,
    state,
    with_coins,
)
from tests.exchange_material import an_empty_twin, rows_of, sheet_of, taken_in, text_of


@pytest.fixture
def jar(tmp_path: Path) -> Collection:
    """A collection with an album of nickels 1940–1943 and no coins."""
    collection = a_collection(tmp_path)
    an_album(collection)
    return collection


def nickels() -> Series:
    return load_series(NICKELS)


def only_coin(draft: SheetDraft) -> Coin:
    assert [fault.text for fault in draft.faults] == []
    (row,) = draft.rows
    return row.coin


def read_one(head: str, cells: str) -> Coin:
    """The coin of a sheet with one row, of nickels."""
    return only_coin(read_sheet(f"{head}\n{cells}\n", [nickels()]))


def faults_of(draft: SheetDraft) -> list[tuple[int, str]]:
    return [(fault.line, fault.column) for fault in draft.faults]


# ---- what a sheet of one's own may say ---------------------------------------------------------


def test_one_column_of_entry_lines_is_enough(jar: Collection) -> None:
    draft = taken_in(jar, "coin\n1943-D vf20\n3 x 1941-S\n1940 g4 bent\n")
    assert [row.coin.quantity for row in draft.rows] == [1, 3, 1]
    assert jar.coin(draft.rows[0].coin.id or jar.coin_rows()[0].coin.id).grade == parse_grade(
        "vf20"
    )
    assert jar.undo_label == "import 5 coins"
    assert len(jar.entries(5)) == 2  # the album, the import


def test_album_and_slot_put_the_coin_there_from_the_day_told(jar: Collection) -> None:
    taken_in(
        jar,
        "coin;album;slot;since\n"
        "1943-D vf20;nickels;1943-d;2026-01-05\n"
        "1942-D;Nick;#8;\n"
        "1941;;1941;\n",
    )
    assert state(jar, "1943-D") == "filled"
    assert held(jar, "1941") is not None
    stays = jar.slot_card(slot(jar, "1943-D"))
    assert stays is not None
    with jar._store.reading() as reader:
        days = {p.since for p in reader.all_placements()}
    assert days == {date(2026, 1, 5), DAY}


@pytest.mark.parametrize(
    "text",
    [
        "coin,note\r\n1943-D,a\r\n",
        "coin;note\n1943-D;a\n",
        "coin\tnote\n1943-D\ta\n",
        "\ufeffcoin,note\n1943-D,a\n",
        "sep=;\ncoin;note\n1943-D;a\n",
        "COIN , Note\n1943-D,a\n",
        "note,coin,,\na,1943-D,,\n\n,,,\n",
        '"coin","note"\n"1943-D","a"\n',
    ],
)
def test_comma_semicolon_tab_and_the_marks_of_spreadsheets_are_told_apart(text: str) -> None:
    coin = only_coin(read_sheet(text, [nickels()]))
    assert coin.description.only("date") == "1943"
    assert coin.note == "a"


def test_a_sheet_of_one_column_is_not_cut_at_commas() -> None:
    coin = only_coin(read_sheet("coin\n1943-D, vf20, bent\n", [nickels()]))
    assert (coin.grade, coin.problems) == (parse_grade("vf20"), (Problem.BENT,))


def test_every_property_can_be_told_in_a_column_of_its_own() -> None:
    coin = read_one(
        "date;mint;grade;grade_entered;problems;genuine;to verify;weight_g;status;quantity;origin;"
        "came from;acquired;place;paid;currency;note;varieties",
        "1943;P;ms65+ fs;fast perfekt;cleaned, bent;no;YES;5,01 g;gone;2;Bought;Maren;2025-12-24;"
        "tin 1;12,50;USD;- look again;no-such=suspected",
    )
    grade = parse_grade("ms65+ fs")
    assert coin == Coin(
        coin.id,
        coin.description,
        replace(grade, entered="fast perfekt"),
        (Problem.CLEANED, Problem.BENT),
        is_genuine=False,
        is_flagged=True,
        varieties=coin.varieties,
        weight_mg=5010,
        status=CoinStatus.GONE,
        quantity=2,
        origin=Origin.BOUGHT,
        came_from="Maren",
        acquired=date(2025, 12, 24),
        place="tin 1",
        paid_minor=1250,
        currency="USD",
        note="- look again",
    )
    assert coin.varieties == (("no-such", Finding.SUSPECTED),)


def test_facets_say_what_is_known_and_leave_open_what_is_not() -> None:
    either = read_one("date,mint", "1941,S or D")
    assert either.description.values("mint") == ("D", "S")
    assert either.description.only("strike") == "circulation"
    anything = read_one("date,mint,strike", "1941,,any")
    assert dict(anything.description.facets) == {"date": ("1941",)}
    by_name = read_one("date,mint", "1941,denver")
    assert by_name.description.only("mint") == "D"
    no_letter = read_one("date,mark", "1941,none")
    assert no_letter.description.only("mark") == ""


def test_columns_add_to_an_entry_but_must_not_gainsay_it() -> None:
    assert read_one("coin,place,grade", "1941,tin 2,vf20").grade == parse_grade("vf20")
    assert read_one("coin,grade", "1941 vf20,VF-20").grade == parse_grade("vf20")
    draft = read_sheet("coin,grade,date\n1941 vf20,f12,\n1941,,1942\n", [nickels()])
    assert faults_of(draft) == [(2, "grade"), (3, "coin")]


def test_columns_that_are_not_ours_are_named() -> None:
    draft = read_sheet("coin,tray\n1941,B4\n", [nickels()])
    assert draft.notes == ("The column “tray” is not one that a coin has; it is left out.",)


def test_rows_without_a_first_line_can_be_read_under_columns_told() -> None:
    draft = read_sheet("1941 vf20\n1942, g4\n", [nickels()], columns=[Column.COIN])
    assert [row.coin.description.only("date") for row in draft.rows] == ["1941", "1942"]
    pair = [Column.COIN, Column.NOTE]
    assert only_coin(read_sheet("1941\tsecond scoop", [nickels()], columns=pair)).note


def test_a_list_of_values_may_hold_the_words_that_part_it() -> None:
    odd = ("", "any", "D or S", 'say "so"', "none", "a;b=c")
    assert read_values(values_text(odd)) == tuple(sorted(odd))


# ---- what is wrong ----------------------------------------------------------------------------


def test_all_faulty_rows_are_listed_with_line_and_column(jar: Collection) -> None:
    with_coins(jar, "1943-D")
    jar.run(place_coin(jar.coin_rows()[0].coin.id, slot(jar, "1943-D")))
    an_album(jar, "All of them", kind=AlbumKind.OVERVIEW)
    before = jar.rows_hash()
    draft = jar.read_sheet(
        "number,coin,album,slot,since,status,quantity,genuine,grade,earlier\n"
        "1,1941,,,,,,,,\n"  # 2: number is taken
        "7,1941,,,,,,,,\n"
        "7,1941,,,,,,,,\n"  # 4: number of line 3
        ",1943-D,Nickels,1943-D,,,,,,\n"  # 5: coin 1 sits there
        ",1941,Nickels,1941,,,,,,\n"
        ",1941,Nickels,1941,,,,,,\n"  # 7: line 6 sits there
        ",1941,Dimes,1941,,,,,,\n"  # 8: no such album
        ",1941,Nickels,1999,,,,,,\n"  # 9: no such slot
        ",1942,Nickels,1942,soon,,,,,\n"  # 10: no day
        ",1942-D,Nickels,1942-D,,,,no,,\n"  # 11: not genuine
        ",1942-D,Nickels,1942-D,,,3,,,\n"  # 12: a lot, and line 11 sits there
        ",1943,All of them,1943,,,,,,\n"  # 13: an overview
        ",1943,Nickels,1943-P,,gone,,,,\n"  # 14: gone
        ",1943,,,,,,,zz9,\n"  # 15: no grade
        ",1850,,,,,,,,\n"  # 16: never struck
        ",1943,Nickels,,,,,,,\n"  # 17: no slot
        ',1943,,,,,,,,"2026-02-01 to 2026-01-01: ""Nickels"" ""1943"""\n'  # 18: leaves first
        ",1943,,,2026-01-01,,,,,\n"  # 19: since, but no slot
    )
    assert faults_of(draft) == [
        (2, "number"), (4, "number"), (5, "slot"), (7, "slot"), (8, "album"), (9, "slot"),
        (10, "since"), (11, "slot"), (12, "quantity"), (12, "slot"), (13, "album"),
        (14, "status"), (15, "grade"), (16, "coin"), (17, "slot"), (18, "earlier"), (19, "since"),
    ]  # fmt: skip
    assert "line 2, number: There is a coin 1 here already" in draft.faults[0].text
    assert "Line 6 puts a coin in slot 1941 too" in draft.faults[3].reason
    assert "marked not genuine" in draft.faults[7].reason
    with pytest.raises(Refused, match="Nothing was imported: 16 rows are faulty"):
        jar.run(import_coins(draft))
    assert jar.rows_hash() == before


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("", 1, "the sheet is empty"),
        ("tray,shelf\n1,2\n", 1, "no column says what the coins are"),
        ("coin,coin\n1941,1942\n", 1, "stands twice"),
        ("coin,note\n1941,a,b\n", 2, "it has 3 cells"),
        ('coin,note\n1941,a\n1942,"b\n1943,c\n', 3, "quotation marks"),
        ("note,date\nlook,\n", 2, "does not say what the coin is"),
    ],
)
def test_a_sheet_that_cannot_be_cut_says_where(text: str, line: int, said: str) -> None:
    draft = read_sheet(text, [nickels()])
    assert draft.faults[0].line == line
    assert said in draft.faults[0].reason
    assert not draft.is_ready


def test_facts_that_no_coin_meets_are_named_with_their_column() -> None:
    draft = read_sheet(
        "date,mint,composition,choices\n1938,W,,\n1938,P,gold,\n1938,,silver,\n1938,,,rim=wavy\n",
        [nickels()],
    )
    columns = [column for _, column in faults_of(draft)]
    assert columns[0] == "mint"
    assert columns[1] == "composition"
    assert columns[2] in ("date", "composition")
    assert columns[3] == "choices"


def test_a_line_that_breaks_within_a_cell_is_counted() -> None:
    draft = read_sheet('coin,note\n1941,"one\ntwo\r\nthree"\n1850,\n', [nickels()])
    assert faults_of(draft) == [(5, "coin")]


def test_what_happened_since_the_sheet_was_read_is_refused(jar: Collection) -> None:
    text = "number,coin,album,slot\n4,1941,Nickels,1941\n"
    draft = jar.read_sheet(text)
    with_coins(jar, "1941")
    jar.run(place_coin(jar.coin_rows()[0].coin.id, slot(jar, "1941")))
    with pytest.raises(Refused, match="was filled since"):
        jar.run(import_coins(draft))
    jar.run(clear_slots([slot(jar, "1941")]))
    with_coins(jar, "1942", "1942", "1942")
    before = jar.rows_hash()
    with pytest.raises(Refused, match="There is a coin 4 in this collection already"):
        jar.run(import_coins(draft))
    assert jar.rows_hash() == before


def test_new_numbers_leave_those_of_the_sheet_aside(jar: Collection) -> None:
    with_coins(jar, "1941", "1942")
    draft = jar.read_sheet("number,coin\n1,1943\n2,1940\n", renumber=True)
    done = jar.run(import_coins(draft))
    assert done.made_coins == (3, 4)


def test_a_number_is_kept_where_it_is_free_and_the_next_one_comes_after_all(
    jar: Collection,
) -> None:
    done = jar.run(import_coins(jar.read_sheet("number,coin\n50,1943\n,1940\n7,1941\n")))
    assert done.made_coins == (50, 51, 7)
    jar.undo()
    again = jar.run(import_coins(jar.read_sheet("number,coin\n50,1943\n,1940\n")))
    assert again.made_coins == (50, 52)  # 51 was somebody's for a while
    assert with_coins(jar, "1942") == (53,)


def test_a_cancelled_reading_or_import_leaves_nothing(jar: Collection) -> None:
    before = jar.rows_hash()
    stopped = Progress()
    stopped.cancel()
    with pytest.raises(Cancelled):
        jar.read_sheet("coin\n1941\n", progress=stopped)
    draft = jar.read_sheet("coin,album,slot\n1941,Nickels,1941\n")
    late = Progress(lambda share, _doing: late.cancel() if share > 0.5 else None)
    with pytest.raises(Cancelled):
        jar.run(import_coins(draft, late))
    assert jar.rows_hash() == before
    with pytest.raises(Refused, match="holds no coins"):
        jar.run(import_coins(jar.read_sheet("coin\n")))


# ---- out and in again -------------------------------------------------------------------------


def test_past_orders_and_odd_places_survive(tmp_path: Path) -> None:
    clock = Clock()
    jar = a_collection(tmp_path, clock)
    an_album(jar)
    first, second, third = with_coins(jar, "1941 vf20", "1941 g4", "1943-D")
    jar.run(place_coin(first, slot(jar, "1941")))
    clock.day = date(2026, 4, 1)
    jar.run(place_coin(second, slot(jar, "1941")))
    jar.run(order_coin(read_coin(jar, "1940-S au50"), slot(jar, "1940-S")))
    jar.run(place_coin(third, slot(jar, "1943-D")))
    jar.run(edit_coins([replace(jar.coin(third), is_genuine=False, note="=1+1")]))
    jar.run(set_flagged([second], True))
    jar.run(let_go([first]))
    text = sheet_of(jar)
    rows = [dict(zip(rows_of(text)[0], row, strict=True)) for row in rows_of(text)[1:]]
    assert rows[0]["status"] == "gone"
    assert rows[0]["earlier"] == '2026-03-02 to 2026-04-01: "Nickels" "1941"'
    assert rows[2]["placed_anyway"] == "yes"
    assert rows[2]["note"] == "'=1+1"
    assert (rows[3]["status"], rows[3]["slot"], rows[3]["since"]) == ("on order", "1940-S", "")
    with an_empty_twin(jar, tmp_path / "twin.slotleaf", clock) as twin:
        draft = taken_in(twin, text)
        assert twin.content_hash() == jar.content_hash()
        assert state(twin, "1940-S") == "on order"
        assert coming_text(draft) == (
            "4 coins in 4 rows",
            "2 into Nickels",
            "1 on order for a slot",
            "1 that are gone, for the record",
            "1 earlier stay in slots",
        )


def test_the_demo_goes_out_and_in_again(tmp_path: Path) -> None:
    write_demo(tmp_path / "demo.slotleaf")
    with Collection.open(tmp_path / "demo.slotleaf") as demo:
        book = demo.price_book()  # a sheet of coins carries no prices and offers
        demo.run(delete_prices([one.id for one in book.prices]))
        demo.run(take_back_offers([one.id for one in book.offers]))
        demo.run(set_rules(PriceRules()))
        assert demo.export_coins(tmp_path / "demo.csv") == len(demo.coin_rows())
        text = sheet_text(tmp_path / "demo.csv")
        assert (tmp_path / "demo.csv").read_bytes().startswith(b"\xef\xbb\xbfnumber,")
        with an_empty_twin(demo, tmp_path / "twin.slotleaf") as twin:
            taken_in(twin, text)
            assert twin.content_hash() == demo.content_hash()
            assert twin.rows_hash() != demo.rows_hash()  # other keys, another name
            assert twin.check() == []
            taken = twin.read_sheet(text)
            assert len({fault.line for fault in taken.faults}) == len(demo.coin_rows())


def test_a_spreadsheet_that_writes_semicolons_loses_nothing(tmp_path: Path) -> None:
    jar = a_collection(tmp_path)
    an_album(jar)
    with_coins(jar, "1941 vf20", "3 x 1942-D")
    other = text_of(rows_of(sheet_of(jar)), ";").replace("\r\n", "\n")
    with an_empty_twin(jar, tmp_path / "twin.slotleaf") as twin:
        taken_in(twin, other)
        assert twin.content_hash() == jar.content_hash()


def test_an_empty_collection_is_a_sheet_of_its_columns_alone(jar: Collection) -> None:
    assert sheet_of(jar) == ",".join(column.value for column in WRITTEN) + "\r\n"
    draft = jar.read_sheet(sheet_of(jar))
    assert (draft.rows, draft.faults) == ((), ())
    assert draft.notes == ("The sheet holds no coins.",)


def test_a_series_that_is_not_here_yet_comes_with_its_coins(jar: Collection) -> None:
    taken_in(jar, f"series,date,mint\n{CENTS},1955,D\nLincoln cents,1943,\n")
    assert {s.id for s in jar.series_in_use} == {NICKELS, CENTS}


# ---- files ------------------------------------------------------------------------------------


def test_a_sheet_is_written_whole_or_not_at_all(jar: Collection, tmp_path: Path) -> None:
    with_coins(jar, "1941", "1942")
    there = tmp_path / "coins.csv"
    there.write_text("mine")
    stopped = Progress()
    stopped.cancel()
    with pytest.raises(Cancelled):
        jar.export_coins(there, stopped)
    assert there.read_text() == "mine"
    assert jar.export_coins(there) == 2
    assert sorted(p.name for p in tmp_path.iterdir() if "csv" in p.name) == ["coins.csv"]
    for path, said in (
        (jar.path, "is a collection"),
        (tmp_path, "is a folder"),
        (tmp_path / "none" / "x.csv", "no folder"),
    ):
        with pytest.raises(CollectionError, match=said):
            jar.export_coins(path)


def test_a_coin_whose_place_no_sheet_can_tell_is_refused(jar: Collection, tmp_path: Path) -> None:
    (number,) = with_coins(jar, "1941")
    jar.run(place_coin(number, slot(jar, "1941")))
    with jar._store.operation("break a rule") as unit:
        unit.update_coins([replace(jar.coin(number), status=CoinStatus.GONE)])
    with pytest.raises(Refused, match=f"Coin {number} is gone and yet"):
        jar.export_coins(tmp_path / "coins.csv")
    assert not (tmp_path / "coins.csv").exists()


def test_a_file_that_is_not_utf_8_names_the_line(tmp_path: Path) -> None:
    path = tmp_path / "old.csv"
    path.write_bytes("coin,note\n1941,\n1942,schön\n".encode("latin-1"))
    with pytest.raises(FileTrouble, match="line 3"):
        sheet_text(path)
    with pytest.raises(FileTrouble, match="cannot be read"):
        sheet_text(tmp_path / "none.csv")


def test_a_cell_may_be_long(jar: Collection) -> None:
    note = "long " * 60_000
    jar.run(add_coins([replace(read_coin(jar, "1941"), note=note)]))
    assert cut(sheet_of(jar)).lines[0].cells[Column.NOTE] == note


def test_every_property_of_a_coin_has_a_column() -> None:
    assert {f.name for f in fields(Coin)} == {"id", "description", *_PROPERTIES}


# ---- the documentation ------------------------------------------------------------------------


def test_the_readme_tells_every_column_once_in_the_order_of_the_sheet() -> None:
    section = (ROOT / "README.md").read_text("utf-8").partition("## Coins as a sheet")[2]
    table = section.partition("| --- | --- |\n")[2].partition("\n\n")[0]
    told = []
    for line in table.splitlines():
        told += [word.strip(" `") for word in line.split("|")[1].split(",")]
    assert told == [column.value for column in Column]


def test_the_sheet_in_the_readme_is_read(tmp_path: Path) -> None:
    section = (ROOT / "README.md").read_text("utf-8").partition("## Coins as a sheet")[2]
    lines = [line[4:] for line in section.splitlines() if line.startswith("    ")]
    jar = a_collection(tmp_path)
    an_album(jar)
    draft = jar.read_sheet("\n".join(lines))
    assert (len(draft.rows), draft.faults) == (3, ())
    assert draft.notes[0].endswith("is of Lincoln cents, a series that is not here yet.")


# ---- days -------------------------------------------------------------------------------------


def test_a_slot_holds_one_coin_at_a_time_also_in_the_past(tmp_path: Path) -> None:
    clock = Clock(date(2026, 3, 10))
    jar = a_collection(tmp_path, clock)
    an_album(jar)
    (sat,) = with_coins(jar, "1942")
    jar.run(place_coin(sat, slot(jar, "1942")))
    clock.day = date(2026, 3, 20)
    jar.run(clear_slots([slot(jar, "1942")]))
    head = "coin,album,slot,since,placed_anyway,earlier\n"
    rows = (
        '1941,,,,,"2026-01-01 to 2026-02-01: ""Nickels"" ""1941"""\n'
        '1941,,,,,"2026-01-31 to 2026-03-01: ""Nickels"" ""1941"""\n'  # 3: line 2 is there
        '1941,,,,,"2026-02-01 to 2026-02-01: ""Nickels"" ""1941-S"""\n'
        "1942,Nickels,1942,2026-03-19,,\n"  # 5: the coin here was there
        '1943,Nickels,1943-P,2026-02-01,,"2026-01-01 to 2026-02-02: ""Nickels"" ""1940"""\n'  # 6
        "1941,Nickels,1941,2026-02-28,yes,\n"  # said to be so
    )
    draft = jar.read_sheet(head + rows)
    assert faults_of(draft) == [(3, "earlier"), (5, "since"), (6, "since")]
    assert f"coin {sat} from 2026-03-10 until 2026-03-20" in draft.faults[1].reason
    fine = head + "1942,Nickels,1942,2026-03-20,,\n"
    assert jar.read_sheet(fine).is_ready


def test_days_that_cross_because_a_clock_ran_wrong_go_out_and_in_again(tmp_path: Path) -> None:
    clock = Clock(date(2026, 3, 10))
    jar = a_collection(tmp_path, clock)
    an_album(jar)
    one, other = with_coins(jar, "1941", "1941")
    jar.run(place_coin(one, slot(jar, "1941")))
    clock.day = date(2026, 3, 20)
    jar.run(clear_slots([slot(jar, "1941")]))
    clock.day = date(2026, 3, 15)
    jar.run(place_coin(other, slot(jar, "1941")))
    with an_empty_twin(jar, tmp_path / "twin.slotleaf", clock) as twin:
        taken_in(twin, sheet_of(jar))
        assert twin.content_hash() == jar.content_hash()


def test_reading_a_sheet_leaves_other_readers_of_csv_their_limit() -> None:
    before = csv.field_size_limit()
    long = "1" * (before + 1)
    sheet = cut(f"coin,note\n1943-D,{long}\n")
    assert sheet.faults == []
    assert csv.field_size_limit() == before
