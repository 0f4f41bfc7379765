"""Sums of zooming. No Qt here."""

from collections.abc import Callable

LEAST, MOST = 0.06, 4.0
LEAST_READING, MOST_READING = 0.7, 1.2
"""Between these an album opens: labels are easy to read, leaves not larger than need be."""
LEAST_WIDE, LEAST_WIDEST = 0.5, 0.4
"""How small an album may open whose leaf is else wider than its window, with places of the usual
width and with the widest; dates can be read yet."""
CLOSER, LEAST_CLOSER = 0.8, 0.78
"""How much smaller an album may open to show a further leaf beside the others,
and the zoom below which it does not."""
_EXACT = 1e-3
_WHOLE = (1, 2, 3, 4, 5, 8)


def within_bounds(zoom: float) -> float:
    """The nearest zoom that is allowed."""
    return min(MOST, max(LEAST, zoom))


def best_zoom(fits: Callable[[float], bool], least: float = LEAST, most: float = MOST) -> float:
    """The largest zoom in the bounds that fits, to a thousandth; the least where none does."""
    low, high = least, most
    while high - low > _EXACT:
        middle = (low + high) / 2
        if fits(middle):
            low = middle
        else:
            high = middle
    return low


def whole_pixels(ratio: float) -> int:
    """The least number of logical pixels that is a whole number of device pixels, 1 if none is."""
    return next((n for n in _WHOLE if abs(n * ratio - round(n * ratio)) < 1e-6), 1)
