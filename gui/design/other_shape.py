"""A shape that another form asks for; dates only asks for other slots too."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.app.views import AlbumView
from core.model.album import SlotId
from core.model.arrangement import Arrangement, ArrangementKind
from core.model.coin import CoinId

if TYPE_CHECKING:
    from core.app.album_edit import EditChoice
    from core.app.operations import Operation


def formed(view: AlbumView, kind: ArrangementKind) -> Arrangement:
    """The album's arrangement in another form; rows to a leaf mean something else in a matrix."""
    shape = view.album.arrangement
    is_alike = kind.is_matrix is shape.kind.is_matrix
    return replace(shape, kind=kind, rows_per_leaf=shape.rows_per_leaf if is_alike else None)


@dataclass(frozen=True, slots=True)
class OtherSlots:
    """What a shape does to the slots: the question to ask, and the order that does it."""

    choice: "EditChoice"
    agreed: Sequence[CoinId]
    going: Sequence[SlotId]
    words: str
    title: str = "Dates only asks for other slots"

    def order(self, view: AlbumView) -> "Operation":
        """Change the slots; coins that were named may fall out."""
        from core.app.album_edit import edit_album

        return edit_album(view.album.id, self.choice, self.agreed)


def other_slots(view: AlbumView, shape: Arrangement) -> OtherSlots:
    """Work out which slots dates only asks for; a matter for the worker."""
    from core.app.album_edit import falling_text, plan_edit
    from core.app.design import dates_only_choice

    choice = dates_only_choice(view, shape)
    edit = plan_edit(view, choice)
    words = f"{len(edit.dropped):,} slots of one mint each give way to one slot a date"
    if edit.falling_out:
        words += f"; these coins become spares: {falling_text(edit.falling_out)}"
    agreed = [one.coin for one in edit.falling_out]
    return OtherSlots(choice, agreed, [slot.id for slot in edit.dropped], f"{words}.")
