"""An album's view: states, marks, texts, leaves, the flat plan and the headline, without a file."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest

from core.app.album_view import album_view, held_text, slot_view, spoken_detail, why_text
from core.app.spares import SpareIndex
from core.app.views import AlbumSummary, AlbumView, SlotView
from core.arrange.plan import NO_CELL
from core.glyph.codes import glyph_code
from core.model.album import Album, AlbumId, Slot, SlotId, Wish
from core.model.arrangement import Arrangement, parse_arrangement
from core.model.coin import Coin, Problem
from core.model.issue import Series
from core.model.plan_album import AlbumPlan, Varieties, plan_slots
from core.model.state import Mark, SlotState
from tests.builders import a_coin, a_slot, cents, nickels


def seen(slot: Slot, coin: Coin | None = None, ordered: Coin | None = None, *spares: Coin):
    """A cent's slot as drawn."""
    return slot_view(cents(), slot, coin, ordered, SpareIndex(cents(), spares))


def an_album_view(
    series: Series,
    slots: Sequence[Slot],
    coins: Mapping[int, Coin] | None = None,
    arrangement: str = "years-by-mints",
    ordered: Mapping[int, Coin] | None = None,
    spares: Sequence[Coin] = (),
) -> AlbumView:
    """A whole album; coins by the place of their slot, from 0."""
    album = Album(AlbumId(1), "Test", series.id, 0, arrangement=parse_arrangement(arrangement))
    numbered = [replace(s, id=SlotId(at + 1), album=album.id) for at, s in enumerate(slots)]
    held = {numbered[at].id: coin for at, coin in (coins or {}).items()}
    waiting = {numbered[at].id: coin for at, coin in (ordered or {}).items()}
    return album_view(album, series, numbered, held, waiting, SpareIndex(series, spares))


def planned(series: Series, **plan: object) -> list[Slot]:
    return plan_slots(series, AlbumPlan(**plan))  # type: ignore[arg-type]  # its fields by name


STATES: dict[str, tuple[SlotView, SlotState, str]] = {
    "gap": (seen(a_slot()), SlotState.GAP, ""),
    "on order": (seen(a_slot(), None, a_coin(grade="vf20")), SlotState.ON_ORDER, ""),
    "skipped": (seen(a_slot(wish=Wish.SKIPPED), a_coin(grade="vf20")), SlotState.SKIPPED, ""),
    "filled": (seen(a_slot(), a_coin(grade="vf20")), SlotState.FILLED, "VF-20"),
    "filled, ungraded": (seen(a_slot(), a_coin()), SlotState.FILLED, ""),
    "below target": (
        seen(a_slot(target="vf20"), a_coin(grade="vg8")),
        SlotState.BELOW_TARGET,
        "VG-8 ▸ 20",
    ),
    "ungraded where a grade is asked": (
        seen(a_slot(target="vf20"), a_coin()),
        SlotState.BELOW_TARGET,
        "no grade ▸ 20",
    ),
    "below a colour": (
        seen(a_slot(target="RD"), a_coin(grade="ms63 bn")),
        SlotState.BELOW_TARGET,
        "MS-63 BN",
    ),
    "hole filler": (
        seen(a_slot(), a_coin(grade="vf20", problems=(Problem.BENT, Problem.HOLED))),
        SlotState.HOLE_FILLER,
        "bent",
    ),
    "hole filler by a details grade": (
        seen(a_slot(), a_coin(grade="vf20 details")),
        SlotState.HOLE_FILLER,
        "VF-20 details",
    ),
    "open letter": (
        seen(a_slot("1955", "D"), a_coin("1955", None)),
        SlotState.TO_VERIFY,
        "P, D or S?",
    ),
    "flagged": (
        seen(a_slot(), a_coin(grade="vf20", is_flagged=True)),
        SlotState.TO_VERIFY,
        "VF-20",
    ),
    "wrong": (seen(a_slot("1944"), a_coin("1943")), SlotState.TO_VERIFY, "wrong coin?"),
    "two metals": (
        seen(a_slot("1982", "P", facets={"composition": "brass"}), a_coin("1982", "P")),
        SlotState.TO_VERIFY,
        "composition?",
    ),
}


@pytest.mark.parametrize("name", STATES)
def test_a_slot_shows_its_state_and_what_it_holds(name: str) -> None:
    view, state, text = STATES[name]
    assert (view.state, view.held_text) == (state, text)
    assert view.code == glyph_code(view.state, view.level, view.marks)


def test_marks_stand_beside_any_state() -> None:
    worn, fine = a_coin(grade="g4"), a_coin(grade="vf20", number=2)
    slot = a_slot(target="vf20")
    assert seen(slot, worn, None, fine).marks == {Mark.SPARE_WAITING}
    assert seen(slot, worn, fine).marks == {Mark.BETTER_ON_ORDER}
    assert seen(slot, fine, worn).marks == set()
    assert seen(slot, None, fine).marks == set()  # that is the state on order itself
    pinned = replace(slot, is_pinned=True)  # Fill leaves it alone; what is on order comes anyway
    assert seen(pinned, worn, fine, fine).marks == {Mark.PINNED, Mark.BETTER_ON_ORDER}
    assert seen(replace(slot, wish=Wish.SKIPPED), worn, fine, fine).marks == set()
    assert seen(replace(slot, wish=Wish.SKIPPED, is_pinned=True)).marks == {Mark.PINNED}


def test_without_spares_the_marks_come_later() -> None:
    view = slot_view(cents(), a_slot(), None, None, None)
    assert view.marks == set()


def test_an_optional_slots_label_stands_in_brackets() -> None:
    view = seen(a_slot("1955", "D", wish=Wish.OPTIONAL, label="1955-D"))
    assert view.label == "[1955-D]"
    assert not view.counts


def test_the_headline_counts_wanted_slots_and_the_states_count_all() -> None:
    slots = [
        a_slot("1944", "P", "vf20"),
        a_slot("1944", "D", "vf20"),
        a_slot("1944", "S", "vf20"),
        a_slot("1955", "P", wish=Wish.OPTIONAL),
        a_slot("1955", "D", wish=Wish.SKIPPED),
    ]
    coins = {
        0: a_coin("1944", "P", "vf20", number=1),
        1: a_coin("1944", "D", "g4", number=2),
        3: a_coin("1955", "P", number=3),
        4: a_coin("1955", "D", number=4),
    }
    spare = a_coin("1944", "S", "g4", number=5)
    head = an_album_view(cents(), slots, coins, spares=[spare]).headline
    assert head.text == "have 2 of 3"
    assert head.whole_text == "have 2 of 3 · at target 1"
    assert head.states[SlotState.FILLED] == 2  # an optional one is drawn too
    assert head.states[SlotState.SKIPPED] == 1
    assert head.spares_waiting == 1
    summary = AlbumSummary(an_album_view(cents(), slots, coins).album, "Cents", head)
    assert (summary.has_share, summary.target_share) == (2 / 3, 1 / 3)


def test_an_album_without_wanted_slots_has_no_share() -> None:
    view = an_album_view(cents(), [a_slot(wish=Wish.SKIPPED)])
    summary = AlbumSummary(view.album, "Cents", view.headline)
    assert (summary.has_share, summary.target_share) == (0.0, 0.0)
    assert view.headline.text == "have 0 of 0"


def test_years_by_mints_has_a_row_a_year_a_column_a_mint_and_crosses_between() -> None:
    view = an_album_view(nickels(), planned(nickels(), years=(1965, 1970)))
    (leaf,) = view.leaves
    assert [row.head for row in leaf.rows] == ["1965", "1970"]
    assert [[c.slot is None for c in row.cells] for row in leaf.rows] == [
        [False, True, True],
        [True, False, False],
    ]
    plan = view.plan
    for slot in view.slots:
        cell = plan.cell_of_slot(slot.slot.id)
        assert cell != NO_CELL
        assert plan.codes[cell] == slot.code
        assert plan.lines[plan.names[cell]] == slot.slot.label


def test_a_running_album_has_so_many_to_a_row_and_two_lines_under_a_glyph() -> None:
    slots = planned(cents())
    view = an_album_view(cents(), slots, arrangement="running:4x2")
    assert view.plan.has_two_lines
    rows = [row for leaf in view.leaves for row in leaf.rows]
    assert {len(row.cells) for row in rows[:-1]} == {4}
    assert {len(leaf.rows) for leaf in view.leaves[:-1]} == {2}
    placed = [c.slot for row in rows for c in row.cells if c.slot is not None]
    assert placed == list(range(len(slots)))


def test_every_slot_has_one_place_counted_from_one() -> None:
    view = an_album_view(cents(), planned(cents(), varieties=Varieties.ALL))
    assert view.places.keys() == view.by_id.keys()
    assert len(set(view.places.values())) == len(view.slots)
    assert min(view.places.values()) == (1, 1, 1)
    first = view.slots[0].slot.id
    assert view.place_text(first) == "leaf 1, row 1, place 1"


def test_a_further_row_says_what_differs() -> None:
    view = an_album_view(cents(), planned(cents(), years=(1960, 1960), varieties=Varieties.MAIN))
    told = [row.differs for leaf in view.leaves for row in leaf.rows]
    assert {"small date", "large date"} <= set(told)


def test_a_screen_reader_hears_grade_target_and_optional() -> None:
    slot = a_slot(target="vf20", wish=Wish.OPTIONAL)
    assert spoken_detail(seen(slot, a_coin(grade="vg8"))) == "VG-8, target VF-20, optional"
    assert spoken_detail(seen(a_slot())) == ""


WHY: dict[str, tuple[Slot, Coin | None, str]] = {
    "empty": (a_slot(), None, ""),
    "filled": (a_slot(), a_coin(), ""),
    "not genuine": (a_slot(), a_coin(is_genuine=False), "not genuine"),
    "wrong": (a_slot(), a_coin("1943"), "does not fit"),
    "open": (a_slot("1955", "D"), a_coin("1955", None), "mint would settle it"),
    "flagged": (a_slot(), a_coin(is_flagged=True), "You marked this coin"),
    "problem": (a_slot(), a_coin(problems=(Problem.HOLED,)), "until a sound coin turns up: holed"),
    "details": (a_slot(), a_coin(grade="xf details"), "a details grade"),
}


@pytest.mark.parametrize("name", WHY)
def test_the_card_says_why_a_coin_does_not_simply_count(name: str) -> None:
    slot, coin, told = WHY[name]
    said = why_text(cents(), slot, coin)
    assert told in said
    assert (said == "") == (told == "")


def test_problems_that_a_slot_allows_are_not_shown_as_its_state() -> None:
    slot = a_slot(target="G-4 problems allowed")
    view = seen(slot, a_coin(grade="vf20", problems=(Problem.BENT,)))
    assert view.state is SlotState.FILLED
    assert held_text(cents(), slot, view.coin, view.state) == "VF-20"


def test_an_album_can_be_arranged_anew_without_touching_its_slots() -> None:
    slots = planned(nickels())
    one = an_album_view(nickels(), slots, arrangement="years-by-mints")
    other = an_album_view(nickels(), slots, arrangement="running:5x5")
    assert [v.slot for v in one.slots] == [v.slot for v in other.slots]
    assert one.album.arrangement != other.album.arrangement
    assert isinstance(one.album.arrangement, Arrangement)


def test_a_template_labels_the_slots_of_a_matrix_and_leaves_their_names_alone() -> None:
    slots = planned(cents(), years=(1944, 1944))
    view = an_album_view(
        cents(), slots, {1: a_coin("1944", "D", grade="vf20")}, "years-by-mints; label={mint}"
    )
    plan = view.plan
    assert plan.has_two_lines
    assert [plan.lines[n] for n in plan.l1] == ["Philadelphia", "Denver", "San Francisco"]
    assert [plan.lines[n] for n in plan.l2] == ["", "VF-20", ""]
    assert [plan.lines[n] for n in plan.names] == ["1944", "1944-D", "1944-S"]
    assert plan.find_date("1944-D") == 1


def test_an_optional_slot_and_one_of_its_own_label_keep_their_ways_under_a_template() -> None:
    first, second, third = planned(cents(), years=(1944, 1944))
    slots = [
        replace(first, wish=Wish.OPTIONAL),
        replace(second, label="from the jar", has_own_label=True),
        third,
    ]
    plan = an_album_view(cents(), slots, arrangement="running:9x5; label={date}/{mark}").plan
    assert [plan.lines[n] for n in plan.l1] == ["[1944]", "from the jar", "1944/S"]


def test_runs_side_by_side_are_headed_by_captions_in_the_plan() -> None:
    slots = planned(cents(), years=(1941, 1955))
    view = an_album_view(cents(), slots, arrangement="years-by-mints:2; blocks=2")
    plan = view.plan
    assert [plan.sentence(cell) for cell in plan.captions] == ["1944", "1955"]
    assert plan.leaves[0].heads[-3:] == plan.leaves[0].heads[:3]
    assert len(view.places) == len(slots)
    assert view.places[SlotId(len(slots))][:2] == (1, 2)


def test_blocks_are_headed_by_decade_or_by_the_title_of_their_design() -> None:
    slots = planned(nickels(), years=(1938, 1942))
    by_decade = an_album_view(nickels(), slots, arrangement="by-decade").plan
    assert [head for head in by_decade.row_head if head] == ["1930s", "1940s"]
    by_type = an_album_view(nickels(), slots, arrangement="by-type").plan
    titles = {design.title for design in nickels().designs}
    assert {head for head in by_type.row_head if head} <= titles


def test_rows_of_designs_are_headed_by_dates_where_a_design_has_several() -> None:
    """The design is told in its first row of each leaf."""
    slots = planned(nickels(), years=(1970, 2005))
    by_date = an_album_view(nickels(), slots, arrangement="by-design").plan
    assert by_date.row_head == ["1970", "1980", "2004", "2004", "2005", "2005"]
    assert by_date.row_sub[:4] == ["Monticello", "", "Peace medal", "Keelboat"]
    cut = an_album_view(nickels(), slots, arrangement="by-design:1").plan
    assert cut.row_sub[:2] == ["Monticello", "Monticello"]
    slots = planned(nickels(), years=(2004, 2004))
    by_title = an_album_view(nickels(), slots, arrangement="by-design").plan
    assert by_title.row_head == ["Peace medal", "Keelboat"]
    assert by_title.row_sub == ["2004", "2004"]


def test_breaks_and_orders_go_by_the_years_of_the_series() -> None:
    slots = planned(cents(), years=(1922, 1941))
    shape = "running:9x5; order=mint; mints=S,P; leaf-break=mint"
    view = an_album_view(cents(), slots, arrangement=shape)
    assert [leaf.title for leaf in view.leaves] == ["San Francisco", "Philadelphia", "Denver"]
    assert view.leaves[2].subtitle == "Leaf 3 · 1922-D–1941-D"
    decades = an_album_view(cents(), slots, arrangement="years-by-mints; leaf-break=decade")
    assert [leaf.title for leaf in decades.leaves] == ["1920s", "1940s"]
