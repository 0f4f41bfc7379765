"""Changing the sets of tallies and the containers: each function returns an Operation."""

from collections.abc import Sequence
from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.errors import NotFound, Refused
from core.model.search import Container, Tally, require_container, require_tally
from core.search.packaging import tallies_to_start_with
from core.store.read import Reader
from core.store.unit import Unit


def tallies_of(reader: Reader, denomination: str) -> tuple[Tally, ...]:
    """The set of a denomination: the one saved here, else those that travel with the program."""
    return tuple(reader.log.tallies(denomination)) or tallies_to_start_with(denomination)


def set_tallies(denomination: str, tallies: Sequence[Tally]) -> Operation:
    """Save a whole set in this order; an empty one gives back those to start with."""

    def work(unit: Unit, _context: Context) -> Changes:
        return _write_set(unit, denomination, tallies)

    return Operation(f"set the tallies of {denomination}", work)


def add_tally(tally: Tally) -> Operation:
    """Count something more for a denomination, last of its set."""

    def work(unit: Unit, _context: Context) -> Changes:
        now = tallies_of(unit.read, tally.denomination)
        return _write_set(unit, tally.denomination, [*now, replace(tally, id=0)])

    return Operation(f"new tally {tally.name.strip()}", work)


def edit_tally(tally: Tally, named: str = "") -> Operation:
    """Set name and rule of a tally, known by its name (`named`, where that changes)."""

    def work(unit: Unit, _context: Context) -> Changes:
        now = tallies_of(unit.read, tally.denomination)
        at = _place(now, named or tally.name)
        changed = replace(now[at], name=tally.name, rule=tally.rule)
        return _write_set(unit, tally.denomination, [*now[:at], changed, *now[at + 1 :]])

    return Operation(f"edit tally {tally.name.strip()}", work)


def delete_tally(denomination: str, name: str) -> Operation:
    """Count something no longer; with the last one, those to start with come back."""

    def work(unit: Unit, _context: Context) -> Changes:
        now = tallies_of(unit.read, denomination)
        at = _place(now, name)
        return _write_set(unit, denomination, [*now[:at], *now[at + 1 :]])

    return Operation(f"delete tally {name}", work)


def _place(tallies: Sequence[Tally], name: str) -> int:
    for at, one in enumerate(tallies):
        if one.name.casefold() == " ".join(name.casefold().split()):
            return at
    there = ", ".join(one.name for one in tallies) or "none"
    raise NotFound(f"There is no tally “{name}” here. Tallies: {there}.")


def _write_set(unit: Unit, denomination: str, tallies: Sequence[Tally]) -> Changes:
    wanted = [
        replace(one, id=0, denomination=denomination, name=" ".join(one.name.split()), place=at)
        for at, one in enumerate(tallies)
    ]
    names: set[str] = set()
    for one in wanted:
        require_tally(one)
        if one.name.casefold() in names:
            raise Refused(f"There is a tally called {one.name} already; choose another name.")
        names.add(one.name.casefold())
    kept = unit.read.log.tallies(denomination)
    if [replace(one, id=0) for one in kept] == wanted:
        return Changes()
    for old, new in zip(kept, wanted, strict=False):
        if replace(old, id=0) != new:
            unit.log.update(replace(new, id=old.id))
    unit.log.add_all(wanted[len(kept) :])
    unit.log.delete(Tally, [one.id for one in kept[len(wanted) :]])
    return Changes(is_log=True)


def add_container(container: Container) -> Operation:
    """Know a jar or cup by what it holds."""

    def work(unit: Unit, _context: Context) -> Changes:
        made = unit.log.add(_container(unit, replace(container, id=0)))
        return Changes(is_log=True, made_log=(made,))

    return Operation(f"new container {container.name.strip()}", work)


def edit_container(container: Container) -> Operation:
    """Set all that is known of a container, its level too."""

    def work(unit: Unit, _context: Context) -> Changes:
        before = unit.read.log.container(container.id)
        after = _container(unit, container)
        if after == before:
            return Changes()
        unit.log.update(after)
        return Changes(is_log=True)

    return Operation(f"edit container {container.name.strip()}", work)


def delete_container(number: int) -> Operation:
    """Forget a container."""

    def work(unit: Unit, _context: Context) -> Changes:
        unit.about = unit.read.log.container(number).name
        unit.log.delete(Container, [number])
        return Changes(is_log=True)

    return Operation("forget a container", work)


def _container(unit: Unit, container: Container) -> Container:
    one = replace(container, name=" ".join(container.name.split()), note=container.note.strip())
    require_container(one)
    for other in unit.read.log.containers():
        if other.id != one.id and other.name.casefold() == one.name.casefold():
            raise Refused(f"There is a container called {other.name} already.")
    return one
