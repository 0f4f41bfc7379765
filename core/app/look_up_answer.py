"""What the look-up line answers: a verdict, a sentence, what keeping the coin would change."""

from dataclasses import dataclass
from enum import StrEnum

from core.app.views import Headline, LookCloser
from core.lookup.commands import Command
from core.lookup.parse import Entry
from core.model.album import AlbumId, SlotId
from core.model.coin import Coin, Finding
from core.model.issue import RollOdds, VarietyId


class Verdict(StrEnum):
    """What the coin in hand is to the set, from the best on."""

    FILLS = "Fills a gap"
    UPGRADE = "Upgrade"
    SPARE = "Spare"
    NO_USE = "No use"
    NOT_SOUGHT = "Not sought"

    @property
    def is_of_use(self) -> bool:
        """Whether the collector's rule would keep the coin."""
        return self in (Verdict.FILLS, Verdict.UPGRADE, Verdict.SPARE)


_MOST_CLOSER = 3
_VERY_RARE = str(RollOdds.VERY_RARE)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one reading of the line is worth.

    `before` and `after` are glyph bytes of the slot, `before_text` and `after_text` what stands
    under them; `have_before` and `have_after` count the album, but for spares that wait. `sentence`
    says where and what is there, `second` the target and the spares. `closer` are varieties and
    signs still open, the likely ones first; `more_albums` others in which the coin would be of use;
    `said` what was assumed in reading. `settle` are the varieties that Compare can tell apart.
    `spare` is the one held that waits for the slot, where it decides the answer. `is_counted`:
    the slot is one that have n of m counts, and no optional one. `of` is the title of a series that
    is not searched, else ""; `is_for_the_eye`: the coin is to be compared with the one there.
    `found` tells its varieties.
    """

    verdict: Verdict
    sentence: str
    second: str
    album: AlbumId | None
    slot: SlotId | None
    where: str
    before: int
    after: int
    before_text: str
    after_text: str
    have_before: Headline
    have_after: Headline
    closer: tuple[LookCloser, ...]
    more_albums: int
    entry: Entry
    said: str
    name: str = ""
    is_sure: bool = True
    settle: tuple[VarietyId, ...] = ()
    spare: Coin | None = None
    is_counted: bool = True
    of: str = ""
    is_for_the_eye: bool = False
    found: str = ""

    @property
    def verdict_text(self) -> str:
        """The verdict as it is said: No use, perhaps where only the eye can tell."""
        is_open = self.is_for_the_eye and self.verdict is Verdict.NO_USE
        return f"{self.verdict}, perhaps" if is_open or not self.is_sure else str(self.verdict)

    @property
    def called(self) -> str:
        """The coin by its name, with its series where that is not searched."""
        return ", ".join(filter(None, (self.name, self.of)))

    @property
    def have_text(self) -> str:
        """have 88 of 140, then 89; have 88 of 140, no change; "" without an album."""
        if self.album is None:
            return ""
        after = self.have_after.have
        change = "no change" if after == self.have_before.have else f"then {after}"
        why = "" if self.is_counted else ": an optional slot is not counted"
        return f"{self.have_before.text}, {change}{why}"

    @property
    def closer_text(self) -> str:
        """The second line: what is still open for this coin, and what is too rare to be believed.

        Look closer: small date · large date; Look closer: bronze planchet is very rare, make sure
        (magnet and scale).
        """
        rare = self.rare
        names = list(dict.fromkeys(line.name for line in self.closer if line.is_open))
        suspected = [c for c in self.closer if c.known == Finding.SUSPECTED]
        if len(suspected) == 1 and suspected[0].odds == _VERY_RARE:
            names = [f"{n} (very rare)" if n == suspected[0].name else n for n in names]
        where = f" ({rare[0].where})" if rare and not names else ""
        told = [f"{one.name} is very rare, make sure{where}" for one in rare[:1]]
        if not names:
            nothing = "nothing else known" if self.entry.coin.varieties else "nothing known"
            return "Look closer: " + (told[0] if told else f"{nothing} for this date")
        told += _grouped(names[: _MOST_CLOSER - len(told)])
        left = len(names) - (_MOST_CLOSER - len(rare[:1]))
        more = f" and {left} more" if left > 0 else ""
        return f"Look closer: {' · '.join(told)}{more}"

    @property
    def rare(self) -> tuple[LookCloser, ...]:
        """What the coin is said to be and is too rare to be believed at once."""
        return tuple(
            one for one in self.closer if one.known == Finding.CONFIRMED and one.odds == _VERY_RARE
        )

    @property
    def more_text(self) -> str:
        """+2 more albums, "" for none."""
        many = self.more_albums
        return f"+{many} more album{'s' * (many > 1)}" if many else ""


def _grouped(names: list[str]) -> list[str]:
    """Names that begin alike told together: doubled die obverse (die 1, die 2, die 8)."""
    ends: dict[str, list[str]] = {}
    for name in names:
        head, _, end = name.partition(", ")
        ends.setdefault(head, []).append(end)
    return [
        f"{head} ({', '.join(filter(None, these))})"
        if len(these) > 1
        else ", ".join(filter(None, (head, *these)))
        for head, these in ends.items()
    ]


@dataclass(frozen=True, slots=True)
class Looked:
    """The line's answers, one a reading; or its command, or its trouble.

    `neighbours` are what was struck beside a date or letter that never was; `completions` whole
    lines to take over; `unfinished` a word still being typed, which no answer takes into account.
    `is_seen`: `seen` stands before the coin, which is to be counted and not kept.
    """

    readings: tuple[Answer, ...] = ()
    command: Command | None = None
    trouble: str = ""
    neighbours: tuple[str, ...] = ()
    completions: tuple[str, ...] = ()
    unfinished: str = ""
    said: str = ""
    is_seen: bool = False

    @property
    def must_ask(self) -> bool:
        """Whether keeping the coin depends on the reading, so that the collector must say which."""
        if len({answer.entry.coin for answer in self.readings}) < 2:
            return False
        is_other_kind = len({answer.entry.series for answer in self.readings}) > 1
        return is_other_kind or any(answer.verdict.is_of_use for answer in self.readings)

    @property
    def meant(self) -> Answer | None:
        """The reading that Enter keeps where nothing must be asked: the latest date that an album
        has a slot for, else the latest.
        """
        sought = [one for one in self.readings if one.slot is not None]
        return None if self.must_ask else next(reversed(sought), self.meant_seen)

    @property
    def meant_seen(self) -> Answer | None:
        """The reading that is counted: the latest date, which circulates most."""
        return self.readings[-1] if self.readings and not self.must_ask else None
