"""The holes of an album printed at real size: how large, under which words, and by whose word."""

from core.app.checklists import mintage_told
from core.app.picture_order import RealOrder
from core.app.views import AlbumView
from core.errors import BadEntry
from core.printing.real_size_parts import RealSize

NOT_KNOWN = "not known"
_NO_SLOTS_MM = 20.0
"""Stands for the hole of an album that has none."""


def real_size_of(view: AlbumView, real: RealOrder) -> RealSize:
    """What the holes of an album are.

    A chosen hole goes before the album's, that before each coin's own diameter. Raises BadEntry
    where a diameter is needed and not known.
    """
    shape = view.album.arrangement
    hole = real.hole_mm if real.hole_mm is not None else shape.hole_mm
    own = {} if hole is not None else _diameters(view)
    has_mintage = "{mintage" in shape.label
    return RealSize(
        hole if hole is not None else next(iter(own.values()), _NO_SLOTS_MM),
        real.clearance_mm,
        is_wide=real.is_wide if real.is_wide is not None else (shape.is_wide or None),
        diameters=own,
        labels={int(slot.slot.id): slot.label for slot in view.slots},
        notes={} if has_mintage else _mintages(view),
    )


def hole_source(view: AlbumView) -> tuple[str, str]:
    """The hole where none is chosen, and by whose word: ("21.2", "from the series").

    Two empty texts where it must be chosen, for the diameter of a coin is not known.
    """
    if view.album.arrangement.hole_mm is not None:
        return f"{view.album.arrangement.hole_mm:g}", "from the album"
    used = {slot.slot.accepts.series: view.series_of(slot.slot) for slot in view.slots}
    sizes = sorted({series.diameter_mm or 0.0 for series in used.values() or (view.series,)})
    if not sizes[0]:
        return "", ""
    if len(sizes) == 1:
        return f"{sizes[0]:g}", "from the series"
    return f"{sizes[0]:g} to {sizes[-1]:g}", "each coin's own, from its series"


def _diameters(view: AlbumView) -> dict[int, float]:
    sizes = {}
    for slot in view.slots:
        series = view.series_of(slot.slot)
        if series.diameter_mm is None:
            raise BadEntry(
                f"How large the coins of “{series.title}” are is not known; choose the hole: its "
                "diameter in millimetres."
            )
        sizes[int(slot.slot.id)] = series.diameter_mm
    return sizes


def _mintages(view: AlbumView) -> dict[int, str]:
    """What was struck, where that is known."""
    notes = {}
    for slot in view.slots:
        series = view.series_of(slot.slot)
        part_of = slot.slot.label if slot.slot.variety else ""
        told = mintage_told(series, series.may_be(slot.slot.accepts), part_of)
        if told != NOT_KNOWN:
            notes[int(slot.slot.id)] = told
    return notes
