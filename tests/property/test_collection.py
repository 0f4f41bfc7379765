"""Whatever is done to a collection, what it keeps in memory is what the file says."""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from core.app.across import add_album_across
from core.app.album_edit import edit_album, plan_edit, present_choice
from core.app.changes import Changes
from core.app.collection import Collection
from core.app.design import (
    add_slot,
    extra_slots,
    keep_arrangement,
    move_slots,
    relabel_slot,
    set_leads,
    take_out_slots,
)
from core.app.finish_box import Way, finish_proposal, finish_task
from core.app.finish_box import finish_box as finish_whole
from core.app.keep_supposed import keep_supposed
from core.app.operations import (
    Operation,
    add_album,
    add_and_place,
    add_coins,
    apply_fill,
    cancel_order,
    clear_slots,
    coin_arrived,
    delete_album,
    edit_coins,
    let_go,
    move_album,
    move_coin,
    order_coin,
    place_coin,
    rearrange_album,
    rename_album,
    rename_collection,
    set_flagged,
    set_note,
    set_notes,
    set_pinned,
    set_target,
    set_wish,
    stock_slots,
    swap_slots,
    unstock_slot,
)
from core.app.operations_albums import order_albums, set_album_note
from core.app.operations_coins import KEEP, CoinChange, change_coins
from core.app.operations_past import correct_placement
from core.app.own_series import add_next_year, delete_series, save_series, take_update
from core.app.plan_choices import choose_purchase, free_purchase, unpin
from core.app.price_orders import (
    add_offer,
    delete_prices,
    delete_rate,
    edit_offer,
    edit_price,
    let_inherit,
    set_prices,
    set_rate,
    set_rules,
    take_back_offers,
    take_offer,
)
from core.app.search_orders import (
    add_box,
    add_container,
    add_tally,
    add_weighing,
    back_roll,
    claim,
    count_seen,
    delete_box,
    delete_campaign,
    delete_claim,
    delete_container,
    edit_box,
    edit_campaign,
    edit_find,
    edit_search,
    edit_sighting,
    finish_box,
    go_to_roll,
    keep_find,
    mark_ender,
    next_roll,
    remove_find,
    remove_sighting,
    reopen_box,
    set_roll_coins,
    skip_roll,
)
from core.app.supposed import Kept
from core.app.volumes import join_volumes, set_volumes, split_into_volumes
from core.catalogue.draft import SeriesDraft, draft_of
from core.catalogue.load import load_series
from core.errors import CollectionError
from core.fill.proposal import propose
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, AlbumKind, SlotId, Wish, parse_target
from core.model.arrangement import Lead, parse_arrangement
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.grade import parse_grade
from core.model.issue import SeriesId, VarietyId
from core.model.plan_across import AcrossPlan
from core.model.plan_album import AlbumPlan, Varieties
from core.model.plan_choice import ChoiceKind, Chosen, Listed
from core.model.prices import Offer, OfferId, Price, PriceId, SpotPrice, Weight
from core.model.search import (
    Box,
    BoxId,
    BoxKind,
    Campaign,
    CampaignId,
    Container,
    Search,
    SearchId,
    Sighting,
    Tally,
    TallyRule,
    Weighing,
)
from tests.collection_material import (
    CENTS,
    DIMES,
    NICKELS,
    TOKENS,
    Clock,
    a_box,
    a_collection,
    an_album,
    differences,
    fresh,
    keep,
    with_coins,
)

ENTRIES: tuple[tuple[SeriesId, str], ...] = (
    (NICKELS, "1941"),
    (NICKELS, "1941-D vf20"),
    (NICKELS, "1941 ?"),
    (NICKELS, "1942-P g4 bent"),
    (NICKELS, "3 x 1941-S f12"),
    (NICKELS, "1941-D au50 counterfeit"),
    (NICKELS, "1941-D vf20 verify"),
    (CENTS, "1955 ddo vf20"),
    (CENTS, "1955"),
    (CENTS, "1955-D"),
    (CENTS, "2 x 1955 g4"),
    (TOKENS, "H.E. 12 N vf20"),
)
TARGETS = ("none", "G-4", "VF-20", "AU-50 problems allowed")
PLANS = (
    (NICKELS, (1941, 1942), (), Varieties.NONE, AlbumKind.HOLDER),
    (NICKELS, (1941, 1942), ("any",), Varieties.NONE, AlbumKind.HOLDER),
    (NICKELS, (1941, 1942), (), Varieties.NONE, AlbumKind.OVERVIEW),
    (CENTS, (1955, 1955), (), Varieties.ALL, AlbumKind.HOLDER),
    (TOKENS, (1901, 1999), (), Varieties.NONE, AlbumKind.HOLDER),
)

small = st.integers(0, 40)
Step = tuple[str, int, int, int]
ORDERS = (
    *("add", "place", "place", "place", "clear", "swap", "order", "arrive", "cancel", "stock"),
    *("stock", "unstock", "edit", "go", "flag", "wish", "pin", "target", "note", "fill", "album"),
    *("delete", "move", "rename", "arrange", "enter", "name", "undo", "redo", "day", "correct"),
    *("year", "update", "own"),
    *("carry", "notes", "change", "shelf", "tell", "alter", "alter", "alter"),
    *("step", "lead", "extra", "out", "label", "keep", "suppose"),
    *("box", "find", "find", "find", "seen", "roll", "roll", "log", "log", "unlog", "tally"),
    *("across", "across", "split", "split", "join", "volumes"),
    *("price", "price", "offer", "offer", "take", "rules", "choose", "choose"),
)
LOG_ORDERS = (
    *("box", "find", "find", "seen", "roll", "log", "log", "log", "unlog", "tally", "end"),
    *("place", "go", "edit", "delete", "fill", "undo", "redo"),
)
log_steps = st.lists(
    st.tuples(st.sampled_from(LOG_ORDERS), small, small, small), min_size=6, max_size=20
)
steps = st.lists(st.tuples(st.sampled_from(ORDERS), small, small, small), min_size=4, max_size=14)


ANSWERS = ("Fills a gap", "Upgrade", "No use")
SHAPES = ("years-by-mints:3", "running:4x3", "map:3 2_1 / 4", "by-decade:3x3; order=mint")


OWN = SeriesId("my-tokens")


def own_tokens(how: int) -> SeriesDraft:
    """The tokens under an id of one's own, with a figure that changes."""
    draft = replace(draft_of(load_series(TOKENS)), id=str(OWN))
    return replace(draft, rows=(replace(draft.rows[0], mintage=str(how)), *draft.rows[1:]))


class World:
    """An open collection with three albums, and orders made of small numbers."""

    def __init__(self, collection: Collection, clock: Clock) -> None:
        self.collection, self.clock = collection, clock
        self.made: list[tuple[SlotId, CoinId]] = []

    def slots(self) -> list[SlotId]:
        views = [self.collection.album_view(a.id) for a in self.collection.albums()]
        return [s.slot.id for view in views for s in view.slots]

    def slot(self, at: int) -> SlotId:
        slots = self.slots() or [SlotId(999)]
        return slots[at % len(slots)]

    def coin(self, at: int) -> CoinId:
        numbers = [row.coin.id for row in self.collection.coin_rows()] or [CoinId(999)]
        return numbers[at % len(numbers)]

    def album(self, at: int) -> AlbumId:
        albums = [a.id for a in self.collection.albums()] or [AlbumId(999)]
        return albums[at % len(albums)]

    def entry(self, at: int) -> Coin:
        code, text = ENTRIES[at % len(ENTRIES)]
        return parse_entry(text, [self.collection.series(code)]).coin

    def edited(self, at: int, how: int) -> Coin:
        coin = self.collection.coin(self.coin(at))
        ways: tuple[Callable[[], Coin], ...] = (
            lambda: replace(coin, grade=parse_grade("xf40")),
            lambda: replace(coin, grade=None, problems=()),
            lambda: replace(coin, description=self.entry(how).description),
            lambda: replace(coin, status=(*CoinStatus,)[how % 3]),
            lambda: replace(coin, quantity=1 + how % 3),
            lambda: replace(coin, place="tray B4", note="seen"),
            lambda: replace(coin, is_genuine=not coin.is_genuine),
        )
        return ways[how % len(ways)]()

    def new_album(self, at: int) -> Operation:
        series, years, mints, varieties, kind = PLANS[at % len(PLANS)]
        first_last = None if series == TOKENS else years
        plan = AlbumPlan(first_last, mints, varieties, parse_target("VF-20"))
        return add_album(f"Album {at}", series, plan, parse_arrangement("running:5x4"), kind)

    def order(self, what: str, a: int, b: int, c: int) -> Operation:
        make: dict[str, Callable[[], Operation]] = {
            "add": lambda: add_coins([self.entry(a)]),
            "place": lambda: place_coin(self.coin(a), self.slot(b), may_be_wrong=c % 3 == 0),
            "clear": lambda: clear_slots([self.slot(a), self.slot(b)]),
            "swap": lambda: swap_slots(self.slot(a), self.slot(b)),
            "order": lambda: order_coin(self.entry(a), self.slot(b)),
            "arrive": lambda: coin_arrived(self.slot(a)),
            "cancel": lambda: cancel_order(self.slot(a)),
            "stock": lambda: stock_slots(
                [self.slot(a), self.slot(b)],
                parse_grade("vf30") if c % 2 else None,
                is_flagged=c % 5 == 0,
            ),
            "unstock": lambda: unstock_slot(*self.made[a % len(self.made)]),
            "edit": lambda: edit_coins([self.edited(a, b)]),
            "change": lambda: change_coins(
                [self.coin(a), self.coin(b)],
                CoinChange(
                    description=self.edited(a, c).description if c % 3 == 0 else KEEP,
                    grade=parse_grade("g4") if c % 2 else None,
                    place=f"tray {b}",
                ),
            ),
            "go": lambda: let_go([self.coin(a)]),
            "flag": lambda: set_flagged([self.coin(a), self.coin(b)], bool(c % 2)),
            "wish": lambda: set_wish([self.slot(a), self.slot(b)], (*Wish,)[c % 3]),
            "pin": lambda: set_pinned([self.slot(a)], bool(b % 2)),
            "target": lambda: set_target([self.slot(a)], parse_target(TARGETS[b % 4])),
            "note": lambda: set_note(self.slot(a), f"note {b}"),
            "fill": self.fill,
            "album": lambda: self.new_album(a),
            "delete": lambda: delete_album(self.album(a)),
            "move": lambda: move_album(self.album(a), b % 4),
            "rename": lambda: rename_album(self.album(a), f"Renamed {b}"),
            "arrange": lambda: rearrange_album(
                self.album(a), parse_arrangement(SHAPES[b % len(SHAPES)])
            ),
            "step": lambda: self.designed(
                a,
                lambda album, slots: move_slots(
                    album,
                    [slots[b % len(slots)], slots[c % len(slots)]],
                    slots[(b + c) % len(slots)],
                ),
            ),
            "lead": lambda: self.designed(
                a,
                lambda album, slots: set_leads(
                    album, {slots[b % len(slots)]: Lead(c % 3, c % 4 == 0, c % 5 == 0)}
                ),
            ),
            "extra": lambda: self.extra(a, b, c),
            "suppose": lambda: self.supposed(a, b, c),
            "out": lambda: self.designed(
                a,
                lambda album, slots: take_out_slots(
                    album, [slots[b % len(slots)]], [self.coin(n) for n in range(c)]
                ),
            ),
            "label": lambda: relabel_slot(self.slot(a), f"own {b}" if c % 3 else ""),
            "keep": lambda: keep_arrangement(f"kept {a % 3}", parse_arrangement(SHAPES[b % 4])),
            "carry": lambda: move_coin(self.slot(a), self.slot(b)),
            "notes": lambda: set_notes([self.slot(a), self.slot(b)], f"both {c}"),
            "shelf": lambda: order_albums([self.album(a)] + [self.album(b)] * (c % 2)),
            "tell": lambda: set_album_note(self.album(a), f"told {b}"),
            "alter": lambda: self.altered(a, b, c),
            "across": lambda: self.across(a, b, c),
            "split": lambda: self.designed(
                a,
                lambda album, slots: split_into_volumes(
                    album, [slots[b % len(slots)], slots[c % len(slots)]]
                ),
            ),
            "join": lambda: join_volumes([self.album(a), self.album(b)]),
            "volumes": lambda: set_volumes([self.album(a), self.album(b)], f"Run {c % 2}"[: c % 7]),
            "year": lambda: add_next_year((NICKELS, TOKENS)[a % 2], 2030 + b % 3, grow=c % 4 > 0),
            "update": lambda: take_update((NICKELS, TOKENS)[a % 2]),
            "own": lambda: save_series(own_tokens(b % 3)) if c % 3 else delete_series(OWN),
            "box": lambda: self.new_box(a, b),
            "find": lambda: keep_find(
                self.box(a), self.entry(b), 1 + c % 2, bool(c % 3), ANSWERS[c % 3]
            ),
            "seen": lambda: count_seen(self.box(a), self.sighting(b, c)),
            "end": lambda: self.ended(self.box(a), b),
            "roll": lambda: self.roll(self.box(a), b, 1 + c % 7),
            "log": lambda: self.logged(self.box(a), b, c),
            "unlog": lambda: self.unlogged(a, b),
            "tally": lambda: self.sets(b, c),
            "price": lambda: self.priced(a, b, c),
            "offer": lambda: self.offered(a, b, c),
            "take": lambda: take_offer(self.offer(a), self.slot(b)),
            "rules": lambda: self.ruled(a, b),
            "choose": lambda: self.chosen(a, b, c),
            "enter": lambda: add_and_place(self.entry(a), self.slot(b)),
            "name": lambda: rename_collection(f"Jar {a}"),
            "correct": lambda: correct_placement(
                1 + a % 6,
                self.clock.day - timedelta(b % 5),
                self.clock.day - timedelta(c % 5 - 1) if c % 3 else None,
            ),
        }
        return make[what]()

    def priced(self, at: int, how: int, more: int) -> Operation:
        coin = self.entry(at)
        numbers = [one.id for one in self.collection.price_book().prices] or [PriceId(999)]
        if more % 4 == 0:
            return delete_prices([numbers[how % len(numbers)]])
        variety = coin.varieties[0][0] if coin.varieties else None
        day = self.clock.day - timedelta(how)
        one = Price(
            PriceId(0), coin.description, 4 + how % 3, how, "USD", day, "ab"[more % 2], variety
        )
        return edit_price(numbers[at % len(numbers)], one) if more % 5 == 0 else set_prices([one])

    def offer(self, at: int) -> OfferId:
        numbers = [one.id for one in self.collection.price_book().offers] or [OfferId(999)]
        return numbers[at % len(numbers)]

    def offered(self, at: int, how: int, more: int) -> Operation:
        coin = self.entry(at)
        until = self.clock.day + timedelta(how) if how % 2 else None
        one = Offer(
            OfferId(0), coin.description, 1 + how, "EUR", self.clock.day, coin.grade,
            coin.problems, until=until, quantity=1 + more % 2,
        )  # fmt: skip
        if more % 3 == 1:
            return edit_offer(replace(one, id=self.offer(how)))
        return take_back_offers([self.offer(at)]) if more % 7 == 2 else add_offer(one)

    def chosen(self, at: int, how: int, more: int) -> Operation:
        """A purchase of the list or an offer pinned, forbidden, shown or left to the plan."""
        slot, coin = self.slot(at), self.entry(how)
        of: Chosen = Listed(coin.description, 4 + more % 3) if how % 2 else self.offer(how)
        if more % 5 == 0:
            return unpin(self.slots()) if at % 2 else free_purchase(slot, of)
        return choose_purchase(slot, of, (*ChoiceKind,)[more % 3])

    def ruled(self, at: int, how: int) -> Operation:
        rules = self.collection.price_book().rules
        ways: tuple[Callable[[], Operation], ...] = (
            lambda: set_rate("EUR", f"1.{at:02}"),
            lambda: delete_rate("EUR"),
            lambda: set_rules(
                replace(
                    rules,
                    base=("USD", "CHF")[at % 2],
                    silver=SpotPrice(1 + at, "EUR", Weight.KILO, self.clock.day),
                )
            ),
            lambda: let_inherit(CENTS, VarietyId("1955-ddo"), at % 2 == 0),
        )
        return ways[how % len(ways)]()

    def box(self, at: int) -> BoxId:
        boxes = [one.id for one in self.collection.log.boxes()] or [BoxId(999)]
        return boxes[at % len(boxes)]

    def new_box(self, at: int, how: int) -> Operation:
        goal = self.album(how) if how % 3 else None
        campaign = Campaign(CampaignId(0), f"Campaign {at % 3}", goal, rolls_run_on=how % 2 == 0)
        search = Search(SearchId(0), CampaignId(0), "A search", self.clock.day, (NICKELS,))
        known = [one.campaign for one in self.collection.log.campaigns()]
        same = [one for one in known if one.name == campaign.name]
        box = Box(
            BoxId(0), SearchId(0), 0, self.clock.day, "US 5c", 6, 40, kind=(*BoxKind,)[how % 4]
        )
        if not same:
            return add_box(box, search, campaign)
        return add_box(box, replace(search, campaign=same[0].id))

    def sighting(self, at: int, how: int) -> Sighting:
        counter = Sighting(0, BoxId(0), how % 7, 0, counter="foreign", quantity=1 + how % 4)
        if how % 3 == 0:
            return counter
        described = replace(counter, counter="", description=self.entry(at).description)
        return described if how % 3 == 1 else replace(described, is_ender=True, text="worn")

    def ended(self, box: BoxId, how: int) -> Operation:
        """A box finished whole: its fill, and the rest each its way."""
        task = finish_task(self.collection, box)
        proposal = finish_proposal(task)
        ways = {
            line.coin.id: (*Way,)[(how + at) % 3] for at, line in enumerate(task.rest(proposal))
        }
        return finish_whole(box, [move.pair for move in proposal.moves], ways)

    def roll(self, box: BoxId, how: int, number: int) -> Operation:
        ways: tuple[Callable[[], Operation], ...] = (
            lambda: next_roll(box, how),
            lambda: back_roll(box),
            lambda: go_to_roll(box, number),
            lambda: skip_roll(box, number, bool(how % 2)),
            lambda: set_roll_coins(box, number, 38 + how % 3),
            lambda: finish_box(box, 5) if how % 4 else reopen_box(box),
        )
        return ways[how % len(ways)]()

    def logged(self, box: BoxId, how: int, which: int) -> Operation:
        """A box, its search and campaign edited; a find, a sighting or a claim edited or gone."""
        view = self.collection.log.box_view(box)
        finds = view.finds or [None]
        line, seen = finds[which % len(finds)], [one.sighting for one in view.sightings]
        ways: list[Callable[[], Operation]] = [
            lambda: edit_box(replace(view.box, rolls=5 + how % 3, came_from=f"branch {how}")),
            lambda: edit_search(replace(view.search, nothing_before=1900 + how)),
            lambda: edit_campaign(replace(view.campaign, rolls_run_on=bool(how % 2))),
            lambda: claim(box, NICKELS, up_to=1900 + how),
            lambda: add_weighing(Weighing(0, box, 1 + how, 5_000, NICKELS)),
        ]
        if line is not None:
            coin = replace(line.coin, grade=parse_grade("g4"), quantity=1 + how % 2)
            ways += [
                lambda: edit_find(replace(line.find, roll=1 + how % 6), coin if how % 2 else None),
                lambda: mark_ender(line.find.id, bool(how % 2)),
                lambda: remove_find(line.find.id),
            ]
        if seen:
            one = seen[which % len(seen)]
            ways += [
                lambda: edit_sighting(replace(one, roll=1 + how % 6, counter="damaged")),
                lambda: remove_sighting(one.id),
            ]
        if view.claims:
            ways.append(lambda: delete_claim(view.claims[0]))
        return ways[how % len(ways)]()

    def unlogged(self, at: int, how: int) -> Operation:
        campaigns = self.collection.log.campaigns()
        if how % 3 or not campaigns:
            return delete_box(self.box(at))
        return delete_campaign(campaigns[at % len(campaigns)].campaign.id)

    def sets(self, at: int, how: int) -> Operation:
        jars = self.collection.log.containers()
        if how % 2:
            return add_container(Container(0, f"jar {at % 3}", 100 + at, at % 9))
        if jars and how % 4 == 0:
            return delete_container(jars[at % len(jars)].id)
        return add_tally(Tally(0, "US 5c", f"dated {1940 + at}", TallyRule.of((), None, 1940 + at)))

    def altered(self, at: int, how: int, more: int) -> Operation:
        """An album edited to other years, mints and varieties; now and then coins may fall out."""
        view = self.collection.album_view(self.album(at))
        now = present_choice(view)
        years = ((1941, 1942), (1942, 1943), None)[how % 3] if view.series.id == NICKELS else None
        if view.series.id == CENTS:
            years = ((1955, 1955), (1954, 1955), (1956, 1956))[how % 3]
        plan = AlbumPlan(years, ((), ("any",))[more % 2], (*Varieties,)[how % 3], now.plan.target)
        across = now.across
        if across is not None:
            codes = (NICKELS, CENTS, DIMES)[how % 3 :]
            across = replace(across, series=codes, each_mint=bool(more % 2))
        choice = replace(now, plan=plan, across=across, note=f"edited {how}")
        known = [self.collection.series(code) for code in (NICKELS, CENTS, DIMES)]
        edit = plan_edit(view, choice, more=known)
        agreed = [f.coin for f in edit.falling_out] if more % 3 else []
        return edit_album(view.album.id, choice, agreed)

    def across(self, at: int, how: int, more: int) -> Operation:
        """A type album or a year set, now and then an overview or a volume."""
        codes = ((NICKELS, CENTS), (DIMES, NICKELS), (CENTS, DIMES, NICKELS))[at % 3]
        year = (None, 1941, 1955)[how % 3]
        kind = AlbumKind.OVERVIEW if more % 5 == 0 else AlbumKind.HOLDER
        plan = AcrossPlan(codes, year, bool(more % 2), parse_target(TARGETS[how % 4]))
        return add_album_across(f"Across {at}", plan, None, kind, "Run 1" if more % 3 == 0 else "")

    def designed(self, at: int, make: Callable[[AlbumId, list[SlotId]], Operation]) -> Operation:
        view = self.collection.album_view(self.album(at))
        return make(view.album.id, [v.slot.id for v in view.slots])

    def extra(self, at: int, near: int, which: int) -> Operation:
        view = self.collection.album_view(self.album(at))
        slot = view.slots[near % len(view.slots)].slot.id
        offered = extra_slots(view, slot)
        return add_slot(view.album.id, offered[which % len(offered)][1], slot)

    def supposed(self, at: int, near: int, which: int) -> Operation:
        view = self.collection.album_view(self.album(at))
        slot = view.slots[near % len(view.slots)].slot
        other = view.slots[which % len(view.slots)].slot.id
        varieties = self.collection.series(slot.accepts.series).varieties[: which % 3]
        target = parse_target(TARGETS[which % 4])
        return keep_supposed(
            Kept(
                ((target, (slot.id,)),) if target is not None else (),
                (other,) if which % 2 else (),
                tuple((view.album.id, slot.id, variety.id) for variety in varieties),
            )
        )

    def fill(self) -> Operation:
        moves = propose(self.collection.fill_input()).moves
        return apply_fill([(m.slot, m.coin) for m in moves])

    def boxes(self) -> dict[BoxId, tuple[object, ...]]:
        """All that is shown of every box but the goal's figures, which follow its album."""
        views = [self.collection.log.box_view(one.id) for one in self.collection.log.boxes()]
        return {
            v.box.id: (
                v.box,
                v.search,
                v.campaign,
                v.rolls,
                v.finds,
                v.sightings,
                v.claims,
                v.facts,
            )
            for v in views
        }

    def go(self, step: Step) -> Changes | None:
        """Carry a step out; None where it is refused, or no order."""
        what, a, b, c = step
        if what == "day":
            self.clock.day += timedelta(1 + a % 3)
            return None
        if what in ("undo", "redo"):
            self.collection.undo() if what == "undo" else self.collection.redo()
            return None
        if what == "unstock" and not self.made:
            return None
        try:
            done = self.collection.run(self.order(what, a, b, c))
        except CollectionError:
            return None
        if what == "stock":
            self.made += [
                (hole.slot.id, hole.coin.id)
                for album in done.albums
                for hole in self.collection.album_view(album).slots
                if hole.coin is not None and hole.coin.id in done.made_coins
            ]
        return done

    def do(self, step: Step) -> None:
        """Carry a step out and look at what it tells; a refusal leaves the file as it was."""
        if step[0] in ("day", "undo", "redo"):
            self.go(step)
            return
        before = self.collection.rows_hash()
        rows = set(self.collection.coin_rows())
        boxes = self.boxes()
        done = self.go(step)
        if done is None:
            assert self.collection.rows_hash() == before
            return
        if not (done.is_shelf or done.is_reshaped):  # then the coins table reads all anew
            different = rows ^ set(self.collection.coin_rows())
            assert {row.coin.id for row in different} <= done.coins
        if not (done.is_shelf or done.coins or done.slots):  # boxes tell of all of these too
            now = self.boxes()
            assert {
                b for b in boxes.keys() | now.keys() if boxes.get(b) != now.get(b)
            } <= done.boxes


@contextmanager
def a_world(*, has_log: bool = True) -> Iterator[World]:
    """The small collection; `has_log`: with a box begun and a coin found in it."""
    clock = Clock()
    with tempfile.TemporaryDirectory() as folder, a_collection(Path(folder), clock) as collection:
        an_album(collection, "Nickels", years=(1940, 1942))
        an_album(collection, "Either mint", years=(1941, 1942), mints=("any",), target="none")
        an_album(collection, "All of them", years=(1941, 1942), kind=AlbumKind.OVERVIEW)
        with_coins(collection, "1941 vf20", "2 x 1941-D g4", "1942-D", "1941 ?")
        if has_log:
            keep(collection, a_box(collection, rolls=6), "1942-S f12", answer="Fills a gap")
        yield World(collection, clock)


@settings(max_examples=15)
@given(steps)
def test_what_is_kept_equals_what_a_newly_opened_collection_says(walk: list[Step]) -> None:
    with a_world() as world:
        collection = world.collection
        for step in walk:
            for hole in world.slots()[::5]:  # so that every view and all spares are kept
                collection.slot_card(hole)
            world.do(step)
        with fresh(collection) as other:
            assert differences(collection, other) == []


@settings(max_examples=8)
@given(log_steps)
def test_what_is_kept_of_the_search_log_is_what_the_file_says(walk: list[Step]) -> None:
    with a_world() as world:
        for step in walk:
            world.collection.log.campaigns()  # so that every figure is kept
            world.do(step)
        with fresh(world.collection) as other:
            assert differences(world.collection, other) == []
        assert world.collection.check() == []


@settings(max_examples=10)
@given(steps)
def test_undoing_all_and_redoing_all_come_back_to_the_same_collection(walk: list[Step]) -> None:
    walk = [step for step in walk if step[0] not in ("undo", "redo")]
    with a_world() as world:
        collection = world.collection
        hashes = [collection.rows_hash()]
        for step in walk:
            world.do(step)
            if collection.rows_hash() != hashes[-1]:
                hashes.append(collection.rows_hash())
        done = list(hashes)
        while len(hashes) > 1:
            assert collection.undo()
            hashes.pop()
            assert collection.rows_hash() == hashes[-1]
        for after in done[1:]:
            assert collection.redo()
            assert collection.rows_hash() == after
        assert collection.redo() is None
        with fresh(collection) as other:
            assert differences(collection, other) == []
