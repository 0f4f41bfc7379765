"""What an operation touched, so that each panel redraws only when it must."""

from dataclasses import dataclass, field, replace

from core.model.album import AlbumId, SlotId
from core.model.coin import CoinId
from core.model.issue import Description
from core.model.search import BoxId


@dataclass(frozen=True, slots=True)
class Changes:
    """Which parts of the collection an operation touched.

    `albums`: slots of these changed (their list or shape too when `is_reshaped`).
    `descriptions`: what the touched coins are, and were. `is_shelf`: albums came, went, moved or
    were renamed. `made_album`, `made_coins`: what was made. `is_everything`: read all anew.
    `boxes` of the search log: what is told of them or lay in them changed. `is_log`: campaigns,
    searches, boxes, tallies or containers came, went or were edited; `made_log`: their ids.
    `is_prices`: prices, offers, rates or their rules changed; `made_prices`: ids of prices or
    offers that are new. `is_codes`: own codes of varieties changed. `is_choices`: what was chosen
    of plans by hand.
    """

    label: str = ""
    albums: frozenset[AlbumId] = frozenset()
    slots: frozenset[SlotId] = frozenset()
    coins: frozenset[CoinId] = frozenset()
    descriptions: frozenset[Description] = frozenset()
    is_shelf: bool = False
    is_reshaped: bool = False
    made_album: AlbumId | None = None
    made_coins: tuple[CoinId, ...] = field(default=())
    is_everything: bool = False
    boxes: frozenset[BoxId] = frozenset()
    is_log: bool = False
    made_log: tuple[int, ...] = ()
    is_prices: bool = False
    made_prices: tuple[int, ...] = ()
    is_codes: bool = False
    is_choices: bool = False

    @property
    def is_nothing(self) -> bool:
        """Whether nothing was touched."""
        touched = self.albums or self.slots or self.coins or self.boxes
        listed = self.is_shelf or self.is_log or self.is_prices or self.is_codes
        listed = listed or self.is_choices
        return not (touched or listed)

    @property
    def is_choices_alone(self) -> bool:
        """Whether what was chosen of plans changed, and nothing else."""
        return self.is_choices and replace(self, is_choices=False).is_nothing

    @staticmethod
    def everything(label: str = "") -> "Changes":
        """Read all anew: after undo, redo, restore, or a file changed by another program."""
        return Changes(
            label,
            is_shelf=True,
            is_reshaped=True,
            is_everything=True,
            is_log=True,
            is_prices=True,
            is_codes=True,
            is_choices=True,
        )
