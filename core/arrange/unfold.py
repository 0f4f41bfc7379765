"""A leaf of runs side by side as one of runs under each other, for small maps. Pure."""

from core.arrange.layout import SPACER, Cell, LeafLayout, RowLayout


def unfolded(leaf: LeafLayout) -> LeafLayout:
    """The leaf with the runs that captions head below the first, each row under its own head.

    A leaf without captions is as it is.
    """
    cuts = sorted({at for row in leaf.rows for at, c in enumerate(row.cells) if c.is_caption})
    if not cuts:
        return leaf
    starts = [0, *(_begin_after(leaf, cut) for cut in cuts)]
    ends = [*cuts, max(len(row.cells) for row in leaf.rows)]
    heads = leaf.heads[starts[-1] :]
    rows = []
    for number, (start, end) in enumerate(zip(starts, ends, strict=True)):
        for row in leaf.rows:
            cells = list(row.cells[start:end])
            while cells and cells[-1] == SPACER and len(cells) > len(heads):
                cells.pop()
            caption = row.cells[cuts[number - 1]] if number and start < len(row.cells) else SPACER
            head, sub = (caption.name, caption.sub) if number else (row.head, row.differs)
            if head or any(cell != SPACER for cell in cells):
                rows.append(RowLayout(head, sub, 0, tuple(cells)))
    return LeafLayout(leaf.title, leaf.subtitle, heads, tuple(rows))


def _begin_after(leaf: LeafLayout, cut: int) -> int:
    """The first place of a run, past the free one that may follow its captions."""
    first = cut + 1
    if leaf.heads:
        return first + (leaf.heads[first] == "")
    after: list[Cell] = [row.cells[first] for row in leaf.rows if first < len(row.cells)]
    return first + all(cell == SPACER for cell in after)
