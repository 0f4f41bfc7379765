"""Frozen views: what the screen, the paper and the command line show."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from core.arrange.grid import LeafLayout
from core.arrange.plan import LeafPlan
from core.model.album import Album, AlbumId, Slot, SlotId, Wish
from core.model.coin import Coin, CoinId
from core.model.issue import Evidence, Face, Series, SeriesId, VarietyId
from core.model.state import Mark, SlotState


@dataclass(frozen=True, slots=True)
class SlotView:
    """A slot with all that is drawn of it; `code` is the glyph's byte.

    `held_text` is what stands under the glyph: a grade, what is open (S or D?), or the problem;
    with “▸ 20” where the target is higher.
    """

    slot: Slot
    coin: Coin | None
    ordered: Coin | None
    state: SlotState
    level: int
    marks: frozenset[Mark]
    code: int
    label: str
    held_text: str

    @property
    def counts(self) -> bool:
        """Whether the slot is in the headline's count."""
        return self.slot.wish is Wish.WANTED

    @property
    def has_coin(self) -> bool:
        """Whether it is wanted and holds a coin."""
        return self.counts and self.coin is not None


@dataclass(frozen=True, slots=True)
class Headline:
    """Have n of m, at target k; and how many slots are in each state (optional ones too)."""

    have: int
    wanted: int
    at_target: int
    states: Mapping[SlotState, int] = field(default_factory=dict)
    spares_waiting: int = 0

    @property
    def text(self) -> str:
        """have 58 of 70."""
        return f"have {self.have} of {self.wanted}"

    @property
    def whole_text(self) -> str:
        """have 58 of 70 · at target 44."""
        return f"{self.text} · at target {self.at_target}"


@dataclass(frozen=True, slots=True)
class AlbumSummary:
    """One album on the shelf."""

    album: Album
    series_title: str
    headline: Headline

    @property
    def has_share(self) -> float:
        """The share of wanted slots that hold a coin, 0 to 1."""
        return self.headline.have / self.headline.wanted if self.headline.wanted else 0.0

    @property
    def target_share(self) -> float:
        """The share of wanted slots at target, 0 to 1."""
        return self.headline.at_target / self.headline.wanted if self.headline.wanted else 0.0


@dataclass(frozen=True, slots=True)
class AlbumView:
    """An album as drawn: its slots in order, its leaves, and the flat plan for the leaf view.

    `series` is the first one; `others` are those that only some slots take coins of.
    """

    album: Album
    series: Series
    slots: tuple[SlotView, ...]
    leaves: tuple[LeafLayout, ...]
    plan: LeafPlan
    headline: Headline
    by_id: Mapping[SlotId, SlotView]
    places: Mapping[SlotId, tuple[int, int, int]]
    others: Mapping[SeriesId, Series] = field(default_factory=dict)

    def series_of(self, slot: Slot) -> Series:
        """The series that a slot takes coins of."""
        return self.others.get(slot.accepts.series, self.series)

    @property
    def all_series(self) -> tuple[Series, ...]:
        """The first series, then the others, as their slots come."""
        return self.series, *self.others.values()

    @property
    def series_title(self) -> str:
        """Lincoln cents; Lincoln cents and 3 other series."""
        many = len(self.others)
        more = (
            "" if not many else " and another series" if many == 1 else f" and {many} other series"
        )
        return f"{self.series.title}{more}"

    def place_text(self, slot: SlotId) -> str:
        """Where a slot lies: leaf 3, row 4, place 2 (each from 1)."""
        leaf, row, column = self.places[slot]
        return f"leaf {leaf}, row {row}, place {column}"


@dataclass(frozen=True, slots=True)
class MarkerLine:
    """One thing to look at: its place, what is seen there and what that is worth.

    `number` is that of its spot on the disc, which markers at one place share; 0 where it has no
    spot: on the edge, of the coin as a whole, or of what is settled. `x` to the right and `y` down
    from the middle of a disc of radius 1.
    """

    number: int
    place: str
    see: str
    evidence: Evidence
    face: Face
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class LookCloser:
    """Something known for this date: where to look, what to see, how likely in rolls.

    `is_open`: neither the coin's description nor a finding has settled it. `variety` is what an
    own code may name, with its `series`; None of a sign. `code`: the own code, "" for none.
    """

    name: str
    where: str
    look: str
    odds: str
    known: str
    source: str
    markers: tuple[MarkerLine, ...] = ()
    is_open: bool = True
    series: SeriesId | None = None
    variety: VarietyId | None = None
    code: str = ""


@dataclass(frozen=True, slots=True)
class SpareLine:
    """A spare that fits a slot: its grade, where it lies, and what it would gain there."""

    coin: CoinId
    title: str
    detail: str
    gain: str
    is_better: bool


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One event in a slot's past; `placement` is the stay it is of, from `since` until `until`.

    `until` None: the coin still sits there.
    """

    day: date
    text: str
    placement: int | None = None
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Seat:
    """Where the coin that an overview shows sits; both ids None for a spare."""

    album: AlbumId | None = None
    slot: SlotId | None = None
    text: str = "in no album: a spare"


@dataclass(frozen=True, slots=True)
class SlotCard:
    """Everything the card says of one slot; `facts` are (name, value) in order.

    `seat` is where the coin sits, where the album is an overview that shows one.
    """

    view: SlotView
    album: Album
    series: Series
    where: str
    accepts: str
    state_text: str
    why: str
    facts: tuple[tuple[str, str], ...]
    look_closer: tuple[LookCloser, ...]
    spares: tuple[SpareLine, ...]
    history: tuple[HistoryLine, ...]
    seat: Seat | None = None


@dataclass(frozen=True, slots=True)
class CoinRow:
    """One line of the coins table; all texts ready to show, with keys to sort by."""

    coin: Coin
    series_title: str
    text: str
    grade: str
    state: str
    where: str
    sort_key: tuple[str, int, str]
    varieties: str = ""
    """doubled die obverse confirmed, D over D suspected."""
