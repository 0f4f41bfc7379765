"""The slot card: what it says of a slot, its coin, its spares and its past."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.operations import (
    add_coins,
    clear_slots,
    order_coin,
    place_coin,
    set_flagged,
    set_pinned,
    set_wish,
)
from core.app.slot_card import (
    MOST_SPARES,
    came_from,
    coin_text,
    look_closer,
    mintage_text,
    numbered,
    silver_text,
)
from core.app.views import LookCloser, MarkerLine, SlotCard
from core.model.album import Wish
from core.model.coin import CoinId, Finding, Origin
from core.model.issue import Composition, Evidence, Face
from tests.builders import a_coin
from tests.collection_material import (
    CENTS,
    NICKELS,
    Clock,
    a_collection,
    an_album,
    read_coin,
    slot,
    with_coins,
)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def jar(tmp_path: Path, clock: Clock) -> Iterator[Collection]:
    with a_collection(tmp_path, clock) as collection:
        an_album(collection)
        yield collection


def card(jar: Collection, label: str, album: str = "Nickels") -> SlotCard:
    return jar.slot_card(slot(jar, label, album))


def fact(shown: SlotCard, name: str) -> str:
    return dict(shown.facts)[name]


def sum_of(jar: Collection, date_struck: str) -> int:
    """What the series' table gives for the circulation strikes of a date."""
    issues = [i for i in jar.series(NICKELS).issues if i.date == date_struck]
    return sum(i.mintage or 0 for i in issues if i.release.value == "banks")


def put(jar: Collection, entry: str, label: str) -> CoinId:
    (number,) = with_coins(jar, entry)
    jar.run(place_coin(number, slot(jar, label)))
    return number


def test_an_empty_slot_says_what_it_takes_and_what_there_is_to_know(jar: Collection) -> None:
    shown = card(jar, "1943-D")
    assert shown.state_text == "gap"
    assert shown.accepts == "takes 1943-D"
    assert shown.where == "leaf 1, row 4, place 2"
    assert "In the slot" not in dict(shown.facts)
    # 15,294,000 struck; 5.00 g ± 0.19; 35 % silver: the series' own table, which names its sources
    assert fact(shown, "Mintage") == "15,294,000"
    assert fact(shown, "Composition") == "wartime silver"
    assert fact(shown, "Weight") == "5.00 g ± 0.19"
    assert fact(shown, "Silver") == "0.0563 troy oz"


def test_a_held_coin_says_its_condition_its_number_and_where_it_came_from(jar: Collection) -> None:
    coin = read_coin(jar, "1943-D vg8 bent 4.91g")
    found = replace(coin, origin=Origin.FOUND, came_from="box 12 roll 31")
    (number,) = jar.run(add_coins([found])).made_coins
    jar.run(place_coin(number, slot(jar, "1943-D")))
    shown = card(jar, "1943-D")
    assert fact(shown, "In the slot") == "VG-8, bent"
    assert fact(shown, "Coin number") == "1"
    assert fact(shown, "Came from") == "found, box 12 roll 31"
    assert fact(shown, "Weighed") == "4.91 g"
    assert shown.why == "It holds the slot until a sound coin turns up: bent."


def test_a_coin_read_otherwise_than_its_slot_says_how_it_was_read(jar: Collection) -> None:
    put(jar, "1943 ? vg8", "1943-D")
    shown = card(jar, "1943-D")
    assert shown.state_text == "to verify"
    assert "mint would settle it" in shown.why
    assert "1943" in fact(shown, "Read as")
    assert fact(shown, "Mintage") == f"{sum_of(jar, '1943'):,}"  # of all three letters together


def test_an_ordered_coin_is_told_beside_the_one_held(jar: Collection) -> None:
    put(jar, "1941 g4", "1941")
    ordered = replace(
        read_coin(jar, "1941 xf40"), origin=Origin.BOUGHT, came_from="autumn market table"
    )
    jar.run(order_coin(ordered, slot(jar, "1941")))
    shown = card(jar, "1941")
    assert fact(shown, "On order") == "XF-40 · bought, autumn market table"
    assert "better coin on order" in shown.state_text


def test_spares_stand_best_first_each_with_what_it_would_gain(jar: Collection) -> None:
    put(jar, "1941 vg8", "1941")
    with_coins(jar, "1941 g4", "1941 f12", "1941 vf20 bent", "1941", "1941 xf40", "1941 vf20")
    told = [(line.title, line.gain, line.is_better) for line in card(jar, "1941").spares]
    assert told == [
        ("XF-40", "meets target", True),
        ("VF-20", "meets target", True),
        ("F-12", "+4 points", True),
        ("G-4", "no better", False),
        ("no grade yet", "compare by eye", False),
        ("VF-20, bent", "no better", False),
    ]


def test_a_pin_does_not_make_a_better_spare_no_better(jar: Collection) -> None:
    put(jar, "1941 vg8", "1941")
    with_coins(jar, "1941 f12")
    jar.run(set_pinned([slot(jar, "1941")], True))
    shown = card(jar, "1941")
    assert [(line.gain, line.is_better) for line in shown.spares] == [("+4 points", True)]
    assert "spare waiting" not in shown.state_text  # that is what Fill would do


def test_a_sound_spare_for_a_coin_of_a_details_grade_gains_that_it_has_no_problem(
    jar: Collection,
) -> None:
    put(jar, "1941 vf20 details", "1941")
    with_coins(jar, "1941 vg8")
    assert [line.gain for line in card(jar, "1941").spares] == ["no problem"]


def test_spares_for_a_gap_a_hole_filler_and_a_slot_without_a_target(jar: Collection) -> None:
    with_coins(jar, "1940 g4", "1942-D vf20", "1941 f12")
    assert [s.gain for s in card(jar, "1940").spares] == ["fills the gap"]
    assert [s.gain for s in card(jar, "1942-D").spares] == ["meets target"]
    put(jar, "1941 g4 holed", "1941")
    assert [s.gain for s in card(jar, "1941").spares] == ["no problem"]
    an_album(jar, "Any", target="none")
    assert [s.gain for s in card(jar, "1940", "Any").spares] == ["fills the gap"]


def test_no_more_spares_are_listed_than_a_card_holds(jar: Collection) -> None:
    grades = ["p1", "fr2", "ag3", "g4", "g6", "vg8", "vg10", "f12", "f15", "vf20", "vf25"]
    with_coins(jar, *[f"1941 {grade}" for grade in grades])
    assert len(card(jar, "1941").spares) == MOST_SPARES
    assert card(jar, "1941").spares[0].title == "VF-25"


def test_the_past_is_told_newest_first(jar: Collection, clock: Clock) -> None:
    put(jar, "1941 g4", "1941")
    clock.day = date(2026, 5, 1)
    jar.run(clear_slots([slot(jar, "1941")]))
    put(jar, "1941 vf20", "1941")
    told = [(line.day.isoformat(), line.text) for line in card(jar, "1941").history]
    assert told == [
        ("2026-05-01", "VF-20 put in"),
        ("2026-05-01", "G-4 taken out"),
        ("2026-03-02", "G-4 put in"),
    ]


def test_the_past_names_coins_without_a_grade_by_what_they_are(jar: Collection) -> None:
    put(jar, "1941 bent", "1941")
    jar.run(clear_slots([slot(jar, "1941")]))
    put(jar, "1941", "1941")
    told = [line.text for line in card(jar, "1941").history]
    assert told == ["ungraded coin put in", "bent coin taken out", "bent coin put in"]


def test_what_to_look_at_stands_with_what_is_known_of_it(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1955, 1955), target="none")
    (number,) = with_coins(jar, "1955", series=CENTS)
    jar.run(place_coin(number, slot(jar, "1955", "Cents")))
    lines = card(jar, "1955", "Cents").look_closer
    doubled = next(line for line in lines if "doubled die" in line.name)
    assert doubled.where
    assert doubled.look
    assert doubled.source
    assert doubled.known == ""
    series = jar.series(CENTS)
    open_to = series.varieties_open_to(series.may_be(read_coin(jar, "1955", CENTS).description))
    variety = next(v.id for v in open_to if v.name == doubled.name)
    for finding in Finding:
        (seen,) = jar.run(
            add_coins([read_coin(jar, "1955", CENTS).with_finding(variety, finding)])
        ).made_coins
        jar.run(place_coin(seen, slot(jar, "1955", "Cents")))
        known = {line.name: line.known for line in card(jar, "1955", "Cents").look_closer}
        assert known[doubled.name] == finding.value


def test_what_is_settled_stands_last(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1960, 1960), target="none")
    assert {"small date", "large date"} <= {x.name for x in card(jar, "1960", "Cents").look_closer}
    an_album(jar, "War cents", CENTS, (1944, 1944), target="none")
    series = jar.series(CENTS)
    coin = read_coin(jar, "1944-D", CENTS)
    first = series.varieties_open_to(series.may_be(coin.description))[0]
    ruled_out = coin.with_finding(first.id, Finding.RULED_OUT)
    (number,) = jar.run(add_coins([ruled_out])).made_coins
    jar.run(place_coin(number, slot(jar, "1944-D", "War cents")))
    last = card(jar, "1944-D", "War cents").look_closer[-1]
    assert (last.name, last.known) == (first.name, "ruled out")


def marker(face: Face, x: float, y: float) -> MarkerLine:
    return MarkerLine(0, "place", "see", Evidence.SUPPORTS, face, x, y)


def look(*markers: MarkerLine, is_open: bool = True) -> LookCloser:
    return LookCloser("name", "", "", "possible", "", "", markers, is_open)


def test_markers_at_one_place_share_a_number_and_others_have_their_own() -> None:
    date, mint = marker(Face.OBVERSE, 0.6, 0.4), marker(Face.OBVERSE, 0.6, 0.66)
    lines = numbered(
        [
            look(date, marker(Face.WHOLE, 0, 0), mint),
            look(marker(Face.REVERSE, 0.6, 0.4), marker(Face.OBVERSE, 0.62, 0.43)),
            look(marker(Face.EDGE, 0, 0)),
        ]
    )
    assert [[m.number for m in line.markers] for line in lines] == [[1, 0, 2], [3, 1], [0]]


def test_what_is_settled_takes_no_number() -> None:
    date = marker(Face.OBVERSE, 0.6, 0.4)
    lines = numbered([look(marker(Face.OBVERSE, 0, 0)), look(date, is_open=False)])
    assert [m.number for line in lines for m in line.markers] == [1, 0]


def test_a_sign_is_settled_by_a_coin_that_is_described_so_and_by_no_other(jar: Collection) -> None:
    series = jar.series(CENTS)
    coin = read_coin(jar, "1982", CENTS)
    mask = series.may_be(coin.description)
    assert all(line.is_open for line in look_closer(series, mask, coin))
    zinc = coin.description.with_facet("composition", "zinc")
    told = look_closer(series, series.may_be(zinc), replace(coin, description=zinc))
    settled = [line for line in told if not line.is_open]
    assert [line.known for line in settled] == ["as described"]
    assert "zinc" in settled[0].name
    assert settled == told[-1:]
    gap = look_closer(series, series.may_be(zinc), None)
    assert all(line.is_open for line in gap), "of an empty slot nothing is settled"


def test_what_is_suspected_or_sought_stands_first(jar: Collection) -> None:
    series = jar.series(CENTS)
    coin = read_coin(jar, "1972", CENTS)
    mask = series.may_be(coin.description)
    plain = look_closer(series, mask, coin)
    last = next(v for v in series.varieties_open_to(mask) if v.name == plain[-1].name)
    assert plain[0].name != last.name
    suspected = coin.with_finding(last.id, Finding.SUSPECTED)
    assert look_closer(series, mask, suspected)[0].known == "suspected"
    assert look_closer(series, mask, coin, last.id)[0].name == last.name


def test_marks_and_wishes_are_spoken(jar: Collection) -> None:
    hole = slot(jar, "1941")
    jar.run(set_pinned([hole], True))
    assert "pinned" in card(jar, "1941").state_text
    jar.run(set_wish([hole], Wish.SKIPPED))
    assert card(jar, "1941").accepts == "takes 1941 (skipped)"
    number = put(jar, "1941-D vf20", "1941-D")
    jar.run(set_flagged([number], True))
    assert card(jar, "1941-D").why == "You marked this coin to verify."


def test_a_mintage_that_is_not_split_says_of_what_it_is_the_total(jar: Collection) -> None:
    series = jar.series(CENTS)
    whole = [mask for mask in range(len(series.issues)) if series.totals]
    assert whole
    total = next(t for t in series.totals if t.mintage is not None)
    part = next(
        i for i in series.issues
        if (i.date, i.mint, i.mintage) == (total.date, total.mint, None)
        and i.release.value == "banks" and i.strike.value == "circulation"
    )  # fmt: skip
    assert mintage_text(series, 1 << part.number).endswith(f"(of all {total.date}-{total.mint})")
    assert mintage_text(series, 0) == "not known"


def test_what_is_not_known_says_so() -> None:
    assert coin_text(a_coin()) == "no grade yet"
    assert coin_text(a_coin(grade="vf20", is_genuine=False)) == "VF-20, not genuine"
    assert came_from(a_coin()) == "not known"
    assert came_from(a_coin(origin=Origin.GIVEN)) == "given"
    assert came_from(a_coin(came_from="tin")) == "tin"
    metal = Composition("x", "x", None, None, None)
    assert silver_text(metal) == "not known"
    assert silver_text(replace(metal, silver_ozt=0.0)) == "none"


def test_a_nickel_card_and_a_cent_card_speak_of_their_own_series(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1943, 1943))
    assert card(jar, "1943", "Cents").series.id == CENTS
    assert card(jar, "1943-D").series.id == NICKELS
    assert "Silver" not in dict(card(jar, "1943", "Cents").facts)
