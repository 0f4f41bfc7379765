"""What an operation touched, so that each panel redraws only when it must."""

from dataclasses import dataclass, field

from core.model.album import AlbumId, SlotId
from core.model.coin import CoinId


@dataclass(frozen=True, slots=True)
class Changes:
    """Which parts of the collection an operation touched.

    `albums`: slots of these changed (their list or shape too when `is_reshaped`). `is_shelf`:
    albums came, went, moved or were renamed. `made`: the album or coins that were made.
    """

    label: str = ""
    albums: frozenset[AlbumId] = frozenset()
    slots: frozenset[SlotId] = frozenset()
    coins: frozenset[CoinId] = frozenset()
    is_shelf: bool = False
    is_reshaped: bool = False
    made_album: AlbumId | None = None
    made_coins: tuple[CoinId, ...] = field(default=())

    @property
    def is_nothing(self) -> bool:
        """Whether nothing was touched."""
        return not (self.albums or self.slots or self.coins or self.is_shelf)

    @staticmethod
    def everything(label: str = "") -> "Changes":
        """Read all anew: after undo, redo, restore, or a file changed by another program."""
        return Changes(label, is_shelf=True, is_reshaped=True)
