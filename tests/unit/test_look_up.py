"""The answers for the coin in hand, and what they say that keeping it would change."""

import shutil
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.compare import kept_coin, was_one_of
from core.app.look_up import Answer, Scope, UseRule, Verdict, slots_told
from core.app.operations import (
    add_and_place,
    add_coins,
    place_coin,
    set_pinned,
    set_target,
    set_wish,
)
from core.errors import BadEntry
from core.glyph.codes import GlyphCode, glyph_code, state_of
from core.lookup.commands import Command, CommandKind, read_command
from core.lookup.line import read_line
from core.model.album import AlbumId, AlbumKind, Wish, parse_target
from core.model.coin import Finding
from core.model.issue import VarietyId
from core.model.plan_album import Varieties
from core.model.state import Mark, SlotState
from tests.cli_material import slotleaf
from tests.collection_material import (
    CENTS,
    DAY,
    DIMES,
    a_collection,
    an_album,
    read_coin,
    slot,
    with_coins,
)

ALBUM = "Cents 1909–1958"


@pytest.fixture(scope="module")
def kept_file(tmp_path_factory):
    """The collection below, closed."""
    with stocked(tmp_path_factory.mktemp("kept")) as collection:
        return collection.path


@pytest.fixture
def jar(tmp_path, kept_file):
    """A collection of one's own, to be changed."""
    path = Path(shutil.copy(kept_file, tmp_path))
    with Collection.open(path, today=lambda: DAY, verify=False) as collection:
        yield collection


@pytest.fixture(scope="module")
def still(tmp_path_factory):
    """The same for all tests that only look."""
    with stocked(tmp_path_factory.mktemp("still")) as collection:
        yield collection


@contextmanager
def stocked(folder):
    """An album of early cents: 1939-D VG-8, 1944-S ungraded, 1958-D corroded; three spares."""
    with a_collection(folder) as collection:
        an_album(collection, ALBUM, CENTS, (1909, 1958))
        for entry, label in (
            ("39d vg8", "1939-D"),
            ("44s", "1944-S"),
            ("58d f12 corroded", "1958-D"),
        ):
            coin = read_coin(collection, entry, CENTS)
            collection.run(add_and_place(coin, slot(collection, label, ALBUM)))
        with_coins(collection, "39d", "2 x 58 ag3", series=CENTS)
        yield collection


def answer(collection: Collection, text: str, rule: UseRule | None = None, **scope) -> Answer:
    found = collection.look_up(text, Scope(rule=rule or UseRule(), **scope))
    assert len(found.readings) == 1, found
    return found.readings[0]


def verdict(collection: Collection, text: str, rule: UseRule | None = None, **scope) -> str:
    return str(answer(collection, text, rule, **scope).verdict)


def test_an_upgrade_word_for_word(still) -> None:
    found = answer(still, "39d vf20")
    assert found.verdict is Verdict.UPGRADE
    assert found.sentence == "1939-D beats the VG-8 in Cents 1909–1958, leaf 4, row 5."
    assert found.second == "Target VF-20 met. You hold 1 spare."
    assert found.have_text == "have 3 of 140, no change"
    assert found.closer_text == "Look closer: nothing known for this date"
    assert state_of(found.before) is SlotState.BELOW_TARGET
    assert found.after == glyph_code(SlotState.FILLED)
    assert (found.before_text, found.after_text) == ("VG-8 ▸ 20", "VF-20")
    assert (found.have_before.at_target, found.have_after.at_target) == (0, 1)


def test_a_gap_filled_counts_one_more(still) -> None:
    found = answer(still, "1940")
    assert found.verdict is Verdict.FILLS
    assert found.sentence == "1940 fills a gap in Cents 1909–1958, leaf 4, row 6."
    assert found.second == "Target VF-20 not met: no grade yet. You hold no spare."
    assert found.have_text == "have 3 of 140, then 4"
    assert found.before == glyph_code(SlotState.GAP)


@pytest.mark.parametrize("entry", ["39d vf20", "40", "41 vf20", "58d vf35", "12 corroded", "44s >"])
def test_what_the_answer_says_of_the_slot_is_what_putting_it_in_does(jar, entry) -> None:
    found = next(a for a in jar.look_up(entry).readings if a.verdict.is_of_use)
    coin = replace(found.entry.coin, quantity=1)
    number = jar.run(add_coins([coin])).made_coins[0]
    jar.run(place_coin(number, found.slot))
    view = jar.album_view(found.album)
    shown = view.by_id[found.slot]
    spare = glyph_code(SlotState.GAP, marks={Mark.SPARE_WAITING}) - glyph_code(SlotState.GAP)
    assert shown.code | spare == found.after | spare  # the coin taken out may wait as a spare
    assert shown.held_text == found.after_text
    assert view.headline.have == found.have_after.have
    assert view.headline.at_target == found.have_after.at_target
    assert view.headline.states == found.have_after.states


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("39d vg8", "No use"),
        ("39d g4", "No use"),
        ("39d vg10", "Upgrade"),
        ("39d vf30 bent", "No use"),
        ("58d g4", "Upgrade"),
        ("58d", "Upgrade"),
        ("58d f15 cleaned", "Upgrade"),
        ("44s", "No use"),
        ("44s vf20", "No use"),
        ("44s >", "Upgrade"),
        ("44s vf20 >", "Upgrade"),
        ("44s <", "No use"),
        ("44s =", "No use"),
        ("39d g4 >", "No use"),
        ("40 pf65", "No use"),
        ("40 fake", "No use"),
        ("dime 46", "Not sought"),
        ("ca cent 1940", "Not sought"),
        ("merc 42", "Not sought"),
    ],
)
def test_verdicts(still, text, expected) -> None:
    assert verdict(still, text) == expected


def test_coins_only_the_eye_can_tell_apart_ask_for_the_sign(still) -> None:
    assert "by eye with the ungraded coin" in answer(still, "44s").sentence
    assert "by eye with the VG-8" in answer(still, "39d").sentence
    assert "the grades decide, not the sign" in answer(still, "39d g4 >").sentence


def test_a_rule_for_gaps_alone(still) -> None:
    rule = UseRule(upgrade_points=0)
    assert verdict(still, "39d vf20", rule) == "No use"
    assert "your rule seeks gaps" in answer(still, "39d vf20", rule).sentence
    assert verdict(still, "40", rule) == "Fills a gap"
    assert verdict(still, "40", UseRule(gaps=False)) == "No use"


def test_a_rule_for_upgrades_of_so_many_points_or_a_word(jar) -> None:
    jar.run(set_target([slot(jar, "1939-D", ALBUM)], parse_target("MS-60")))
    assert verdict(jar, "39d vg10", UseRule(upgrade_points=3)) == "No use"
    assert verdict(jar, "39d f12", UseRule(upgrade_points=3)) == "Upgrade"
    assert verdict(jar, "39d f12", UseRule(upgrade_points=10)) == "No use"
    assert verdict(jar, "39d f12", UseRule(upgrade_points=10, upgrade_by_word=True)) == "Upgrade"
    assert verdict(jar, "39d vg10", UseRule(upgrade_points=10, upgrade_by_word=True)) == "No use"


def test_a_coin_that_reaches_the_target_is_an_upgrade_however_few_points(jar) -> None:
    jar.run(set_target([slot(jar, "1939-D", ALBUM)], parse_target("VG-10")))
    assert verdict(jar, "39d vg10", UseRule(upgrade_points=20)) == "Upgrade"


def test_a_rule_for_spares_counts_those_held(jar) -> None:
    assert verdict(jar, "39d g4", UseRule(spares_of_each=1)) == "No use"
    assert verdict(jar, "39d g4", UseRule(spares_of_each=2)) == "Spare"
    assert answer(jar, "39d g4", UseRule(spares_of_each=2)).have_text == "have 3 of 140, no change"
    with_coins(jar, "39d vf20", series=CENTS)
    assert verdict(jar, "39d g4", UseRule(spares_of_each=2)) == "No use"


def test_spares_are_counted_by_pieces(still) -> None:
    assert answer(still, "58 g4").second.endswith("You hold 2 spares.")


def test_hole_fillers_are_welcome_or_not(still) -> None:
    found = answer(still, "40 bent")
    assert (found.verdict, found.after) == (Verdict.FILLS, int(GlyphCode.HOLE_FILLER))
    assert "is a hole filler in" in found.sentence
    assert verdict(still, "40 bent", UseRule(hole_fillers=False)) == "No use"
    assert verdict(still, "39d g4 bent", UseRule(hole_fillers=False, spares_of_each=9)) == "No use"


def test_a_gap_is_filled_once_by_three_coins_alike(jar) -> None:
    told = []
    for _ in range(3):
        told.append(answer(jar, "42d vf20"))
        with_coins(jar, "42d vf20", series=CENTS)
    assert [str(one.verdict) for one in told] == ["Fills a gap", "No use", "No use"]
    last = told[-1]
    assert last.sentence == "A spare VF-20 waits for 1942-D in Cents 1909–1958, leaf 4, row 8."
    assert last.second == "You hold 2 spares."
    assert (last.before, last.have_text) == (last.after, "have 3 of 140, no change")


@pytest.mark.parametrize("entry", ["42d vf20", "42?"])
def test_beside_a_spare_that_waits_a_spare_is_one_only_as_far_as_the_rule_keeps_them(
    jar, entry
) -> None:
    with_coins(jar, "42 vf20", "42d vf20", "42s vf20", series=CENTS)
    held = 3 if entry.endswith("?") else 1
    told = [answer(jar, entry, UseRule(spares_of_each=k)) for k in (0, held, held + 1)]
    assert [str(one.verdict) for one in told] == ["No use", "No use", "Spare"]
    assert len({one.sentence for one in told}) == 1
    assert told[0].sentence.startswith("A spare VF-20 waits for 1942")
    for one in told:
        assert (one.before, one.have_before) == (one.after, one.have_after)
        assert one.have_text == "have 3 of 140, no change"
        assert one.is_sure is (entry == "42d vf20")


def test_a_coin_that_beats_the_spare_for_a_gap_is_an_upgrade(jar) -> None:
    with_coins(jar, "42d vg8", series=CENTS)
    found = answer(jar, "42d vf20")
    assert found.verdict is Verdict.UPGRADE
    told = "1942-D beats the spare VG-8 that waits for its slot in Cents 1909–1958, leaf 4, row 8."
    assert found.sentence == told
    assert state_of(found.before) is SlotState.GAP
    assert verdict(jar, "42d vg8") == "No use"
    assert answer(jar, "42d").second.startswith("Add > if better.")
    assert verdict(jar, "42d >") == "Upgrade"
    asks_more = answer(jar, "42d vg10", UseRule(upgrade_points=10))
    assert asks_more.verdict is Verdict.NO_USE
    assert asks_more.sentence.endswith("leaf 4, row 8; your rule asks for more.")


def test_a_better_spare_waits_for_a_slot_that_is_filled(jar) -> None:
    with_coins(jar, "39d f12", series=CENTS)
    assert verdict(jar, "39d vg10", UseRule(spares_of_each=3)) == "Spare"
    assert answer(jar, "39d vg10").sentence.startswith("A spare F-12 waits for 1939-D in")
    assert verdict(jar, "39d vf20") == "Upgrade"
    assert "beats the spare F-12" in answer(jar, "39d vf20").sentence


def test_what_cannot_speak_for_a_gap(jar) -> None:
    """Coins to verify, of another mint, or gone; and a gap that has gone itself."""
    with_coins(jar, "42d verify", "42s", series=CENTS)
    assert verdict(jar, "42d") == "Fills a gap"
    with_coins(jar, "42d cleaned", series=CENTS)
    assert answer(jar, "42d cleaned").sentence.startswith("An ungraded spare (cleaned) waits")
    assert verdict(jar, "42d") == "Upgrade"
    jar.run(set_wish([slot(jar, "1942-D", ALBUM)], Wish.SKIPPED))
    assert verdict(jar, "42d") == "No use"


def test_one_spare_speaks_for_one_of_two_albums(jar) -> None:
    an_album(jar, "Second", CENTS, (1942, 1942))
    with_coins(jar, "42d", series=CENTS)
    assert answer(jar, "42d").sentence.startswith("1942-D fills a gap in Second")
    with_coins(jar, "42d", series=CENTS)
    assert verdict(jar, "42d") == "No use"
    assert jar.undo()
    assert verdict(jar, "42d") == "Fills a gap"


def test_a_spare_moves_on_to_the_gap_that_only_it_can_fill(jar) -> None:
    """It speaks for the first gap, but fits another too: there is room for one coin more."""
    an_album(jar, "Second", CENTS, (1942, 1942), mints=("any",))
    with_coins(jar, "42d vf20", series=CENTS)
    assert verdict(jar, "42d") == "Fills a gap"
    with_coins(jar, "42d vf20", series=CENTS)
    assert verdict(jar, "42d") == "No use"


def test_a_gap_that_a_coin_may_fill_is_spoken_for_too(jar) -> None:
    assert verdict(jar, "42?") == "Fills a gap"
    with_coins(jar, "42", "42d", "42s", series=CENTS)
    assert verdict(jar, "42?") == "No use"


def test_the_best_album_first_and_how_many_more(jar) -> None:
    more = an_album(jar, "All cents", CENTS, None, target="")
    third = an_album(jar, "Forties", CENTS, (1940, 1949))
    found = answer(jar, "41d")
    assert found.album == more  # without a target it is met
    assert found.more_text == "+2 more albums"
    both = answer(jar, "41d", UseRule(albums=(third, more)))
    assert both.more_text == "+1 more album"
    assert verdict(jar, "1909", UseRule(albums=(third,))) == "No use"
    index = jar.look_up_index()
    told = slots_told(index, found, Scope())
    assert [t.album for t in told] == ["All cents", ALBUM, "Forties"]


def test_an_overview_is_asked_after_the_albums_that_hold_coins(jar) -> None:
    overview = an_album(jar, "Best", CENTS, (1909, 1958), kind=AlbumKind.OVERVIEW)
    assert answer(jar, "40 vf20").album != overview
    for label in ("1941", "1942"):
        jar.run(set_wish([slot(jar, label, ALBUM)], Wish.SKIPPED))
    found = answer(jar, "41 vf20")
    assert found.album == overview
    assert found.sentence == "1941 fills a gap in the overview Best, leaf 4, row 7."


def test_an_optional_slot_says_that_it_is_not_counted_and_a_skipped_one_is_not_offered(jar) -> None:
    one = [slot(jar, "1941", ALBUM)]
    jar.run(set_wish(one, Wish.OPTIONAL))
    before = jar.album_view(jar.albums()[0].id).headline
    found = answer(jar, "41 vf20")
    assert found.verdict is Verdict.FILLS
    assert found.sentence == "1941 fills an optional slot in Cents 1909–1958, leaf 4, row 7."
    assert found.have_text == "have 3 of 139, no change: an optional slot is not counted"
    assert (before.have, before.wanted) == (3, 139)
    jar.run(add_and_place(read_coin(jar, "41 vf20", CENTS), one[0]))
    assert jar.album_view(jar.albums()[0].id).headline.have == found.have_after.have == 3
    again = answer(jar, "41 vf20")
    assert (again.verdict, again.is_counted) == (Verdict.NO_USE, False)
    assert slotleaf("look", jar.path, "41 vf30").lines[2].endswith("not counted; stays filled")
    jar.run(set_wish(one, Wish.SKIPPED))
    assert answer(jar, "41 vf20").sentence == "1941 has no slot in Cents 1909–1958."
    jar.run(set_wish(one, Wish.WANTED))
    assert answer(jar, "41 vf20").have_text == "have 4 of 140, no change"


def test_what_the_sentence_says_of_a_coin_that_does_not_beat_what_is_there(jar) -> None:
    """A finer coin is not called no better, and a problem stands in brackets."""
    jar.run(set_target([slot(jar, "1939-D", ALBUM)], parse_target("VG-8")))
    finer = answer(jar, "39d vf20")
    place = "in Cents 1909–1958, leaf 4, row 5"
    assert finer.verdict is Verdict.NO_USE
    assert finer.sentence == f"1939-D is finer than the VG-8 {place}, but the target is met."
    assert answer(jar, "39d g4").sentence == f"1939-D is no better than the VG-8 {place}."
    assert answer(jar, "39d vf20 bent").sentence == f"1939-D is no better than the VG-8 {place}."
    flagged = answer(jar, "58d ms63 verify").sentence
    assert flagged.startswith("1958-D would beat the F-12 (corroded) in Cents 1909–1958")
    assert flagged.endswith(", once it is verified.")
    bracketed = answer(jar, "39?").sentence
    assert bracketed.startswith("1939 (no letter, D or S) may ")


def test_skipped_and_pinned_slots_take_nothing(jar) -> None:
    jar.run(set_wish([slot(jar, "1940", ALBUM)], Wish.SKIPPED))
    jar.run(set_pinned([slot(jar, "1941", ALBUM), slot(jar, "1939-D", ALBUM)], True))
    assert verdict(jar, "40") == "No use"
    assert "the slot is pinned" in answer(jar, "41").sentence
    assert verdict(jar, "39d vf20") == "No use"


def test_what_is_open_may_fill_and_names_what_would_settle_it(still) -> None:
    found = answer(still, "40?")
    assert (found.verdict, found.is_sure) == (Verdict.FILLS, False)
    told = "1940 (no letter, D or S) may fill one of 3 gaps in Cents 1909–1958."
    assert found.sentence == told
    assert found.second.startswith("The mint would settle it. Target VF-20 not met")
    assert state_of(found.after) is SlotState.TO_VERIFY


def test_a_variety_slot_is_filled_only_by_what_is_seen_or_suspected(jar) -> None:
    an_album(jar, "With varieties", CENTS, (1955, 1955), varieties=Varieties.ALL)
    for label in ("1955",):
        coin = read_coin(jar, "55 vf20", CENTS)
        jar.run(add_and_place(coin, slot(jar, label, ALBUM)))
        jar.run(add_and_place(coin, slot(jar, label, "With varieties")))
    plain = answer(jar, "55 vf20")
    assert plain.verdict is Verdict.NO_USE
    assert plain.closer_text == "Look closer: doubled die obverse"
    seen = answer(jar, "55 ddo")
    assert seen.verdict is Verdict.FILLS
    assert seen.sentence.startswith("1955 (doubled die obverse) fills an optional slot in With")
    assert seen.have_text == "have 1 of 3, no change: an optional slot is not counted"
    assert (seen.have_before, seen.is_counted) == (
        replace(seen.have_after, states=seen.have_before.states),
        False,
    )
    doubtful = answer(jar, "55 ddo?")
    assert (doubtful.verdict, doubtful.is_sure) == (Verdict.FILLS, False)
    assert doubtful.settle == (VarietyId("1955-ddo"),)
    assert answer(jar, "55 -ddo").verdict is Verdict.NO_USE


def test_one_of_three_can_be_settled_by_comparing(still) -> None:
    found = answer(still, "72 ddo")
    assert len(found.settle) == 3
    assert found.entry.one_of == found.settle
    assert {f for _, f in found.entry.coin.varieties} == {Finding.SUSPECTED}


def test_one_of_three_is_told_from_three_suspected_in_hand_and_as_kept(still) -> None:
    is_one, may_be = answer(still, "72 ddo"), answer(still, "72 ddo?")
    assert is_one.name == "1972 doubled die obverse, one of 3"
    assert is_one.sentence.startswith("1972 (doubled die obverse, one of 3) has no slot")
    assert may_be.name == "1972 doubled die obverse? (die 1, die 2, die 8)"
    assert may_be.sentence.startswith("1972 (doubled die obverse?) has no slot")
    assert was_one_of(kept_coin(is_one.entry).note)
    assert kept_coin(answer(still, '72 ddo "worn"').entry).note == "worn Compared: one of 3"
    assert kept_coin(may_be.entry) == may_be.entry.coin
    assert answer(still, "55 ddo?").name == "1955 doubled die obverse?"


def test_coins_of_two_series_are_asked_about_even_where_neither_is_of_use(still) -> None:
    abroad = still.look_up("ca 1962", Scope(series=(CENTS,)))
    assert [a.called for a in abroad.readings] == [
        "1962, Canadian small cents",
        "1962, Canadian five cents",
    ]
    assert abroad.must_ask, "one is a cent and one five cents"
    assert abroad.meant is None


def test_a_misspelt_denomination_and_an_older_kind_of_the_searched_one(still) -> None:
    cents = Scope(series=(CENTS,))
    for text in ("40 nickle", "nickle 40"):
        found = still.look_up(text, cents).readings[0]
        assert (found.called, found.said) == ("1940, Jefferson nickels", "read nickle as nickel")
        assert found.verdict is Verdict.NOT_SOUGHT
    older = still.look_up("1905", cents).readings[0]
    assert (older.called, older.verdict) == ("1905, Indian head cents", Verdict.NOT_SOUGHT)
    assert still.look_up("1932 s", cents).trouble.startswith("Lincoln cents: no 1932-S was struck")
    assert still.look_up("43d", cents).readings[0].of == ""


def test_what_the_answer_names_is_not_told_again_as_assumed(still) -> None:
    assert answer(still, "43d").said == ""
    assert still.look_up("22").readings[0].said.startswith("no 1922 was struck without a letter")
    assert answer(still, "1943 stel").said == "read stel as steel"


def test_of_a_worn_date_it_is_the_date_that_would_settle_it(jar) -> None:
    for text, name in (
        ("19?? s", "1909–1974 (S)"),
        ("19-- s", "1909–1974 (S)"),
        ("19?4 s", "1914–1974 (S)"),
        ("no date s", "one of unknown date (S)"),
    ):
        worn = jar.look_up(text, Scope(series=(CENTS,))).readings[0]
        told = name[:1].upper() + name[1:]
        assert worn.sentence.startswith(f"{told} may fill one of "), text
        assert worn.sentence.endswith(f" gaps in {ALBUM}."), text
        assert worn.second.startswith("The date would settle it."), text
        assert worn.after_text == "date?", text
    assert (
        answer(jar, "44?").sentence
        == f"1944 (no letter, D or S) may fill one of 2 gaps in {ALBUM}."
    )


def test_both_readings_of_a_short_date_and_when_to_ask(jar) -> None:
    looked = jar.look_up("17 vf20")
    assert [a.name for a in looked.readings] == ["1917", "2017, P or D?"]
    assert [str(a.verdict) for a in looked.readings] == ["Fills a gap", "No use"]
    assert looked.must_ask
    assert looked.meant is None
    only = jar.look_up("17 vf20", Scope(nothing_before=1940))
    assert [a.name for a in only.readings] == ["2017, P or D?"]
    assert not only.must_ask
    jar.run(set_wish([slot(jar, "1917", ALBUM)], Wish.SKIPPED))
    useless = jar.look_up("17 vf20")
    assert not useless.must_ask
    assert useless.meant is useless.readings[-1]


def test_a_date_before_the_box_is_not_sought_and_says_why(still) -> None:
    found = answer(still, "1917", nothing_before=1940)
    assert found.verdict is Verdict.NOT_SOUGHT
    assert found.sentence == "There should be nothing before 1940 here; look at the date again."


def test_only_the_series_searched_are_asked(jar) -> None:
    an_album(jar, "Dimes", DIMES, (1946, 1964))
    assert len(jar.look_up("58d").readings) == 2
    assert answer(jar, "58d", series=(DIMES,)).entry.series == DIMES
    assert verdict(jar, "dime 58d", series=(CENTS,)) == "Not sought"


def test_a_series_without_an_album_is_not_sought(still) -> None:
    found = answer(still, "58d", series=(DIMES,))
    assert (found.verdict, found.sentence) == (
        Verdict.NOT_SOUGHT,
        "No album asks for Roosevelt dimes.",
    )


def test_more_than_one_piece_tells_what_becomes_of_the_rest(still) -> None:
    assert answer(still, "3 x 40").second.endswith("2 of the 3 would be spares.")
    assert answer(still, "2 x 40").second.endswith("1 of the 2 would be a spare.")
    assert answer(still, "3 x 39d g4").second.endswith("All 3 would be spares.")


def test_from_the_bar_no_album_asks_and_in_a_box_the_search_does_not(still) -> None:
    """Nothing is being searched from the bar, so nothing is said of a search."""
    for entry, title in (("44 merc", "Mercury dimes"), ("quarter 64", "Washington quarters")):
        told = answer(still, entry)
        assert (str(told.verdict), told.sentence) == ("Not sought", f"No album asks for {title}.")
        boxed = answer(still, entry, series=(CENTS,))
        assert boxed.sentence == f"This search is not for {title}."
    chosen = answer(still, "1940", UseRule(albums=(AlbumId(99),)))
    assert chosen.sentence == "No album of your rule asks for Lincoln cents."


def test_answers_are_those_of_now(jar) -> None:
    assert verdict(jar, "40 vf20") == "Fills a gap"
    coin = read_coin(jar, "40 vf20", CENTS)
    jar.run(add_and_place(coin, slot(jar, "1940", ALBUM)))
    assert verdict(jar, "40 vf20") == "No use"
    jar.undo()
    assert verdict(jar, "40 vf20") == "Fills a gap"
    an_album(jar, "Dimes", DIMES, (1946, 1964))
    assert verdict(jar, "dime 58d") == "Fills a gap"


def test_a_date_never_struck_shows_what_lies_beside_it(still) -> None:
    looked = still.look_up("1922s")
    assert looked.neighbours == ("1922-D", "1921-S", "1923-S")
    assert "no 1922-S was struck" in looked.trouble
    assert not looked.readings


@pytest.mark.parametrize(
    ("entry", "told", "finding"),
    [
        ("1943 3.1g", "3.1 g is not zinc-coated steel: bronze planchet? check magnet", "suspected"),
        ("1943 3g", "3 g is not zinc-coated steel: bronze planchet? check magnet", "suspected"),
        ("1943 copper", "copper here is off-metal: bronze planchet? check magnet", "suspected"),
        ("1943 bronze 3.1g", "3.1 g is not zinc-coated steel: bronze planchet? check", "suspected"),
        ("1943 bronze planchet", "", "confirmed"),
        ("1943 2.7g", "", ""),
    ],
)
def test_a_coin_of_the_wrong_metal_is_worth_a_look(still, entry, told, finding) -> None:
    found = answer(still, f"cent {entry}")
    assert found.said.startswith(told) if told else not found.said
    assert len(found.said) <= 90
    assert [str(f) for _, f in found.entry.coin.varieties] == [finding] * bool(finding)
    assert bool(found.settle) is (finding == "suspected")
    closer = {"suspected": "bronze planchet (very rare)", "": "bronze planchet"}
    rare = "bronze planchet is very rare, make sure (magnet and scale)"
    assert found.closer_text == f"Look closer: {closer.get(finding, rare)}"


def test_a_weight_of_no_metal_names_the_nearest_series_and_what_it_weighs(jar) -> None:
    an_album(jar, "Dimes", DIMES, (1946, 1990))
    told = jar.look_up("1982 2.8g ").trouble
    assert told.startswith("Lincoln cents: no 1982 weighs 2.8 g, even worn: brass 2.85–3.24 g")
    assert "no letter" not in told
    unlisted = jar.look_up("cent 1943 ddo ").trouble
    assert unlisted.startswith("“ddo” is not known on 1943; it is listed for 1917, 1936, 1955")


def test_a_date_of_one_mint_alone_says_what_was_assumed(still) -> None:
    found = still.look_up("22").readings[0]
    assert found.name == "1922-D"
    told = "no 1922 was struck without a letter: taken as 1922-D; look closer if it has none"
    assert found.said == told
    assert found.closer_text == "Look closer: no D, strong reverse · weak D"
    assert answer(still, "1922d").said == ""
    assert answer(still, "1922 no d").said == ""
    assert answer(still, "1944").said == ""
    missing = answer(still, "1922 no letter")
    assert missing.said == (
        "each 1922 bore a letter: perhaps “no D, strong reverse” or “weak D”, look closer"
    )
    assert set(missing.settle) == {"1922-no-d", "1922-weak-d"}
    assert "bears a letter" in still.look_up("1922d no letter ").trouble


def test_what_several_series_do_not_have_is_told_of_all_and_the_nearest_first(jar) -> None:
    an_album(jar, "Dimes", DIMES, (1946, 1990))
    both = jar.look_up("75s")
    assert both.trouble.startswith("Lincoln cents, Roosevelt dimes: no 1975-S was struck")
    assert both.neighbours == ("1975", "1975-D", "1974-S", "1955-S")
    older = answer(jar, "cent 1899")
    assert (older.called, older.verdict) == ("1899, Indian head cents", Verdict.NOT_SOUGHT)
    assert answer(jar, "1899").called == "1899, Indian head cents"
    assert jar.look_up("1799").trouble.startswith("Lincoln cents: none is dated 1799")
    assert jar.look_up("1922s").trouble.startswith("Lincoln cents: no 1922-S was struck; of that")


def test_a_word_that_only_another_series_has_names_it(still) -> None:
    told = "“delaware” is not a word known here. "
    assert still.look_up("99d delaware ").trouble.startswith(told)
    assert "State and territory quarters have it" in still.look_up("wisconsin d ").trouble
    assert still.look_up("19w lowell ").trouble.startswith("“lowell” is not a word known here.")
    assert "“cc”" in still.look_up("89 cc ").trouble
    assert still.look_up("xqzzy ").trouble.startswith("“xqzzy” is not a word known")


def test_a_word_being_typed_waits_and_a_finished_one_is_told(still) -> None:
    typing = still.look_up("43 corr")
    assert (typing.unfinished, typing.trouble) == ("corr", "")
    assert typing.readings
    assert "43 corroded" in typing.completions
    assert "corr" in still.look_up("43 corr ").trouble
    assert still.look_up("4").unfinished == "4"
    assert still.look_up("43d vf2").unfinished == "vf2"


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("98 w", "98 wide am"),
        ("55 dd", "55 ddo"),
        ("43", "43d"),
        ("+f", "+foreign"),
        ("wh", "wheatie"),
        ("70s sm", "70s small date"),
        ("43d scr", "43d scratched"),
    ],
)
def test_completions(still, text, offered) -> None:
    assert offered in still.look_up(text).completions


def test_commands_are_passed_on_and_own_counters_are_known(still) -> None:
    assert still.look_up("/37").command == Command(CommandKind.ROLL, 37)
    own = still.look_up("woden: a ship", Scope(counters=("wooden",)))
    assert own.command == Command(CommandKind.COUNT, None, "wooden", "a ship")
    assert own.said == "read woden as wooden"
    assert read_command("43d") is None


def test_a_line_of_very_many_words_says_where_they_belong(still) -> None:
    words = "43d vf20" + " word" * 13
    assert "more than 14 words" in still.look_up(words).trouble
    noted = answer(still, '43d vf20 "' + "word " * 30 + '" ')
    assert noted.entry.coin.note.startswith("word word")


def test_own_codes_name_a_variety_with_its_date(still) -> None:
    series = still.series(CENTS)
    codes = {
        "K-12": (CENTS, VarietyId("1972-ddo-8")),
        "doubled ear": (CENTS, VarietyId("1984-doubled-ear")),
    }
    entry = read_line("k-12 vf20", [series], codes=codes).entries[0]
    assert entry.coin.description.only("date") == "1972"
    assert dict(entry.coin.varieties) == {"1972-ddo-8": Finding.CONFIRMED}
    assert entry.coin.points == 20
    doubtful = read_line("K-12?", [series], codes=codes).entries[0]
    assert dict(doubtful.coin.varieties) == {"1972-ddo-8": Finding.SUSPECTED}
    ruled = read_line("72 -K-12", [series], codes=codes).entries[0]
    assert dict(ruled.coin.varieties) == {"1972-ddo-8": Finding.RULED_OUT}
    wrong = read_line("1973 K-12", [series], codes=codes)
    assert "is not known on 1973" in wrong.trouble


RULES = [
    UseRule(),
    UseRule(False, 5, 2, False, (), True),
    UseRule(upgrade_points=0, albums=(AlbumId(3), AlbumId(1))),
]


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_reads_back_from_its_text(rule) -> None:
    assert UseRule.from_text(rule.text) == rule


@pytest.mark.parametrize("text", ["foo", "upgrades many", "albums x"])
def test_a_rule_that_cannot_be_read_says_what_can(text) -> None:
    with pytest.raises(BadEntry, match=text.split()[0]):
        UseRule.from_text(text)


def test_look_on_the_command_line(jar) -> None:
    path = jar.path
    jar.close()
    said = slotleaf("look", path, "39d vf20")
    assert said.lines[0] == "Upgrade: 1939-D beats the VG-8 in Cents 1909–1958, leaf 4, row 5."
    assert "    Cents 1909–1958, 1939-D, leaf 4, row 5, place 2: VG-8" in said.lines
    rows = slotleaf("look", path, "17 vf20", "--json").rows
    assert [row["answer"] for row in rows] == ["Fills a gap", "No use"]
    rule = ("--rule", "no gaps", "--series", CENTS, "--nothing-before", "1900")
    assert slotleaf("look", path, "17 vf20", *rule, "--json").rows[0]["answer"] == "No use"
    for text, told in (
        ("75s", "Struck nearby: 1975, 1975-D, 1974-S."),
        ("1922s", "1922-D"),
        ("/37", "roll 37"),
        ("", "empty"),
        ("43 corr", "corr"),
    ):
        refused = slotleaf("look", path, text)
        assert refused.code == 1
        assert told in refused.err


def test_seen_before_a_coin_counts_it_on_the_line_too(still) -> None:
    seen = still.look_up("seen 5 x 1959 ")
    assert seen.is_seen
    assert (seen.readings[0].name, seen.readings[0].entry.quantity) == ("1959", 5)
    assert still.look_up("seen").unfinished == "seen"
    assert still.look_up("Seen 44").completions[0].startswith("Seen 44")
    assert not still.look_up("seen seen 44 ").is_seen
    assert not still.look_up("44d").is_seen


def test_of_two_dates_of_no_use_the_sought_one_is_kept_and_the_latest_counted(jar) -> None:
    coin = read_coin(jar, "1925 vf20", CENTS)
    jar.run(add_and_place(coin, slot(jar, "1925", ALBUM)))
    looked = jar.look_up("25 g4", Scope(series=(CENTS,)))
    assert [one.name for one in looked.readings] == ["1925", "2025"]
    assert not looked.must_ask
    assert looked.meant is looked.readings[0], "2025 has no slot anywhere"
    assert looked.meant_seen is looked.readings[1]


def test_what_only_the_eye_can_tell_is_no_use_perhaps(jar) -> None:
    assert answer(jar, "44s vf20").verdict_text == "No use, perhaps"
    assert answer(jar, "44s vf20 <").verdict_text == "No use"
    assert answer(jar, "44s vf20 >").verdict_text == "Upgrade"
    assert answer(jar, "44?").verdict_text == "Fills a gap, perhaps"
    assert answer(jar, "98").verdict_text == "No use"
    spares = jar.look_up("44s vf20", Scope(rule=UseRule(spares_of_each=1))).readings[0]
    assert spares.verdict_text == "Spare"
