"""An album or a slot by what a person calls it. Pure."""

from collections.abc import Sequence

from core.app.views import AlbumView
from core.errors import Ambiguous, NotFound
from core.model.album import Album, Slot


def album_by_name(albums: Sequence[Album], name: str) -> Album:
    """An album by its name or a unique beginning of it, whatever the case."""
    wanted = name.casefold()
    exact = [a for a in albums if a.name.casefold() == wanted]
    found = exact or [a for a in albums if a.name.casefold().startswith(wanted)]
    if len(found) == 1:
        return found[0]
    names = ", ".join(a.name for a in (found or albums)) or "none yet"
    if found:
        raise Ambiguous(f"“{name}” may be any of: {names}. Type more of the name.")
    raise NotFound(f"There is no album “{name}”. Albums here: {names}.")


def slot_by_label(view: AlbumView, label: str) -> Slot:
    """A slot of an album by its label, whatever the case."""
    wanted = " ".join(label.casefold().split())
    for slot in view.slots:
        if slot.slot.label.casefold() == wanted:
            return slot.slot
    near = [v.slot.label for v in view.slots if v.slot.label.casefold().startswith(wanted[:4])]
    hint = f" Near it: {', '.join(near[:6])}." if near else ""
    raise NotFound(f"{view.album.name} has no slot “{label}”.{hint}")
