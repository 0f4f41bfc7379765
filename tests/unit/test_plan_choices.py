"""What is chosen of plans by hand: kept in the file, undone, ended with its slot or offer."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from core.app.album_edit import edit_album, plan_edit, present_choice
from core.app.collection import Collection
from core.app.operations import delete_album, order_coin, place_coin, rearrange_album
from core.app.plan_choices import choose_purchase, free_purchase, unpin
from core.app.price_orders import (
    add_offer,
    delete_prices,
    delete_rate,
    edit_offer,
    set_prices,
    set_rate,
    take_back_offers,
    take_offer,
)
from core.app.upgrades import Upgrades, plan_input
from core.app.volumes import split_into_volumes
from core.errors import CollectionError
from core.model.album import AlbumKind
from core.model.arrangement import parse_arrangement
from core.model.issue import BANK_ISSUE, Description
from core.model.plan_choice import ChoiceKind, Chosen, Listed, PlanChoice
from core.model.prices import Offer, OfferId, Price, PriceId
from core.planning.aim import GAPS
from core.planning.plan import plan
from core.planning.wants import Spot
from tests.cli_material import slotleaf
from tests.collection_material import (
    DAY,
    NICKELS,
    Clock,
    a_collection,
    an_album,
    fresh,
    read_coin,
    slot,
    with_coins,
)

PINNED, FORBIDDEN, SHOWN = ChoiceKind.PINNED, ChoiceKind.FORBIDDEN, ChoiceKind.SHOWN


def described(date: str, mint: str) -> Description:
    return Description.of(NICKELS, {**BANK_ISSUE, "date": date, "mint": mint})


D42 = described("1942", "D")
F12, VF20 = Listed(D42, 12), Listed(D42, 20)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940-1943 at VF-20; prices of 1942-D and 1943-D; an offer of 1942-D."""
    with a_collection(tmp_path, Clock()) as collection:
        an_album(collection)
        asked = ((D42, 12, 150), (D42, 20, 400), (described("1943", "D"), 20, 300))
        collection.run(
            set_prices(
                [Price(PriceId(0), d, grade, minor, "USD", DAY) for d, grade, minor in asked]
            )
        )
        one = read_coin(collection, "1942-D xf40")
        collection.run(add_offer(Offer(OfferId(0), D42, 900, "USD", DAY, one.grade)))
        yield collection


def choose(jar: Collection, of: Chosen, kind: ChoiceKind, label: str = "1942-D") -> None:
    assert jar.run(choose_purchase(slot(jar, label), of, kind)).is_choices_alone


def said(jar: Collection) -> set[tuple[str, Chosen]]:
    return {(one.kind.value, one.of) for one in jar.plan_choices()}


def spots(found: Upgrades) -> tuple[set[str], set[str]]:
    """What is pinned and forbidden, by the names of the purchases."""
    given = found.given
    both = (given.pinned, given.forbidden)
    pinned, forbidden = (
        {found.buys[m.purchase].name for m in marks if isinstance(m, Spot)} for marks in both
    )
    return pinned, forbidden


def test_one_purchase_a_slot_is_pinned_many_forbidden_one_shown(jar: Collection) -> None:
    before = jar.content_hash()
    choose(jar, F12, PINNED)
    assert str(jar.undo_label).split(maxsplit=3)[:3] == ["pin", "a", "purchase"]
    assert str(jar.undo_label).endswith("1942-D, F-12")
    choose(jar, VF20, PINNED)
    assert said(jar) == {("pinned", VF20)}
    choose(jar, F12, FORBIDDEN)
    choose(jar, OfferId(1), FORBIDDEN)
    choose(jar, F12, SHOWN)
    choose(jar, VF20, SHOWN)
    assert said(jar) == {
        ("pinned", VF20), ("forbidden", F12), ("forbidden", OfferId(1)), ("shown", VF20),
    }  # fmt: skip
    assert jar.run(choose_purchase(slot(jar, "1942-D"), VF20, PINNED)).is_nothing
    choose(jar, VF20, FORBIDDEN)
    assert ("pinned", VF20) not in said(jar)
    jar.run(free_purchase(slot(jar, "1942-D"), VF20))
    assert said(jar) == {("forbidden", F12), ("forbidden", OfferId(1)), ("shown", VF20)}
    assert jar.run(free_purchase(slot(jar, "1942-D"), VF20)).is_nothing
    assert jar.content_hash() != before
    with fresh(jar) as other:
        assert said(other) == said(jar)
    assert jar.check() == []


def test_each_is_one_order_that_undo_takes_back_and_the_content_hash_tells(
    jar: Collection,
) -> None:
    hashes, rows = [jar.content_hash()], [jar.rows_hash()]
    choose(jar, F12, PINNED)
    choose(jar, OfferId(1), FORBIDDEN)
    choose(jar, F12, FORBIDDEN)
    jar.undo()
    for of, kind in ((F12, FORBIDDEN), (VF20, PINNED), (VF20, SHOWN)):
        hashes.append(jar.content_hash())
        rows.append(jar.rows_hash())
        choose(jar, of, kind)
    jar.run(unpin([slot(jar, "1942-D"), slot(jar, "1943-D")]))
    assert "pinned" not in {kind for kind, _ in said(jar)}
    jar.undo()
    assert len(set(hashes)) == len(hashes)
    for content, row in zip(reversed(hashes[1:]), reversed(rows[1:]), strict=True):
        jar.undo()
        assert (jar.content_hash(), jar.rows_hash()) == (content, row)
    assert jar.run(unpin([slot(jar, "1943-D")])).is_nothing


def test_a_copy_carries_them(jar: Collection, tmp_path: Path) -> None:
    choose(jar, VF20, PINNED)
    jar.copy_to(tmp_path / "copy.slotleaf")
    with Collection.open(tmp_path / "copy.slotleaf") as copy:
        assert said(copy) == {("pinned", VF20)}
        assert copy.content_hash() == jar.content_hash()


def test_they_survive_another_arrangement_other_years_and_volumes_and_end_with_their_slot(
    jar: Collection,
) -> None:
    choose(jar, VF20, PINNED)
    choose(jar, OfferId(1), FORBIDDEN)
    album = jar.albums()[0].id
    kept = said(jar)
    jar.run(rearrange_album(album, parse_arrangement("running:5x4")))
    assert said(jar) == kept
    jar.run(split_into_volumes(album, [slot(jar, "1942")]))
    assert said(jar) == kept
    later = next(one for one in jar.albums() if one.id != album)
    assert {jar.find_slot(later, "1942-D").id} == {one.slot for one in jar.plan_choices()}
    jar.run(delete_album(later.id))
    assert said(jar) == set()
    jar.undo()
    assert said(jar) == kept
    jar.undo()
    choice = present_choice(jar.album_view(album))
    for years, left in (((1941, 1942), kept), ((1940, 1941), set[object]())):
        other = replace(choice, plan=replace(choice.plan, years=years))
        assert not plan_edit(jar.album_view(album), other).falling_out
        jar.run(edit_album(album, other))
        assert said(jar) == left
    assert jar.check() == []


def test_they_end_with_their_offer_and_with_the_coin_on_order(jar: Collection) -> None:
    choose(jar, OfferId(1), FORBIDDEN)
    jar.run(take_back_offers([OfferId(1)]))
    assert said(jar) == set()
    jar.undo()
    choose(jar, F12, SHOWN)
    choose(jar, OfferId(1), PINNED)
    choose(jar, Listed(described("1943", "D"), 20), PINNED, "1943-D")
    jar.run(take_offer(OfferId(1), slot(jar, "1942-D")))
    assert {kind for kind, _ in said(jar)} == {"pinned"}, "that of 1943-D alone is left"
    done = jar.run(order_coin(read_coin(jar, "1943-D vf20"), slot(jar, "1943-D")))
    assert done.is_choices
    assert said(jar) == set()
    with pytest.raises(CollectionError, match="taken already"):
        jar.run(choose_purchase(slot(jar, "1942-D"), OfferId(1), PINNED))


def test_an_offer_that_is_marked_taken_by_hand_ends_its_choices(jar: Collection) -> None:
    choose(jar, OfferId(1), PINNED)
    jar.run(edit_offer(replace(jar.price_book().offers[0], is_taken=True)))
    assert said(jar) == set()


def test_what_cannot_be_chosen_is_refused_and_changes_nothing(jar: Collection) -> None:
    an_album(jar, "All", kind=AlbumKind.OVERVIEW)
    wrong = (
        (slot(jar, "1942-D"), Listed(D42, 13), "grade scale"),
        (slot(jar, "1942-D"), OfferId(7), "no offer"),
        (slot(jar, "1942-D", "All"), VF20, "overview"),
        (slot(jar, "1942-D"), Listed(Description.of(NICKELS, {"date": "1799"}), 20), "1799"),
    )
    before = jar.rows_hash()
    for at, of, why in wrong:
        with pytest.raises(CollectionError, match=why):
            jar.run(choose_purchase(at, of, PINNED))
        assert jar.rows_hash() == before


def test_plans_read_them_and_say_what_means_nothing_now(jar: Collection) -> None:
    choose(jar, VF20, PINNED)
    choose(jar, OfferId(1), FORBIDDEN)
    choose(jar, Listed(described("1943", "D"), 20), FORBIDDEN, "1943-D")
    found = plan_input(jar)
    assert spots(found) == ({"1942-D VF-20"}, {"1942-D XF-40", "1943-D VF-20"})
    assert found.notes[0] == "1 pinned, 2 forbidden"
    made = plan(found.given, None, GAPS)
    assert [(b.slot, b.cost) for b in made.purchases] == [(slot(jar, "1942-D"), 400)]
    assert plan_input(jar, with_choices=False).given.pinned == frozenset()
    without = found.with_choices([])
    assert {b.slot for b in plan(without.given, None, GAPS).purchases} == {
        slot(jar, "1942-D"), slot(jar, "1943-D"),
    }  # fmt: skip
    assert without.with_choices(jar.plan_choices()).given == found.given
    (number,) = (one.id for one in jar.price_book().prices if one.minor == 400)
    jar.run(delete_prices([number]))
    idle = plan_input(jar)
    assert [one.of for one in idle.choices.idle] == [VF20]
    assert "1 pinned purchase has no price now, or no slot to better; it is left out" in idle.notes
    assert plan(idle.given, None, GAPS).is_proven, "a pin that means nothing stops no plan"
    jar.run(set_prices([Price(PriceId(0), D42, 20, 500, "USD", DAY)]))
    assert spots(plan_input(jar))[0] == {"1942-D VF-20"}, "the coin was pinned, not its price"
    (coin,) = with_coins(jar, "1942-D xf45")
    jar.run(place_coin(coin, slot(jar, "1942-D")))
    assert len(plan_input(jar).choices.idle) == 1


def test_a_pinned_offer_without_a_rate_stops_no_plan(jar: Collection) -> None:
    jar.run(set_rate("EUR", "1.1"))
    coin = read_coin(jar, "1942-D xf45")
    jar.run(add_offer(Offer(OfferId(0), D42, 900, "EUR", DAY, coin.grade)))
    choose(jar, OfferId(2), PINNED)
    assert spots(plan_input(jar))[0] == {"1942-D XF-45"}
    jar.run(delete_rate("EUR"))
    idle = plan_input(jar)
    assert [one.of for one in idle.choices.idle] == [OfferId(2)]
    assert plan(idle.given, None, GAPS).gains.gaps == 2


def test_a_purchase_pinned_for_one_plan_comes_before_the_one_pinned_by_hand(
    jar: Collection,
) -> None:
    choose(jar, VF20, PINNED)
    (other,) = (b.id for b in plan_input(jar).buys.values() if b.name == "1942-D F-12")
    made = plan(plan_input(jar, pinned=[other]).given, None, GAPS)
    assert other in {b.purchase for b in made.purchases}


def test_forbidding_what_beat_another_purchase_brings_that_back(jar: Collection) -> None:
    jar.run(set_prices([Price(PriceId(0), D42, 8, 150, "USD", DAY)]))

    def grades(found: Upgrades) -> list[int | None]:
        steps = found.row_of(slot(jar, "1942-D")).steps
        return [step.grade for step in steps if step.buy.offer is None]

    found = plan_input(jar)
    assert grades(found) == [12, 20]
    choices = [PlanChoice(slot(jar, "1942-D"), FORBIDDEN, F12)]
    assert grades(found.with_choices(choices)) == [12, 8, 20]


def test_the_command_line_respects_them_says_so_and_can_leave_them_out(jar: Collection) -> None:
    choose(jar, VF20, PINNED)
    choose(jar, Listed(described("1943", "D"), 20), FORBIDDEN, "1943-D")
    path = jar.path
    jar.close()
    said = slotleaf("upgrades", path, "--budget", "9")
    assert "1 pinned, 1 forbidden." in said.lines
    assert "Spent 4.00 USD" in said.out
    listed = {row["slot"]: row for row in slotleaf("upgrades", path, "--json").rows}
    assert (listed["1942-D"]["next"], listed["1942-D"]["marks"]) == ("1942-D VF-20", "pinned")
    assert listed["1943-D"]["next"] == ""
    bare = slotleaf("upgrades", path, "--budget", "9", "--ignore-pins")
    assert "pinned" not in bare.out
    assert "Spent 7.00 USD" in bare.out
    forbid = listed["1942-D"]["number"]
    assert "Spent 9.00 USD" in slotleaf(
        "upgrades", path, "--budget", "9", "--forbid", str(forbid)
    ).out, "what is said on the line comes before what was chosen"  # fmt: skip
    wants = path.with_suffix(".pdf")
    assert "1 coin sought" in slotleaf("wants", path, "-o", wants, "--budget", "9").out
    page = PdfReader(wants).pages[0].extract_text()
    assert "Chosen by hand" in page
    more = slotleaf("wants", path, "-o", wants, "--budget", "9", "--ignore-pins").out
    assert "2 coins sought" in more
