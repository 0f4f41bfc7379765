"""Records of a campaign and what breaks them; the campaign's table."""

import pytest

from core.model.search import BoxId, BoxKind
from core.search.dashboard import dashboard, trend
from core.search.facts import FILLS
from core.search.records import broken_by, of_box, records, usual_rules
from tests.builders import DDO_1955, cents
from tests.search_facts import TALLIER, box, campaign, cent, seen, tally

RULES = usual_rules([tally("wheat reverse", to_year=1958)])


def standing(*boxes, **opening):
    return records(TALLIER, RULES, campaign(*boxes, **opening))


def announced(before, after, **opening):
    return broken_by(standing(*before, **opening), standing(*after, **opening))


def test_the_oldest_of_box_and_campaign_stand_where_they_were_found():
    boxes = [box(1, [cent("1922", "D", roll=9)]), box(2, [cent("1944"), cent("1941", place=2)])]
    told = {one.text: (one.number, one.roll) for one in of_box(standing(*boxes), BoxId(2))}
    assert told["oldest this box: 1941"] == (2, 1)
    assert told["oldest this campaign: 1922-D"] == (1, 9)


def test_an_older_coin_is_announced_and_an_equal_or_open_one_is_not():
    before = [box(1, [cent("1922", "D"), cent("1941")])]
    older = [box(1, [*before[0].finds, cent("1909", place=3)])]
    assert "oldest this campaign: 1909" in announced(before, older)
    equal = [box(1, [*before[0].finds, cent("1922", "D", place=3)])]
    assert announced(before, equal) == ()
    open_date = seen(cents(), date=("1909", "1944"), place=3)
    assert announced(before, [box(1, [*before[0].finds, open_date])]) == ()


def test_the_first_coin_of_a_campaign_breaks_no_oldest():
    assert announced([box(1)], [box(1, [cent("1941")])]) == (
        "first coin of the 1940s of this campaign",
    )


def test_firsts_are_announced_once_and_the_decade_speaks_for_its_date():
    before = [box(1, [cent("1941")])]
    decade = [box(1, [cent("1941"), cent("1958", place=2)])]
    assert announced(before, decade) == ("first coin of the 1950s of this campaign",)
    date = [box(1, [cent("1941"), cent("1943", place=2)])]
    assert announced(before, date) == ("first 1943 of this campaign",)
    assert announced(date, [box(1, [cent("1941"), cent("1943"), cent("1943", "D")])]) == ()
    variety = [box(1, [cent("1941"), cent("1955", place=2, varieties=[DDO_1955])])]
    assert announced(before, variety)[0] == "first doubled die obverse of this campaign"


def test_with_boxes_before_the_log_a_first_is_of_the_log():
    before, after = [box(1, [cent("1941")])], [box(1, [cent("1941"), cent("1943")])]
    assert announced(before, after, opening_boxes=31) == ("first 1943 of this log",)


def test_the_most_in_a_box_is_announced_once_when_another_box_takes_the_lead():
    first = box(1, [cent("1941", kept=False, quantity=2)])

    def second(*places: int):
        return box(2, [cent("1941", place=p) for p in places], done=False)

    said = "most in a box, wheat reverse: 3 in box 2"
    assert announced([first, second(1)], [first, second(1, 2)]) == ()  # level is not broken
    assert announced([first, second(1, 2)], [first, second(1, 2, 3)]) == (said,)
    assert announced([first, second(1, 2, 3)], [first, second(1, 2, 3, 4)]) == ()
    assert announced([second(1)], [second(1, 2)]) == ()  # the only box leads nobody


@pytest.mark.parametrize("kind", [BoxKind.NEW, BoxKind.OWN])
def test_new_and_returned_coins_set_no_record(kind):
    assert standing(box(1, [cent("1909")], kind=kind)) == ()


def test_taking_back_what_broke_a_record_announces_nothing():
    before = [box(1, [cent("1922", "D"), cent("1909", place=2)])]
    assert announced(before, [box(1, [cent("1922", "D")])]) == ()


# Two boxes of the north branch with 3 finds of which 1 fills a slot, one of the south with 1 of 2;
# half of a box more, and a box of new coins. Fees 300 and 500 cents, one hour and a half.
def test_the_table_of_a_campaign_agrees_with_one_kept_by_hand():
    fills = {"answer": FILLS}
    facts = campaign(
        box(1, [cent("1941", **fills), cent("1943")], came_from="north", fees_minor=300,
            currency="USD", seconds=3600, wrapper="paper"),
        box(2, [cent("1944")], came_from="north", fees_minor=500, currency="USD", seconds=1800),
        box(3, [cent("1958", **fills), cent("1998")], came_from="South"),
        box(4, opened=25, done=False),
        box(5, [cent("2017")], kind=BoxKind.NEW),
        opening_boxes=31, opening_coins=77_500,
    )  # fmt: skip
    told = dashboard(TALLIER, [tally("wheat", to_year=1958)], facts)
    assert (told.boxes_in_all, told.coins_in_all) == (36, 77_500 + 4 * 2500 + 1250)
    assert (told.whole.boxes, told.whole.coins, told.whole.left_out) == (5, 11_250, 1)
    (wheat,) = told.whole.rates
    assert (wheat.count, wheat.boxes, wheat.per_box) == (4, 3.5, 4 / 3.5)
    assert told.whole.slots.per_box == 2 / 3.5
    assert [(row.group, row.boxes) for row in told.by_branch] == [
        ("north", 2),
        ("South", 1),
        ("", 2),
    ]
    assert told.by_branch[0].rates[0].per_box == 1.5
    assert [row.group for row in told.by_wrapper] == ["paper", ""]
    (cost,) = told.cost_per_slot
    assert (cost.unit, cost.spent, cost.slots, cost.value, cost.of_boxes) == ("USD", 800, 1, 800, 2)
    assert cost.high is not None
    assert cost.low < 800 < cost.high
    assert told.hours_per_slot is not None
    assert told.hours_per_slot.value == 1.5
    assert {one.change for one in told.trends} == {None}


def test_what_filled_nothing_took_more_than_its_lower_bound():
    told = dashboard(TALLIER, [], campaign(box(1, fees_minor=300, currency="USD")))
    (cost,) = told.cost_per_slot
    assert (cost.value, cost.high) == (None, None)
    assert 0 < cost.low < 300
    assert told.hours_per_slot is None
    assert (told.whole.slots.per_box, told.whole.slots.low) == (0, 0)
    assert told.whole.slots.high == pytest.approx(3, abs=0.01)  # the rule of three


def grown(boxes: int, share: float):
    return [
        box(n + 1, [cent("1941", kept=False, quantity=round(200 * share**n))]) for n in range(boxes)
    ]


def test_a_trend_is_told_from_eight_boxes_on_and_finds_what_was_put_in():
    rule = tally().rule
    assert trend(TALLIER, "", rule, grown(7, 1.1)).change is None
    told = trend(TALLIER, "", rule, grown(8, 1.1))
    assert told.change == pytest.approx(0.1, abs=0.002)
    assert told.is_certain
    level = trend(TALLIER, "", rule, grown(12, 1.0))
    assert level.low is not None
    assert level.high is not None
    assert level.low < 0 < level.high
    assert not level.is_certain


@pytest.mark.parametrize("quantities", [[0] * 9, [0] * 8 + [40], [1] + [0] * 7 + [1]])
def test_no_trend_is_told_from_next_to_nothing(quantities):
    boxes = [
        box(n, [cent("1941", kept=False, quantity=q)] if q else [])
        for n, q in enumerate(quantities)
    ]
    told = trend(TALLIER, "", tally().rule, boxes)
    assert told.change is None
    assert told.reason


def test_the_most_of_the_only_box_is_no_record():
    def most(*boxes):
        return [one.text for one in standing(*boxes) if one.text.startswith("most in a box")]

    first = box(1, [cent("1941"), cent("1943", place=2)])
    assert most(first) == []
    assert most(first, box(2)) == ["most in a box, wheat reverse: 2 in box 1"]
