"""Two boxes at the sorting table, and the sheet kept by hand. The story: 13-two-boxes-of-cents.md.

All figures are worked out from the sheet alone, by counting its lines: nothing is asked of the
program.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from core.app.compare import Tick
from scenarios.hands import Hands, Told
from scenarios.sitting import (
    Seen,
    TableAct,
    begin_campaign,
    compare,
    count,
    figures,
    filled,
    finish,
    foreign,
    keep,
    keys_of,
    next_box,
    rolls,
    short,
    to_table,
    undo,
)

ALBUM, SERIES = "Cents for the lobby", "us-cent-lincoln"
WANTED, HAVE, BOXES_BEFORE, COINS_BEFORE = 140, 88, 31, 77_500
ROLLS, PER_ROLL = 50, 50
MOST_KEYS, MOST_PLAIN = 320, 4

DIE_1 = ("date: the same very strong clockwise spread", Tick.NOT_SEEN)
DIE_2 = ("LIBERTY: a strong second image, turned counter-clockwise", Tick.SEEN)
DOUBLED_1971 = ("LIBERTY: doubled as strongly as the motto", Tick.SEEN)
FILLS, UPGRADE, NO_USE = "Fills a gap", "Upgrade", "No use"
SEEN, LOOKED = "seen", "looked, not it"
WHEAT_UNTIL, STEEL, COPPER_UNTIL = 1958, 1943, 1981
SHORT_ROLL, SHORT = 40, 49
CONTAINERS = ("cup, full: 250",)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the sheet: in which roll, the coin as it is listed, what the program should answer.

    `date` and `letter` as read on the coin; 0 for a foreign one. `is_plain`: nothing but date and
    letter had to be said. `variety` is what it turned out to be.
    """

    act: TableAct
    roll: int
    coin: str
    answer: str
    date: int
    letter: str = ""
    many: int = 1
    variety: str = ""
    is_plain: bool = False

    @property
    def is_kept(self) -> bool:
        """Whether the coin was kept."""
        return self.answer not in (SEEN, LOOKED)


def found(roll: int, typed: str, date: int, letter: str = "", answer: str = FILLS) -> Line:
    """A coin kept for its date and letter."""
    coin = f"{date}-{letter}" if letter else str(date)
    plain = typed.removesuffix(">") == typed
    return Line(keep(typed), roll, coin, answer, date, letter, is_plain=plain)


def passed(roll: int, typed: str, date: int, letter: str = "", many: int = 1) -> Line:
    """A coin counted and put back."""
    coin = f"{date}-{letter}" if letter else str(date)
    name = f"{many} × {coin}" if many > 1 else coin
    return Line(count(typed), roll, name, SEEN, date, letter, many)


DOUBLED = "doubled die obverse"
DIE = f"{DOUBLED}, die 2"
BOX_32 = (
    found(3, "64", 1964),
    passed(4, "58", 1958),
    found(6, "65", 1965),
    found(8, "69s", 1969, "S"),
    passed(9, "5x94", 1994, many=5),
    found(11, "60", 1960),
    found(14, "76d", 1976, "D"),
    found(17, "64", 1964, answer=NO_USE),
    found(19, "59d", 1959, "D"),
    Line(foreign(), 21, "+ foreign", SEEN, 0),
    Line(compare("72 ddo bent", (DIE_1, DIE_2)), 23, f"1972 {DIE}", FILLS, 1972, variety=DIE),
    Line(count("36 -ddo"), 25, "1936, not doubled die obverse", LOOKED, 1936),
    found(28, "71s", 1971, "S"),
    passed(30, "85", 1985),
    found(33, "94d>", 1994, "D", UPGRADE),
    found(37, "70d", 1970, "D"),
    found(42, "77", 1977),
    found(46, "73", 1973),
    passed(47, "88d", 1988, "D"),
)
BOX_33 = (
    found(52, "61", 1961),
    passed(53, "90d", 1990, "D"),
    found(55, "68d", 1968, "D"),
    found(58, "87>", 1987, answer=UPGRADE),
    passed(60, "57d", 1957, "D"),
    found(61, "73d", 1973, "D"),
    Line(compare("71", (DOUBLED_1971,)), 64, f"1971 {DOUBLED}", FILLS, 1971, variety=DOUBLED),
    Line(count("55 -ddo"), 66, "1955, not doubled die obverse", LOOKED, 1955),
    found(69, "81", 1981),
    passed(71, "91", 1991),
    found(73, "72d", 1972, "D"),
    found(78, "78", 1978),
    found(83, "75", 1975),
    passed(85, "99", 1999),
    found(88, "70s", 1970, "S"),
    found(95, "67", 1967),
    passed(97, "84d", 1984, "D"),
    found(99, "79d", 1979, "D"),
)
SLIP = keep("71d")
"""In roll 28: the letter was an S."""
KILLED_IN = 61
IN_FIGURES = BOXES_BEFORE + 2, COINS_BEFORE + 2 * ROLLS * PER_ROLL - (PER_ROLL - SHORT)


# ---- counting the sheet -----------------------------------------------------------------------

TALLIES: tuple[tuple[str, Callable[[Line], bool]], ...] = (
    ("Wheat reverse", lambda one: 0 < one.date <= WHEAT_UNTIL),
    ("S mint", lambda one: one.letter == "S"),
    ("Before 1940", lambda one: 0 < one.date < 1940),
    ("Copper", lambda one: 0 < one.date <= COPPER_UNTIL and one.date != STEEL),
    ("Indian head", lambda one: 0 < one.date < 1909),
    ("Slots filled", lambda one: one.answer == FILLS),
    ("Upgrades", lambda one: one.answer == UPGRADE),
    ("Foreign", lambda one: one.date == 0),
)


def counted(sheet: Sequence[Line], opened: int) -> tuple[tuple[str, int, str], ...]:
    """Each tally of a box with what it comes to on pace."""
    told = []
    for name, counts in TALLIES:
        now = sum(one.many for one in sheet if counts(one))
        told.append((name, now, f"{now * ROLLS / opened:.1f}"))
    return tuple(told)


def oldest(sheet: Sequence[Line]) -> Line:
    """The oldest coin; the first of several."""
    return min((one for one in sheet if one.date), key=lambda one: one.date)


def plain(one: Line) -> str:
    """A coin by its date and letter."""
    return f"{one.date}-{one.letter}" if one.letter else str(one.date)


def records_of(sheets: Sequence[Sequence[Line]]) -> tuple[str, ...]:
    """The four weightiest records of the last of these boxes."""
    here = sheets[-1]
    told = [f"oldest this box: {plain(oldest(here))}"]
    told.append(f"oldest this campaign: {plain(oldest([o for sheet in sheets for o in sheet]))}")
    told += [f"first {one.variety} of this log" for one in here if one.variety]
    for name, counts in TALLIES:
        boxes = [sum(one.many for one in sheet if counts(one)) for sheet in sheets]
        if len(boxes) > 1 and all(boxes[-1] > other for other in boxes[:-1]):
            number = BOXES_BEFORE + len(sheets)
            so_far = ", so far by the answers" if name in ("Slots filled", "Upgrades") else ""
            told.append(f"most in a box, {name}: {boxes[-1]} in box {number}{so_far}")
    return tuple(told[:4])


def strip(sheet: Sequence[Line]) -> tuple[tuple[int, int, int, int | None], ...]:
    """Of each roll that has anything, or is short: kept, counted, its coins where it is short."""
    numbers = sorted({one.roll for one in sheet})
    if sheet[0].roll <= ROLLS and max(numbers) >= SHORT_ROLL:
        numbers = sorted({*numbers, SHORT_ROLL})
    return tuple(
        (
            number,
            sum(one.is_kept for one in sheet if one.roll == number),
            sum(one.many for one in sheet if one.roll == number and not one.is_kept),
            SHORT if number == SHORT_ROLL else None,
        )
        for number in numbers
    )


def filled_by(sheet: Sequence[Line]) -> int:
    """How many slots a box fills."""
    return sum(one.answer == FILLS for one in sheet)


def expect(seen: Seen, sheets: Sequence[Sequence[Line]], roll: int, have: int) -> None:
    """All that stands at the table is as the sheet has it."""
    here, number = sheets[-1], BOXES_BEFORE + len(sheets)
    opened = roll - ROLLS * (len(sheets) - 1)
    assert (seen.box, seen.roll, seen.opened) == (f"Box {number}", roll, opened)
    assert seen.lines == tuple((one.roll, one.coin, one.answer) for one in here)
    assert seen.tallies == counted(here, opened)
    assert seen.records == records_of(sheets)
    assert seen.strip == strip(here)
    assert seen.stands == f"box {number} · have {have} of {WANTED}"


# ---- the sitting ------------------------------------------------------------------------------


def from_to(sheet: Sequence[Line], first: int, last: int) -> list[TableAct]:
    """The keys from the beginning of one roll to the end of another."""
    acts: list[TableAct] = []
    at = first
    for one in sheet:
        if first <= one.roll <= last:
            acts += rolls(one.roll - at)
            at = one.roll
            acts += [SLIP, undo()] if one.coin == "1971-S" else []
            acts.append(one.act)
    return [*acts, *rolls(last - at)]


@dataclass(slots=True)
class Sitting:
    """The hands at the table, and all that they did."""

    hands: Hands
    acts: list[TableAct] = field(default_factory=list)

    def sit(self, *acts: TableAct) -> Seen:
        """Do these; what then stands at the table."""
        self.acts.extend(acts)
        self.hands.sit(acts)
        return self.hands.table()

    def sit_until_killed(self, acts: Sequence[TableAct]) -> None:
        """Do these, until the power fails."""
        self.acts.extend(acts)
        self.hands.sit_until_killed(acts)


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album(ALBUM, SERIES, 1959, 2023, "")
    hung = hands.labels()[-HAVE:]  # 1983 to 2023; 1959 to 1982 are gaps
    hands.paste_coins([f"{label} vg8" for label in hung], SERIES)
    hands.fill()
    assert hands.headline().startswith(f"have {HAVE} of {WANTED}")

    table = Sitting(hands)
    first_box(table, told)
    second_box(table, told)

    told(10)
    sheet = (*BOX_32, *BOX_33)
    assert (sum(o.is_kept for o in sheet), sum(not o.is_kept for o in sheet)) == (25, 12)
    assert sum(one.answer == LOOKED for one in sheet) == 2
    assert max(keys_of([one.act]) for one in sheet if one.is_plain) <= MOST_PLAIN
    print(f"{keys_of(table.acts)} keys")
    assert keys_of(table.acts) <= MOST_KEYS


def first_box(table: Sitting, told: Told) -> None:
    """Box 32, rolls 1 to 50."""
    told(2)
    seen = table.sit(to_table(), begin_campaign(ALBUM, BOXES_BEFORE, COINS_BEFORE))
    assert (seen.box, seen.roll) == ("Box 32", 1)
    assert seen.stands == f"box 32 · have {HAVE} of {WANTED}"

    told(3)
    seen = table.sit(*from_to(BOX_32, 1, 19))
    expect(seen, [[one for one in BOX_32 if one.roll <= 19]], 19, HAVE)
    assert seen.told == "Kept: 1959-D · first 1959 of this log"

    told(4)
    seen = table.sit(*rolls(1), *from_to(BOX_32, 20, 23))
    assert seen.lines[-1] == (23, f"1972 {DIE}", FILLS)
    assert seen.told.startswith(f"Kept: 1972 {DIE} · first {DIE} of this log")
    seen = table.sit(*rolls(1), *from_to(BOX_32, 24, 25))
    assert seen.told == (
        "Counted, not kept: 1936 · oldest this campaign: 1936 · first coin of the 1930s of this log"
    )

    told(5)
    table.sit(*rolls(1), *from_to(BOX_32, 26, SHORT_ROLL), short(SHORT))
    seen = table.sit(*rolls(1), *from_to(BOX_32, SHORT_ROLL + 1, ROLLS), filled("cup", 250))
    expect(seen, [BOX_32], ROLLS, HAVE)
    assert seen.containers == CONTAINERS

    told(6)
    seen = table.sit(finish())
    assert seen.stands == f"box 32 · have {HAVE + filled_by(BOX_32)} of {WANTED}"


def second_box(table: Sitting, told: Told) -> None:
    """Box 33, rolls 51 to 100, with the power failing in roll 61; and both boxes in figures."""
    hands, have, last = table.hands, HAVE + filled_by(BOX_32), 2 * ROLLS
    told(7)
    table.sit(next_box())
    table.sit_until_killed(from_to(BOX_33, ROLLS + 1, KILLED_IN))
    seen = table.sit(to_table())
    expect(seen, [BOX_32, [one for one in BOX_33 if one.roll <= KILLED_IN]], KILLED_IN, have)
    assert seen.containers == CONTAINERS

    told(8)
    seen = table.sit(*rolls(1), *from_to(BOX_33, KILLED_IN + 1, last))
    expect(seen, [BOX_32, BOX_33], last, have)
    assert (64, f"1971 {DOUBLED}", FILLS) in seen.lines

    told(9)
    have += filled_by(BOX_33)
    table.sit(finish(), figures())
    boxes, coins = IN_FIGURES
    assert (
        hands.in_figures() == f"{boxes} boxes · have {have} of {WANTED} · {coins:,} coins searched"
    )
    hands.open_album(ALBUM)
    assert hands.headline().startswith(f"have {have} of {WANTED}")
    assert hands.card("1972")["In the slot"] == "no grade yet, bent"
    assert hands.card("1994-D")["In the slot"] == "no grade yet"
    assert hands.spares("1994-D") == ["VG-8, compare by eye"]
