"""A desk over a real collection file, for the tests of panels and dialogs; jobs run at once."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from core.app.collection import Collection, make_collection
from core.app.operations import add_album, add_coins
from core.model.album import AlbumId, Target
from core.model.arrangement import Arrangement
from core.model.coin import Coin
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, Varieties
from gui.desk import Desk
from gui.work import InlineRunner, Runs

DAY = date(2026, 3, 2)
NICKELS = SeriesId("us-nickel-jefferson")
CENTS = SeriesId("us-cent-lincoln")


def a_desk(folder: Path, runner: Runs | None = None, name: str = "Donation jar") -> Desk:
    """A desk with a new, empty collection open."""
    path = folder / "jar.slotleaf"
    make_collection(path, name)
    desk = Desk(runner or InlineRunner(_raise))
    desk.open(path)
    return desk


def _raise(error: Exception) -> None:
    raise error


def collection_of(desk: Desk) -> Collection:
    """The collection itself, to look at what was written."""
    collection = desk._collection
    assert collection is not None
    return collection


def an_album(
    desk: Desk,
    name: str = "Nickels 1938–1964",
    series: SeriesId = NICKELS,
    years: tuple[int, int] | None = (1938, 1964),
    target: Target | None = None,
    arrangement: Arrangement | None = None,
    varieties: Varieties = Varieties.NONE,
    mints: tuple[str, ...] = (),
) -> AlbumId:
    """Add an album."""
    plan = AlbumPlan(years, mints, varieties, target)
    made = (
        collection_of(desk)
        .run(add_album(name, series, plan, arrangement or Arrangement()))
        .made_album
    )
    assert made is not None
    return made


def with_coins(desk: Desk, coins: Sequence[Coin]) -> None:
    """Add coins as spares."""
    collection_of(desk).run(add_coins(coins))
