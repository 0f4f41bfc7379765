"""What must hold on every laid-out page."""

from core.glyph.codes import STATE_BITS
from core.printing.page_edges import Frame
from core.printing.placed import ASCENT, DESCENT, Page

Box = tuple[float, float, float, float, str]
"""Left, top, right, bottom, and what it is."""


def boxes_of(page: Page) -> list[Box]:
    """What is drawn on a page, each thing as the rectangle it takes; lines are left out."""
    out: list[Box] = []
    for text in page.texts:
        size = text.style.size
        out.append(
            (
                text.x,
                text.y - ASCENT * size,
                text.x + text.width,
                text.y + DESCENT * size,
                text.text,
            )
        )
    out += [(box.x, box.y, box.x + box.side, box.y + box.side, "tick box") for box in page.boxes]
    for placed in page.glyphs:
        r = placed.diameter / 2 * (1.2 if placed.code & ~STATE_BITS else 0.98)
        out.append((placed.x - r, placed.y - r, placed.x + r, placed.y + r, "glyph"))
    return out


def assert_within_margins(page: Page, frame: Frame) -> None:
    """All text, boxes, glyphs and lines stay between the margins, above the edge of the paper."""
    for left, top, right, bottom, what in boxes_of(page):
        assert left >= frame.left - 0.01, what
        assert right <= frame.right + 0.01, what
        assert top >= frame.top - 0.01, what
        assert bottom <= page.height - frame.top + 0.01, what
    for rule in page.rules:
        assert rule.x >= frame.left - 0.01
        assert rule.x + rule.width <= frame.right + 0.01
        assert frame.top <= rule.y <= frame.bottom + 0.01


def assert_nothing_overlaps(page: Page) -> None:
    """No two things on a page take the same place."""
    things = sorted(boxes_of(page), key=lambda box: box[1])
    for i, (left, top, right, bottom, what) in enumerate(things):
        assert top < bottom
        for other in things[i + 1 :]:
            if other[1] >= bottom - 0.01:
                break
            is_apart = other[0] >= right - 0.01 or other[2] <= left + 0.01
            assert is_apart, (what, other[4], left, top, other)
