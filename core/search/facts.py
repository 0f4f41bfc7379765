"""What was seen in a box, as plain figures: all that the reckoning over searches asks for."""

from dataclasses import dataclass
from datetime import date

from core.model.issue import Description, SeriesId, VarietyId
from core.model.search import BoxId, BoxKind, Campaign, CampaignId, Claim, SearchId

FILLS, UPGRADES = "Fills a gap", "Upgrade"
"""The answers that change an album, as finds keep them."""
SPARE = "Spare"
"""The answer that would have been right where nothing came of one of those."""
SO_FAR = "so far by the answers"
"""What is said of slots that are counted by answers, the box being open."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A find (`is_kept`, `quantity` 1) or a sighting.

    `series` is None and `mask` 0 where no coin is described (+foreign). `mask` is what the coin
    may still be, over the issues of its series. `varieties` are those it is known to be, neither
    suspected nor looked for in vain. `said` is how the coin is written: 1943-D. `place` is its
    order among all entries of the box, from 1. `answer` is what was said at the table; `came` what
    really came of a find, in the words of the answers, each slot told; None while its box is open.
    """

    roll: int
    place: int
    series: SeriesId | None = None
    mask: int = 0
    description: Description | None = None
    varieties: tuple[VarietyId, ...] = ()
    answer: str = ""
    counter: str = ""
    quantity: int = 1
    is_kept: bool = False
    is_ender: bool = False
    said: str = ""
    came: tuple[str, ...] | None = None

    @property
    def verdicts(self) -> tuple[str, ...]:
        """What counts of it: what came of it, the answer while that is not known."""
        return (self.answer,) if self.came is None else self.came


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """One box with what was seen in it.

    `rolls` are all it has, `skipped` those of them passed over up to the furthest one opened,
    `opened` those opened so far, the open one included and the skipped left out. `coins_opened`
    are the coins of the opened rolls, `coins_to_come` those of the rolls still closed; short and
    long rolls told. Money in minor units of `currency`, `seconds` of work.
    """

    box: BoxId
    search: SearchId
    campaign: CampaignId
    number: int
    begun: date
    denomination: str
    kind: BoxKind
    rolls: int
    opened: int
    coins_opened: int
    coins_to_come: int = 0
    skipped: int = 0
    is_done: bool = False
    came_from: str = ""
    wrapper: str = ""
    fees_minor: int | None = None
    currency: str = ""
    seconds: int = 0
    at_roll: int = 1
    finds: tuple[Seen, ...] = ()
    sightings: tuple[Seen, ...] = ()
    claims: tuple[Claim, ...] = ()

    @property
    def seen(self) -> tuple[Seen, ...]:
        """Finds and sightings in the order they were entered."""
        return tuple(sorted((*self.finds, *self.sightings), key=lambda one: one.place))

    @property
    def rolls_searched(self) -> int:
        """The rolls that are searched when the box is through: all but the skipped.

        Of a finished box those that were opened.
        """
        return self.opened if self.is_done else max(self.rolls - self.skipped, self.opened)

    @property
    def slots_filled(self) -> int:
        """The slots that the box filled; while it is open, by the answers so far."""
        return sum(one.verdicts.count(FILLS) for one in self.finds)

    @property
    def slots_bettered(self) -> int:
        """The slots that the box bettered; while it is open, by the answers so far."""
        return sum(one.verdicts.count(UPGRADES) for one in self.finds)

    @property
    def slots_text(self) -> str:
        """2 slots filled, 1 bettered; so far by the answers: 2 slots filled, 1 bettered."""
        slots = f"{self.slots_filled:,} slot{'' if self.slots_filled == 1 else 's'} filled"
        told = f"{slots}, {self.slots_bettered:,} bettered"
        return told if self.is_done else f"{SO_FAR}: {told}"


@dataclass(frozen=True, slots=True)
class CampaignFacts:
    """A campaign, its opening figures, and its boxes in the order they were begun."""

    campaign: Campaign
    boxes: tuple[BoxFacts, ...] = ()

    @property
    def boxes_in_all(self) -> int:
        """Boxes with those before the log."""
        return self.campaign.opening_boxes + len(self.boxes)

    @property
    def coins_in_all(self) -> int:
        """Coins searched, with those before the log."""
        return self.campaign.opening_coins + sum(box.coins_opened for box in self.boxes)
