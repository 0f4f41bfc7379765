"""What a coin that is counted and not kept is written down as, at the table and from a text."""

from core.lookup.parse import Entry
from core.model.coin import Finding
from core.model.search import BoxId, Looked, Sighting

_LOOKED = {
    Finding.CONFIRMED: Looked.NOTHING,
    Finding.SUSPECTED: Looked.SUSPECTED,
    Finding.RULED_OUT: Looked.NOT_IT,
}


def sighting_of(entry: Entry, box: BoxId = BoxId(0), found: str = "") -> Sighting:  # noqa: B008 (a plain number)
    """The sighting of an entry.

    A variety that it names is the one looked for: it, suspected, or not it. Of several suspected a
    sighting cannot name one; `found`, what is told of them all, goes into its note then.
    """
    coin = entry.coin
    sure = [one for one in coin.varieties if one[1] is Finding.CONFIRMED]
    doubtful = [one for one in coin.varieties if one[1] is Finding.SUSPECTED]
    is_open = not sure and len(doubtful) > 1
    seen = None if is_open else next(iter((*sure, *doubtful, *coin.varieties)), None)
    told = [coin.grade.text if coin.grade else "", *map(str, coin.problems)]
    told += [found if is_open else "", coin.note]
    return Sighting(
        0,
        box,
        0,
        0,
        coin.description,
        quantity=entry.quantity,
        variety=seen[0] if seen else None,
        looked=_LOOKED[seen[1]] if seen else Looked.NOTHING,
        text=", ".join(filter(None, told)),
        is_ender=entry.is_ender,
    )
