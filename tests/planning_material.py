"""Invented wants, purchases and coins for plans, and every plan of a small case one by one."""

import random
from collections import Counter
from collections.abc import Iterator
from itertools import product

import numpy as np

from core.planning.aim import POINTS_GAINED, Aim
from core.planning.wants import Mark, Piece, PlanInput, Purchase, Seat, Spot, Want

GRADES = (4, 8, 12, 20, 40, 50)


def many_slots(count: int, seed: int = 1) -> PlanInput:
    """So many slots, six grades of each on a price list, no coin that could move."""
    rng = np.random.default_rng(seed)
    steps = np.array([1, 1.4, 2, 3.2, 6, 13])
    spread = rng.uniform(0.8, 1.2, (count, len(GRADES)))
    costs = rng.lognormal(6, 1.2, count)[:, None] * steps * spread
    minor = (np.rint(costs / 5) * 5 + 5).astype(int).tolist()
    targets = rng.choice([12, 20, 40], count).tolist()
    held = rng.choice([0, 0, 4, 8, 12], count).tolist()
    wants = (Want(at, at % 3, targets[at], held[at] or None) for at in range(count))
    purchases = (
        Purchase(at * len(GRADES) + place, (Seat(at, points),), minor[at][place])
        for at in range(count)
        for place, points in enumerate(GRADES)
    )
    return PlanInput(tuple(wants), tuple(purchases))


def many_linked(count: int, seed: int = 1) -> PlanInput:
    """The same, with offers for several slots, spares, and coins that may go on to other slots."""
    rng = random.Random(seed)
    plain = many_slots(count, seed)

    def seats(points: int, most: int) -> tuple[Seat, ...]:
        return tuple(Seat(slot, points) for slot in rng.sample(range(count), most))

    offers = tuple(
        Purchase(10_000_000 + at, seats(points, 3), 5 * rng.randint(20, 1_000), is_offer=True)
        for at in range(count // 10)
        for points in [rng.choice(GRADES)]
    )
    spares = tuple(Piece(at, seats(rng.choice(GRADES), 2)) for at in range(count // 20))
    homes = [want for want in plain.wants if want.held is not None]
    going_on = tuple(
        Piece(1_000_000 + want.slot, seats(want.held or 0, 2), want.slot, brings=50)
        for want in rng.sample(homes, count // 10)
    )
    return PlanInput(plain.wants, plain.purchases + offers, spares + going_on)


def a_small_case(rng: random.Random) -> tuple[PlanInput, int]:
    """A few slots with all that a plan knows, and a budget."""
    slots = range(rng.randint(1, 5))
    wants = tuple(
        Want(
            slot,
            slot % 2,
            rng.choice([None, 8, 20]),
            rng.choice([None, None, 0, 4, 8, 12]),
            is_wanted=rng.random() < 0.8,
            is_key=rng.random() < 0.3,
        )
        for slot in slots
    )

    def seats() -> tuple[Seat, ...]:
        points = rng.choice([4, 8, 12, 20, 30])
        some = rng.sample(slots, rng.randint(1, min(3, len(slots))))
        return tuple(Seat(slot, points - rng.choice([0, 0, 0, points])) for slot in some)

    purchases = tuple(
        Purchase(
            number,
            seats(),
            rng.choice([None, 0, *range(1, 40)]) if rng.random() < 0.3 else rng.randint(1, 40),
            is_offer=rng.random() < 0.6,
            group=rng.choice([None, None, None, 1]),
            quantity=rng.choice([1, 1, 2]),
        )
        for number in range(rng.randint(0, 5))
    )
    filled = [want.slot for want in wants if want.held is not None]
    rng.shuffle(filled)
    pieces = tuple(
        Piece(100 + number, seats(), filled.pop() if filled and rng.random() < 0.6 else None)
        for number in range(rng.randint(0, 3))
    )
    numbers = [purchase.id for purchase in purchases]
    pinned = frozenset[Mark](n for n in numbers if rng.random() < 0.08)
    forbidden = frozenset[Mark](n for n in numbers if rng.random() < 0.08) - pinned
    spots = [Spot(one.id, seat.slot) for one in purchases for seat in one.seats]
    pinned |= {one for one in spots if rng.random() < 0.03 and one.purchase not in forbidden}
    forbidden |= {one for one in spots if rng.random() < 0.1 and one not in pinned}
    return PlanInput(wants, purchases, pieces, pinned, forbidden), rng.randint(0, 60)


def every_plan(given: PlanInput) -> Iterator[tuple[int, int, int, list[tuple[Want, int]]]]:
    """Money, purchases, moves and the slots' new coins of each lawful plan, by trying all."""
    choices: list[list[tuple[str, int, int]]] = []
    for want in given.wants:
        mine = [("", 0, 0)]
        for purchase in given.purchases:
            if purchase.cost is not None and purchase.id not in given.forbidden:
                mine += [
                    ("buy", purchase.id, p)
                    for s, p in purchase.seats
                    if s == want.slot and Spot(purchase.id, s) not in given.forbidden
                ]
        for piece in given.pieces:
            if piece.from_slot != want.slot:
                mine += [("move", piece.coin, p) for s, p in piece.seats if s == want.slot]
        choices.append([c for c in mine if not c[0] or want.held is None or c[2] > want.held])
    purchases = {purchase.id: purchase for purchase in given.purchases}
    home = {piece.coin: piece.from_slot for piece in given.pieces}
    for made in product(*choices):
        into = [(want, one) for want, one in zip(given.wants, made, strict=True) if one[0]]
        replaced = {want.slot for want, _ in into}
        bought = Counter(one[1] for _, one in into if one[0] == "buy")
        moved = Counter(one[1] for _, one in into if one[0] == "move")
        spots = {Spot(one[1], want.slot) for want, one in into if one[0] == "buy"}
        groups = Counter(purchases[n].group for n in bought.elements() if purchases[n].group)
        if (
            all(times == 1 for times in moved.values())
            and all(home[coin] is None or home[coin] in replaced for coin in moved)
            and all(purchases[n].quantity >= t for n, t in bought.items() if purchases[n].is_offer)
            and all(times == 1 for times in groups.values())
            and given.pinned <= bought.keys() | spots
        ):
            money = sum((purchases[n].cost or 0) * times for n, times in bought.items())
            filled = [(want, one[2]) for want, one in into]
            yield money, bought.total(), moved.total(), filled


def best_of_all(given: PlanInput, budget: int | None, aim: Aim) -> tuple[int, ...] | None:
    """The aim's figures, less money, less purchases, points, less moves of the best plan."""
    values = (
        (
            *(sum(step.gain(want, points) for want, points in filled) for step in aim.steps),
            -money,
            -bought,
            sum(POINTS_GAINED.gain(want, points) for want, points in filled),
            -moved,
        )
        for money, bought, moved, filled in every_plan(given)
        if budget is None or money <= budget
    )
    return max(values, default=None)
