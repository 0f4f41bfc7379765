"""How coins are handed over: coins a roll and rolls a box, by denomination; tallies to start with.

Both are read from the tables that travel with the program, each row with what it rests on.
"""

import csv
from dataclasses import dataclass
from functools import lru_cache
from io import StringIO

import resources
from core.model.issue import Confidence, Series
from core.model.search import Tally, parse_rule

_ROLLS = ("roll", "bank bag")
_PACKAGING, _TALLIES = "packaging.csv", "tallies.csv"


@dataclass(frozen=True, slots=True)
class Packaging:
    """One denomination as banks hand it over; `key` is what a box's `denomination` names.

    `unit` is what holds `per_roll` coins: roll, or bank bag. `rolls` a box and `bag`, the coins of
    a central bank's bag, are None where they are not known. `face_minor` of one coin in minor units
    of `currency`; `coin_mg` its weight today.
    """

    key: str
    country: str
    denomination: str
    unit: str
    per_roll: int
    rolls: int | None
    bag: int | None
    face_minor: int
    currency: str
    coin_mg: int
    sources: tuple[tuple[str, Confidence], ...]
    note: str = ""

    @property
    def coins(self) -> int | None:
        """The coins of a full box."""
        return None if self.rolls is None else self.rolls * self.per_roll

    @property
    def face_of_box_minor(self) -> int | None:
        """The face value of a full box in minor units."""
        return None if self.coins is None else self.coins * self.face_minor

    def holds(self, series: Series) -> bool:
        """Whether coins of a series may lie among these by what they are worth."""
        return (series.currency, series.face_value_minor) == (self.currency, self.face_minor)


@lru_cache(1)
def packagings() -> tuple[Packaging, ...]:
    """All denominations that are known, as the table has them."""
    rows: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(StringIO(resources.read_text(_PACKAGING))):
        rows.setdefault(row["key"], []).append(row)
    return tuple(_packaging(key, mine) for key, mine in rows.items())


def packaging(key: str) -> Packaging | None:
    """The packaging of a denomination by its key, whatever the case; None where it is not known."""
    wanted = " ".join(key.casefold().split())
    return next((one for one in packagings() if one.key.casefold() == wanted), None)


@lru_cache(1)
def default_tallies() -> tuple[Tally, ...]:
    """The tallies that travel with the program (id 0), in the order of each denomination."""
    made: list[Tally] = []
    places: dict[str, int] = {}
    for row in csv.DictReader(StringIO(resources.read_text(_TALLIES))):
        of = row["denomination"]
        place = places[of] = places.get(of, -1) + 1
        made.append(Tally(0, of, row["name"], parse_rule(row["rule"]), place))
    return tuple(made)


def tallies_to_start_with(denomination: str) -> tuple[Tally, ...]:
    """The tallies of a denomination for which nobody has made any; () where none travel along."""
    return tuple(one for one in default_tallies() if one.denomination == denomination)


def _packaging(key: str, rows: list[dict[str, str]]) -> Packaging:
    (roll,) = [row for row in rows if row["unit"] in _ROLLS]
    box = next((row for row in rows if row["unit"] == "box"), None)
    bag = next((row for row in rows if row["unit"] == "bag"), None)
    said = dict.fromkeys((row["source"], Confidence(row["confidence"])) for row in rows)
    return Packaging(
        key,
        roll["country"],
        roll["denomination"],
        roll["unit"],
        int(roll["coins"]),
        int(box["rolls"]) if box else None,
        int(bag["coins"]) if bag else None,
        int(roll["face_minor"]),
        roll["currency"],
        int(roll["coin_mg"]),
        tuple(said),
        "; ".join(row["note"] for row in rows if row["note"]),
    )
