"""Volumes: albums that stand together on the shelf under one title; splitting and joining them."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

from core.app.album_view import lay_out, shown_order
from core.app.changes import Changes
from core.app.order import Context, Operation, changes_of, free_name
from core.app.views import AlbumView
from core.arrange.layout import LeafLayout
from core.errors import BadEntry, NotFound, Refused
from core.model.album import Album, AlbumId, Slot, SlotId
from core.model.arrangement import Arrangement, ArrangementKind
from core.model.issue import Facet, Series, SeriesId
from core.model.plan_album import numbered
from core.store.unit import Unit

# ---- titles -----------------------------------------------------------------------------------


def set_volumes(albums: Sequence[AlbumId], title: str) -> Operation:
    """Make albums volumes of one title, standing together; "" takes them out of their run."""

    def work(unit: Unit, _context: Context) -> Changes:
        name = " ".join(title.split())
        chosen = [unit.read.album(one) for one in dict.fromkeys(albums)]
        for album in chosen:
            if album.volumes != name:
                unit.update_album(replace(album, volumes=name))
        moved = gather(unit, [album.id for album in chosen])
        return Changes(albums=moved | {a.id for a in chosen}, is_shelf=True)

    return Operation("name the volumes" if title.strip() else "take out of the volumes", work)


def gather(unit: Unit, albums: Sequence[AlbumId]) -> frozenset[AlbumId]:
    """Let albums stand with those of their volumes title; which albums stand elsewhere now.

    An album that joins a run goes to its end; one that left it goes behind it.
    """
    before = unit.read.albums()
    order, chosen = [a for a in before if a.id not in albums], set(albums)
    for album in (a for a in before if a.id in chosen):
        mates = [at for at, a in enumerate(order) if album.volumes and a.volumes == album.volumes]
        if mates:
            order.insert(mates[-1] + 1, album)
            continue
        at = len([a for a in order if a.shelf < album.shelf])
        while (
            0 < at < len(order)
            and order[at].volumes
            and (order[at - 1].volumes == order[at].volumes)
        ):
            at += 1
        order.insert(at, album)
    return _shelve(unit, order)


def _shelve(unit: Unit, order: Sequence[Album]) -> frozenset[AlbumId]:
    """Number the places of the shelf anew; the albums that stand elsewhere now."""
    moved = [replace(a, shelf=place) for place, a in enumerate(order) if a.shelf != place]
    for album in moved:
        unit.update_album(album)
    return frozenset(album.id for album in moved)


def read_cuts(view: AlbumView, text: str) -> list[SlotId]:
    """The slots with which volumes are to begin: dates or labels, with commas. Raises BadEntry."""
    slots = [shown.slot for shown in view.slots]
    known = {series.id: series for series in view.all_series}
    turn = [slots[at] for at in shown_order(known.__getitem__, slots, view.album.arrangement)]
    cuts = []
    for part in filter(None, map(str.strip, text.split(","))):
        typed = part.casefold().replace("–", "-")
        dated = [s.id for s in turn if (s.accepts.only(Facet.DATE) or "").casefold() == typed]
        named = [s.id for s in turn if s.label.casefold().replace("–", "-") == typed]
        if not dated and not named:
            raise BadEntry(
                f"{view.album.name} has no slot or date “{part}”; write one that it has."
            )
        cuts.append((dated or named)[0])
    if not cuts or set(cuts) == {turn[0].id}:
        raise BadEntry("Write the dates or slots with which the second and later volumes begin.")
    return cuts


# ---- splitting --------------------------------------------------------------------------------


def split_into_volumes(album_id: AlbumId, cuts: Sequence[SlotId]) -> Operation:
    """Cut an album into consecutive volumes, each cut the first slot of the next one.

    Slots keep their coins, orders and past; what was shown first is the first volume, which is the
    album itself. Raises NotFound; refused where nothing is cut off, or a row map is cut in a leaf.
    """

    def work(unit: Unit, context: Context) -> Changes:
        album, here = unit.read.album(album_id), unit.read.slots(album_id)
        series_of = context.series.get
        shape = album.arrangement
        turn = [here[at] for at in shown_order(series_of, here, shape)]
        parts = _parts(album, turn, cuts)
        maps = _maps(series_of, album, here, parts)
        title = album.volumes or album.name
        others = [a for a in unit.read.albums() if a.id != album_id]
        ids, shelf = [album_id], album.shelf
        first = replace(album, volumes=title, arrangement=maps[0])
        unit.update_album(first)
        behind = [a for a in others if a.shelf > shelf]
        for other in reversed(behind):
            unit.update_album(replace(other, shelf=other.shelf + len(parts) - 1))
        for number, (part, map_) in enumerate(zip(parts[1:], maps[1:], strict=True), 1):
            one = replace(
                first,
                id=AlbumId(0),
                name=_free(unit, f"{title}, part {number + 1}"),
                series=part[0].accepts.series,
                shelf=shelf + number,
                arrangement=map_,
                note="",
            )
            ids.append(unit.add_album(one))
        listed = {slot.id: slot.position for slot in here}
        moved: list[Slot] = []
        for one_id, part in zip(ids, parts, strict=True):
            in_list = sorted(part, key=lambda slot: listed[slot.id])
            now = [replace(s, album=one_id, position=at) for at, s in enumerate(in_list)]
            moved += [s for s, old in zip(now, in_list, strict=True) if s != old]
        put_first_series(unit, ids[0], parts[0])
        unit.update_slots(moved)
        named = _name_volumes(unit, series_of, title, set(ids), album.name)
        coins = [c.id for one_id in ids for c in unit.read.coins_in_album(one_id).values()]
        done = changes_of(unit, [slot.id for slot in moved], coins)
        return replace(
            done,
            albums=frozenset([*ids, *named, *(a.id for a in behind)]),
            is_shelf=True,
            is_reshaped=True,
        )

    return Operation("split into volumes", work)


def _parts(album: Album, turn: Sequence[Slot], cuts: Sequence[SlotId]) -> list[list[Slot]]:
    """The slots of each volume, as they are shown."""
    places = {slot.id: at for at, slot in enumerate(turn)}
    for cut in cuts:
        if cut not in places:
            raise NotFound(f"There is no slot number {cut} in {album.name}. Look again.")
    at = sorted({places[cut] for cut in cuts} - {0})
    if not at:
        raise Refused(
            f"Nothing would be cut off {album.name}: name a slot behind its first one, "
            "with which the next volume begins."
        )
    bounds = [0, *at, len(turn)]
    return [list(turn[a:b]) for a, b in pairwise(bounds)]


def _maps(
    series_of: Callable[[SeriesId], Series],
    album: Album,
    slots: Sequence[Slot],
    parts: Sequence[Sequence[Slot]],
) -> list[Arrangement]:
    """The arrangement of each volume: a row map's leaves go with their slots."""
    shape = album.arrangement
    if shape.kind is not ArrangementKind.ROW_MAP:
        return [shape] * len(parts)
    codes = list(dict.fromkeys(slot.accepts.series for slot in slots))
    known = {code: series_of(code) for code in codes}
    leaves = lay_out(known[codes[0]], slots, shape, known)
    begins = {_first_slot(leaf, slots): at for at, leaf in enumerate(leaves)}
    firsts = []
    for part in parts[1:]:
        at = begins.get(part[0].id)
        if at is None or at >= len(shape.row_map):
            raise Refused(
                f"{album.name} is laid out by a row map, so a volume can only begin with a leaf; "
                f"{part[0].label} stands within one."
            )
        firsts.append(at)
    bounds = [0, *firsts, len(shape.row_map)]
    return [replace(shape, row_map=shape.row_map[a:b]) for a, b in pairwise(bounds)]


def _first_slot(leaf: LeafLayout, slots: Sequence[Slot]) -> SlotId | None:
    cells = (cell.slot for row in leaf.rows for cell in row.cells)
    return next((slots[at].id for at in cells if at is not None), None)


def put_first_series(unit: Unit, album_id: AlbumId, slots: Sequence[Slot]) -> None:
    """Let an album's series be one that its slots have."""
    album, codes = unit.read.album(album_id), [slot.accepts.series for slot in slots]
    if codes and album.series not in codes:
        unit.update_album(replace(album, series=codes[0]))


def _free(unit: Unit, name: str) -> str:
    """A name that no other album has."""
    taken = {album.name.casefold() for album in unit.read.albums()}
    number, free = 1, name
    while free.casefold() in taken:
        number += 1
        free = f"{name} ({number})"
    return free


_VOLUME = r", volume \d+( \(.*\))?"


def _name_volumes(
    unit: Unit,
    series_of: Callable[[SeriesId], Series],
    title: str,
    fresh: set[AlbumId],
    was: str,
) -> frozenset[AlbumId]:
    """Name the volumes of a title by number and span; those with names of their own keep them.

    `fresh` are those just made of the album that was called `was`.
    """
    run = [album for album in unit.read.albums() if album.volumes == title]
    is_own = was != title and not re.fullmatch(re.escape(title) + _VOLUME, was)
    stem = was if is_own else title
    wanted: dict[AlbumId, str] = {}
    number = 0
    for album in run:
        is_numbered = re.fullmatch(re.escape(stem) + _VOLUME, album.name) is not None
        if album.id in fresh or is_numbered:
            number += 1
            span = span_of(series_of, unit.read.slots(album.id))
            wanted[album.id] = f"{stem}, volume {number}" + (f" ({span})" if span else "")
    taken = {a.name.casefold() for a in unit.read.albums() if a.id not in wanted}
    for album in run:
        name = wanted.get(album.id, album.name)
        while name.casefold() in taken:
            name += " (2)"
        taken.add(name.casefold())
        if name != album.name:
            unit.update_album(replace(album, name=name))
    return frozenset(wanted)


def span_of(series_of: Callable[[SeriesId], Series], slots: Sequence[Slot]) -> str:
    """The dates that slots reach from and to: 1909–1940; "" where they have none in common."""
    found: dict[int, str] = {}
    for slot in slots:
        for issue in series_of(slot.accepts.series).matching(slot.accepts):
            found.setdefault(issue.year, issue.date)
    if not found:
        return ""
    first, last = found[min(found)], found[max(found)]
    return first if first == last else f"{first}–{last}"


# ---- joining ----------------------------------------------------------------------------------


def join_volumes(albums: Sequence[AlbumId]) -> Operation:
    """Make one album of several, in the order of the shelf; coins, orders and past stay with slots.

    The first of them takes in the others' slots and is called by the volumes' title where that is
    free; it is the goal of campaigns for any of them. Refused for one album alone, or for holders
    and overviews together.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        chosen = set(albums)
        run = [unit.read.album(one) for one in dict.fromkeys(albums)]
        run.sort(key=lambda album: (album.shelf, album.id))
        if len(run) < 2:
            raise Refused("Only one album is named; joining takes two volumes or more.")
        if len({album.kind for album in run}) > 1:
            raise Refused("An overview and an album that holds coins cannot be joined.")
        first, title = run[0], run[0].volumes
        slots = [slot for album in run for slot in unit.read.slots(album.id)]
        coins = [c.id for album in run for c in unit.read.coins_in_album(album.id).values()]
        joined = numbered([replace(slot, album=first.id) for slot in slots])
        unit.update_slots([new for new, old in zip(joined, slots, strict=True) if new != old])
        sought = [one for album in run[1:] for one in unit.read.log.campaigns_for(album.id)]
        for campaign in sought:
            unit.log.update(replace(campaign, album=first.id))
        for album in run[1:]:
            unit.delete_album(album.id)
        others = [album for album in unit.read.albums() if album.id not in chosen]
        name = first.name
        if title and title.casefold() not in {album.name.casefold() for album in others}:
            name = free_name(unit, title, first.id)
        notes = "\n".join(album.note for album in run if album.note)
        keeps_run = any(album.volumes == title for album in others)
        unit.update_album(
            replace(
                first,
                name=name,
                note=notes,
                volumes=title if keeps_run else "",
                arrangement=_joined_shape(run),
            )
        )
        moved = _shelve(unit, unit.read.albums())
        done = changes_of(unit, [slot.id for slot in joined], coins)
        boxes = frozenset(box.id for one in sought for box in unit.read.log.boxes(one.id))
        return replace(
            done,
            albums=moved | chosen,
            boxes=boxes,
            is_log=bool(sought),
            is_shelf=True,
            is_reshaped=True,
        )

    return Operation("join the volumes", work)


def _joined_shape(run: Sequence[Album]) -> Arrangement:
    """The first volume's arrangement; row maps one after another."""
    shape = run[0].arrangement
    if all(album.arrangement.kind is ArrangementKind.ROW_MAP for album in run):
        leaves = tuple(leaf for album in run for leaf in album.arrangement.row_map)
        return replace(shape, row_map=leaves)
    return shape
