"""What a sheet is read against: the albums, what sits in them, and the numbers that are taken."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from core.errors import BadEntry
from core.model.album import Album, AlbumId, AlbumKind, Placement, Slot, SlotId
from core.model.coin import CoinId
from core.store.read import Reader


def same(text: str) -> str:
    """A name as it is compared: whatever the case and the spaces."""
    return " ".join(text.casefold().split())


@dataclass(frozen=True)
class AlbumHere:
    """An album with its slots in reading order; slots are found by label or by place."""

    album: Album
    slots: Sequence[Slot]

    @cached_property
    def _by_label(self) -> Mapping[str, list[Slot]]:
        found: dict[str, list[Slot]] = {}
        for slot in self.slots:
            found.setdefault(same(slot.label), []).append(slot)
        return found

    @cached_property
    def _exactly(self) -> Mapping[str, list[Slot]]:
        found: dict[str, list[Slot]] = {}
        for slot in self.slots:
            found.setdefault(slot.label, []).append(slot)
        return found

    @cached_property
    def names(self) -> Mapping[SlotId, str]:
        """How a sheet names each slot: its label, or #12 for the twelfth where that may mislead."""
        return {
            slot.id: slot.label if self._is_plain(slot) else f"#{place}"
            for place, slot in enumerate(self.slots, 1)
        }

    def _is_plain(self, slot: Slot) -> bool:
        """Whether the label alone leads back to the slot."""
        named = slot.label.strip()
        return (
            bool(named)
            and not named.startswith("#")
            and named == slot.label
            and len(self._exactly[slot.label]) == 1
        )

    def slot(self, name: str) -> Slot:
        """A slot by what a sheet calls it; raises BadEntry with names that are near."""
        typed = name.strip()
        if typed.startswith("#") and typed[1:].isascii() and typed[1:].isdigit():
            place = int(typed[1:12])
            if 0 < place <= len(self.slots) and len(typed) <= 11:
                return self.slots[place - 1]
            raise BadEntry(
                f"{self.album.name} has {len(self.slots)} slots, so there is no {typed}."
            )
        found = self._exactly.get(typed) or self._by_label.get(same(typed), [])
        if len(found) == 1:
            return found[0]
        if found:
            raise BadEntry(
                f"{len(found)} slots of {self.album.name} are called “{typed}”; name it by its "
                "place in reading order, such as #12."
            )
        near = [slot.label for slot in self.slots if same(slot.label)[:4] == same(typed)[:4]]
        hint = f" Near it: {', '.join(near[:6])}." if near else " Write a label of its leaves."
        raise BadEntry(f"{self.album.name} has no slot “{typed}”.{hint}")


@dataclass(frozen=True)
class Here:
    """The collection as a sheet meets it; an empty one takes coins but has no slots."""

    albums: Sequence[AlbumHere] = ()
    filled: Mapping[SlotId, CoinId] = field(default_factory=dict)
    reserved: Mapping[SlotId, CoinId] = field(default_factory=dict)
    stays: Mapping[SlotId, Sequence[Placement]] = field(default_factory=dict)
    numbers: frozenset[CoinId] = frozenset()
    today: date | None = None

    @cached_property
    def _by_name(self) -> Mapping[str, list[AlbumHere]]:
        found: dict[str, list[AlbumHere]] = {}
        for one in self.albums:
            found.setdefault(same(one.album.name), []).append(one)
        return found

    @cached_property
    def _by_id(self) -> Mapping[AlbumId, AlbumHere]:
        return {one.album.id: one for one in self.albums}

    def album_of(self, slot: Slot) -> AlbumHere:
        """The album of a slot."""
        return self._by_id[slot.album]

    def album(self, name: str) -> AlbumHere:
        """An album by its name or a beginning that only it has; raises BadEntry."""
        typed = same(name)
        found = self._by_name.get(typed) or [
            one for one in self.albums if typed and same(one.album.name).startswith(typed)
        ]
        if len(found) == 1:
            return found[0]
        if found:
            names = ", ".join(one.album.name for one in found)
            raise BadEntry(f"“{name.strip()}” may be any of: {names}. Write more of the name.")
        names = ", ".join(one.album.name for one in self.albums)
        known = f"Albums here: {names}." if names else "There is no album here yet; make one first."
        raise BadEntry(f"There is no album “{name.strip()}”. {known}")

    def only_album(self) -> AlbumHere | None:
        """The one album that holds coins, None where there are several or none."""
        holders = [one for one in self.albums if one.album.kind is AlbumKind.HOLDER]
        return holders[0] if len(holders) == 1 else None


def here(reader: Reader, today: date) -> Here:
    """The collection as it stands now."""
    albums = [AlbumHere(album, reader.slots(album.id)) for album in reader.albums()]
    stays: dict[SlotId, list[Placement]] = {}
    for stay in reader.all_placements():
        stays.setdefault(stay.slot, []).append(stay)
    return Here(
        albums,
        {stay.slot: stay.coin for found in stays.values() for stay in found if stay.until is None},
        {one.slot: one.coin for one in reader.all_reservations()},
        stays,
        reader.coin_numbers(),
        today,
    )
