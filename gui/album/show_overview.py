"""What is said of an overview, which shows coins wherever they sit and holds none itself."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import SignalInstance

from core.model.album import AlbumKind

if TYPE_CHECKING:
    from gui.album.centre import AlbumCentre
    from gui.leaf.inspector import SlotInspector

WHAT_IT_IS = "shows the best coin you hold for each slot, wherever it sits; holds none itself"


def overview_reason(name: str) -> str:
    """Why nothing is put in, taken out, stocked or filled in it."""
    return (
        f"{name} is an overview: it shows coins wherever they sit and holds none. "
        "J goes where a coin sits."
    )


def only_in_holder(
    centre: "AlbumCentre", said: SignalInstance, does: Callable[[], object]
) -> Callable[[], None]:
    """What is done in an album that holds coins; of an overview it is said why it is not."""

    def handler() -> None:
        view = centre.view
        if view is not None and view.album.kind is AlbumKind.OVERVIEW:
            said.emit(overview_reason(view.album.name))
        else:
            does()

    return handler


def go_to_coin(centre: "AlbumCentre", card: "SlotInspector", said: SignalInstance) -> None:
    """From an overview to the slot in which the coin sits."""
    view = centre.view
    if view is None or view.album.kind is not AlbumKind.OVERVIEW:
        said.emit("This album holds its coins itself; only an overview leads elsewhere.")
    elif not card.go_to_seat():
        said.emit("You hold no coin for this slot, or more than one slot is chosen.")
