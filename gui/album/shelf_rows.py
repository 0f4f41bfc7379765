"""The cards of the shelf from the albums on it: volumes under their heading. No Qt here."""

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from core.app.shelf_entries import ShelfEntry, shelf_entries
from core.app.views import AlbumSummary, Headline
from core.model.album import Album, AlbumId, AlbumKind


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One card: an album, a volume under its heading, or the heading of a run of volumes."""

    title: str
    albums: tuple[Album, ...]
    is_heading: bool = False
    is_folded: bool = False
    is_volume: bool = False

    @property
    def album(self) -> Album | None:
        """The album of the card, None for a heading."""
        return None if self.is_heading else self.albums[0]


def shelf_rows(albums: Iterable[Album], unfolded: Collection[str]) -> tuple[ShelfRow, ...]:
    """The cards from the top; `unfolded` are the titles of runs whose volumes show."""
    rows: list[ShelfRow] = []
    for entry in shelf_entries(albums):
        if not entry.is_run:
            (album,) = entry.albums
            rows.append(ShelfRow(album.name, (album,)))
            continue
        is_folded = entry.title not in unfolded
        rows.append(ShelfRow(entry.title, entry.albums, is_heading=True, is_folded=is_folded))
        if not is_folded:
            rows += [ShelfRow(volume_title(a), (a,), is_volume=True) for a in entry.albums]
    return tuple(rows)


def volume_title(album: Album) -> str:
    """A volume under its heading: Volume 2 (1941–1958); its own name where it has one."""
    found = re.fullmatch(re.escape(album.volumes) + r",? +(\S.*)", album.name)
    text = found[1] if found else album.name
    return text[:1].upper() + text[1:]


def row_of(rows: Sequence[ShelfRow], album: AlbumId) -> int:
    """The card of an album, or the folded heading that it is under; -1 for nowhere."""
    own = (n for n, row in enumerate(rows) if row.album is not None and row.album.id == album)
    under = (n for n, row in enumerate(rows) if album in [a.id for a in row.albums])
    return next(own, next(under, -1))


def together(summaries: Sequence[AlbumSummary]) -> Headline:
    """The counts of several volumes as of one album."""
    heads = [summary.headline for summary in summaries]
    return Headline(
        sum(head.have for head in heads),
        sum(head.wanted for head in heads),
        sum(head.at_target for head in heads),
    )


def detail_text(row: ShelfRow, headline: Headline) -> str:
    """What stands under the title: have 58 of 70 · 3 volumes; have 9 of 20 · overview."""
    words = [headline.text]
    if row.is_heading:
        words.append(f"{len(row.albums)} volumes")
    elif row.albums[0].kind is AlbumKind.OVERVIEW:
        words.append("overview")
    return " · ".join(words)


def dropped(rows: Sequence[ShelfRow], at: int, gap: int) -> tuple[AlbumId, ...] | None:
    """The shelf's order when the card `at` is let go before card `gap`; None where none changes.

    A heading takes its volumes along; a volume stays in its run, and nothing else comes into one.
    """
    entries = _entries(rows)
    before = [album.id for entry, _, _ in entries for album in entry.albums]
    number, (entry, first, end) = next((n, e) for n, e in enumerate(entries) if e[1] <= at < e[2])
    if rows[at].is_volume:
        order = [album.id for album in entry.albums]
        moved = order.pop(at - first - 1)
        place = min(max(gap, first + 1), end) - first - 1
        order.insert(place - (place > at - first - 1), moved)
        entries[number] = (ShelfEntry(entry.title, _by_id(entry, order)), first, end)
    else:
        rest = entries[:number] + entries[number + 1 :]
        place = sum((low + high) / 2 < gap or high <= gap for _, low, high in rest)
        entries = [*rest[:place], entries[number], *rest[place:]]
    after = [album.id for one, _, _ in entries for album in one.albums]
    return None if after == before else tuple(after)


def _by_id(entry: ShelfEntry, order: Sequence[AlbumId]) -> tuple[Album, ...]:
    found = {album.id: album for album in entry.albums}
    return tuple(found[one] for one in order)


def _entries(rows: Sequence[ShelfRow]) -> list[tuple[ShelfEntry, int, int]]:
    """The entries of the shelf, each with its first card and the one after its last."""
    starts = [n for n, row in enumerate(rows) if not row.is_volume]
    ends = [*starts[1:], len(rows)]
    return [
        (ShelfEntry(rows[a].title, rows[a].albums), a, b) for a, b in zip(starts, ends, strict=True)
    ]
