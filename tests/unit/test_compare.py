"""Compare: candidates fall away and are settled by its rules, and the ticks stay with the coin."""

from dataclasses import replace
from datetime import date

import pytest

from core.app.collection import Collection, make_collection
from core.app.compare import (
    Comparison,
    Standing,
    Tick,
    comparison,
    open_choices,
    outcome,
    settled_coin,
    ticks_of,
    with_ticks,
)
from core.app.exchange import write_sheet
from core.app.operations import add_coins, edit_coins
from core.catalogue.load import load_series
from core.lookup.line import read_line
from core.model.coin import Coin, Finding
from core.model.issue import Evidence, Face, Marker, RollOdds, SeriesId, Variety, VarietyId
from tests.builders import a_coin, a_description, cents

LIBRARY_CENTS = load_series(SeriesId("us-cent-lincoln"))
DIE_1, DIE_2, DIE_8 = (VarietyId(f"1972-ddo-{die}") for die in (1, 2, 8))


def a_die(name: str, *markers: tuple[str, str, Evidence], kind: str = "DDO") -> Variety:
    told = tuple(Marker(place, see, evidence) for place, see, evidence in markers)
    return Variety(
        VarietyId(name), name, kind, "date", "a look", RollOdds.POSSIBLE, (("date", ("1943",)),),
        markers=told,
    )  # fmt: skip


def series_with(*varieties: Variety):
    return replace(cents(), varieties=varieties)


DECIDES, SUPPORTS, EXCLUDES = Evidence.DECIDES, Evidence.SUPPORTS, Evidence.EXCLUDES
A = a_die("a", ("date", "two dates", DECIDES), ("motto", "thick", SUPPORTS))
B = a_die(
    "b", ("rim", "a crack", DECIDES), ("ear", "a lump", DECIDES), ("date", "two dates", EXCLUDES)
)
C = a_die("c", ("motto", "thick", SUPPORTS), ("motto", "thin", EXCLUDES))
OTHER = a_die("other", ("edge", "a file mark", DECIDES), kind="RPM")
COIN = a_coin(description=a_description(date="1943", mint="D"))


def compared(*varieties: Variety, is_one_of: bool = False) -> Comparison:
    return comparison(series_with(*varieties), COIN, is_one_of=is_one_of)


def standings(*varieties: Variety, is_one_of: bool = False, **ticks: Tick) -> dict[str, Standing]:
    """Standings by candidate; ticks by `place_see` with spaces as underscores."""
    told = compared(*varieties, is_one_of=is_one_of)
    keys = {row.key.replace(": ", "_").replace(" ", "_"): row.key for row in told.rows}
    found = outcome(told, {keys[name]: tick for name, tick in ticks.items()})
    return {c.name: s for c, s in zip(told.candidates, found.standings, strict=True)}


def test_a_row_stands_once_with_what_it_says_of_each_candidate() -> None:
    told = compared(A, B, C)
    rows = {row.key: row.evidence for row in told.rows}
    assert rows == {
        "date: two dates": (DECIDES, EXCLUDES, None),
        "motto: thick": (SUPPORTS, None, SUPPORTS),
        "rim: a crack": (None, DECIDES, None),
        "ear: a lump": (None, DECIDES, None),
        "motto: thin": (None, None, EXCLUDES),
    }


OPEN, IS_IT, FALLEN = Standing.OPEN, Standing.IS_IT, Standing.FALLEN


@pytest.mark.parametrize(
    ("ticks", "expected"),
    [
        ({}, (OPEN, OPEN, OPEN)),
        ({"date_two_dates": Tick.SEEN}, (IS_IT, FALLEN, FALLEN)),
        ({"date_two_dates": Tick.NOT_SEEN}, (FALLEN, OPEN, OPEN)),
        ({"date_two_dates": Tick.CANNOT_TELL}, (OPEN, OPEN, OPEN)),
        ({"rim_a_crack": Tick.NOT_SEEN}, (OPEN, OPEN, OPEN)),
        ({"rim_a_crack": Tick.NOT_SEEN, "ear_a_lump": Tick.CANNOT_TELL}, (OPEN, OPEN, OPEN)),
        ({"rim_a_crack": Tick.NOT_SEEN, "ear_a_lump": Tick.NOT_SEEN}, (OPEN, FALLEN, OPEN)),
        ({"motto_thick": Tick.SEEN}, (OPEN, OPEN, OPEN)),
        ({"motto_thick": Tick.NOT_SEEN}, (OPEN, OPEN, OPEN)),
        ({"motto_thin": Tick.SEEN}, (OPEN, OPEN, FALLEN)),
        ({"motto_thin": Tick.NOT_SEEN}, (OPEN, OPEN, OPEN)),
    ],
)
def test_each_rule_alone(ticks, expected) -> None:
    assert tuple(standings(A, B, C, **ticks).values()) == expected


def test_the_last_one_left_is_it_only_where_the_coin_is_one_of_them() -> None:
    ticks = {"date_two_dates": Tick.NOT_SEEN, "motto_thin": Tick.SEEN}
    assert standings(A, B, C, is_one_of=False, **ticks)["b"] is OPEN
    assert standings(A, B, C, is_one_of=True, **ticks)["b"] is IS_IT


def test_a_decided_variety_drops_its_rivals_but_no_other_kind() -> None:
    found = standings(A, C, OTHER, date_two_dates=Tick.SEEN)
    assert found == {"a": IS_IT, "c": FALLEN, "other": OPEN}


def test_ticks_for_two_rivals_settle_neither_and_say_so() -> None:
    rival = a_die("rival", ("ear", "a lump", DECIDES))
    told = compared(A, rival)
    ticks = {row.key: Tick.SEEN for row in told.rows}
    found = outcome(told, ticks)
    assert found.is_contradiction
    assert found.text == "The ticks decide for a and rival; look again."
    series = series_with(A, rival)
    assert settled_coin(series, COIN, told, ticks).varieties == COIN.varieties


def test_what_is_seen_and_rules_out_beats_what_is_seen_and_decides() -> None:
    found = standings(B, date_two_dates=Tick.SEEN, rim_a_crack=Tick.SEEN)
    assert found == {"b": FALLEN}


def look_up_72() -> Coin:
    return read_line("72 ddo", [LIBRARY_CENTS]).entries[0].coin


def row_key(told: Comparison, start: str, evidence: Evidence, at: int) -> str:
    return next(r.key for r in told.rows if r.key.startswith(start) and r.evidence[at] is evidence)


def test_three_dies_of_1972_by_two_ticks() -> None:
    coin = look_up_72()
    told = comparison(LIBRARY_CENTS, coin, is_one_of=True)
    assert [c.variety for c in told.candidates] == [DIE_1, DIE_2, DIE_8]
    turned = row_key(told, "LIBERTY: the second image is turned clockwise", EXCLUDES, 1)
    first = {turned: Tick.SEEN}
    found = outcome(told, first)
    assert found.standings == (OPEN, FALLEN, OPEN)
    assert found.text == "One of 2: doubled die obverse, die 1 or doubled die obverse, die 8."
    wide = row_key(told, "date: the same very strong", DECIDES, 0)
    done = settled_coin(LIBRARY_CENTS, coin, told, {**first, wide: Tick.NOT_SEEN})
    assert dict(done.varieties) == {
        DIE_1: Finding.RULED_OUT,
        DIE_2: Finding.RULED_OUT,
        DIE_8: Finding.CONFIRMED,
    }


def test_a_coin_left_as_one_of_two_keeps_its_ticks_through_undo_and_a_sheet(tmp_path) -> None:
    coin = replace(look_up_72(), note="from the red tin")
    told = comparison(LIBRARY_CENTS, coin, is_one_of=True)
    turned = row_key(told, "LIBERTY: the second image is turned clockwise", EXCLUDES, 1)
    wide = row_key(told, "date: the same very strong", DECIDES, 0)
    ticks = {turned: Tick.SEEN, wide: Tick.CANNOT_TELL}
    path = tmp_path / "jar.slotleaf"
    make_collection(path, "The jar")
    with Collection.open(path, today=lambda: date(2026, 3, 2)) as collection:
        number = collection.run(add_coins([coin])).made_coins[0]
        held = collection.coin(number)
        collection.run(edit_coins([settled_coin(LIBRARY_CENTS, held, told, ticks)]))
        collection.undo()
        assert ticks_of(collection.coin(number).note) == {}
        collection.redo()
        after = collection.coin(number)
        assert ticks_of(after.note) == ticks
        assert after.note.startswith("from the red tin Compared: ")
        assert after.finding(DIE_1) is Finding.SUSPECTED
        assert after.finding(DIE_2) is Finding.RULED_OUT
        again = comparison(LIBRARY_CENTS, after, is_one_of=True)
        assert [c.variety for c in again.candidates] == [DIE_1, DIE_8]
        sheet = tmp_path / "coins.csv"
        write_sheet(sheet, collection.coins_sheet().lines())
        assert after.note.replace('"', '""') in sheet.read_text(encoding="utf-8")


def test_ticks_in_a_note_are_replaced_and_taken_away() -> None:
    told = compared(A)
    first = with_ticks("mine", told, {"date: two dates": Tick.SEEN})
    second = with_ticks(first, told, {"motto: thick": Tick.NOT_SEEN})
    assert second == "mine Compared: - motto: thick"
    assert with_ticks(second, told, {}) == "mine"
    assert with_ticks("", told, {}) == ""


def test_the_size_of_a_date_is_settled_by_its_signs() -> None:
    coin = read_line("70s", [LIBRARY_CENTS]).entries[0].coin
    assert "date size" in open_choices(LIBRARY_CENTS, coin)
    told = comparison(LIBRARY_CENTS, coin, facet="date size")
    assert {c.value for c in told.candidates} == {"small", "large"}
    assert told.is_one_of
    at = next(i for i, c in enumerate(told.candidates) if c.value == "small")
    ticks = {row.key: Tick.SEEN for row in told.rows if row.evidence[at] is DECIDES}
    assert ticks
    done = settled_coin(LIBRARY_CENTS, coin, told, ticks)
    assert {i.value("date size") for i in LIBRARY_CENTS.matching(done.description)} == {"small"}


def test_own_codes_stand_with_their_candidate() -> None:
    codes = {"K-7": (LIBRARY_CENTS.id, DIE_8)}
    told = comparison(LIBRARY_CENTS, look_up_72(), codes=codes)
    assert [c.codes for c in told.candidates] == [(), (), ("K-7",)]


def test_without_anything_suspected_every_open_variety_is_a_candidate() -> None:
    coin = a_coin(description=COIN.description, varieties=((A.id, Finding.RULED_OUT),))
    told = comparison(series_with(A, B, C), coin)
    assert [c.name for c in told.candidates] == ["b", "c"]
    assert (
        outcome(comparison(series_with(), COIN), {}).text == "Nothing is known to tell apart here."
    )


def test_rows_on_a_face_are_numbered_and_those_without_a_spot_are_not() -> None:
    edge = Variety(
        VarietyId("e"), "e", "DDO", "edge", "look", RollOdds.POSSIBLE, (("date", ("1943",)),),
        markers=(Marker("edge", "plain", SUPPORTS, Face.EDGE), Marker("date", "x", SUPPORTS)),
    )  # fmt: skip
    assert {r.place: r.number for r in compared(edge).rows} == {"date": 1, "edge": 0}
