"""What the coins workspace orders: each is one operation, so one step of undo."""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from core.app.changes import Changes
from core.app.views import CoinRow
from core.app.work import Progress
from core.model.album import SlotId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.issue import Series, SeriesId
from gui.coins.many import Shared, shared
from gui.coins.rows import coin_name
from gui.desk import Desk

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.finding import CoinPlaces

Then = Callable[[Changes], None]
Failed = Callable[[Exception], None]
GoTo = Callable[[int, int], None]
"""Show an album (its id) at a slot (its id)."""


class CoinOrders:
    """Orders for one coin or many; dialogs open over `parent`."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        self._desk, self._parent = desk, parent

    def add(self, coin: Coin, then: Then, failed: Failed) -> None:
        """Add a coin as a spare."""
        from core.app.operations import add_coins

        self._desk.run(add_coins([coin]), then, failed=failed)

    def save(self, coin: Coin, then: Then, failed: Failed) -> None:
        """Set all that is known of a coin."""
        from core.app.operations import edit_coins

        self._desk.run(edit_coins([coin]), then, failed=failed)

    def let_go(self, rows: Sequence[CoinRow]) -> None:
        """Coins that are gone; those that were gone before stay so."""
        from core.app.operations import let_go

        coins = [row.coin.id for row in rows if row.coin.status is not CoinStatus.GONE]
        if not coins:
            return
        count = "A coin is" if len(coins) == 1 else f"{len(coins):,} coins are"
        said = f"{count} let go. Ctrl+Z brings back what is gone."
        self._desk.run(let_go(coins), lambda _changes: self._desk.told.emit(said))

    def put(
        self, coin: CoinId, slot: SlotId, said: str, then: Callable[[], None] | None = None
    ) -> None:
        """A coin goes into a slot; what was there becomes a spare."""
        from core.app.operations import place_coin

        def done(_changes: Changes) -> None:
            self._desk.told.emit(said)
            if then is not None:
                then()

        self._desk.run(place_coin(coin, slot), done)

    def ask_places(self, row: CoinRow, go_to: GoTo) -> None:
        """Ask which slot a coin goes to, then go there or put it in."""
        coin = row.coin.id

        def question(collection: "Collection", progress: Progress) -> "CoinPlaces":
            return collection.places_for_coin(coin, progress)

        self._desk.ask_long(
            question, lambda found: self._show_places(row, found, go_to), None, "Looking for slots"
        )

    def _show_places(self, row: CoinRow, found: "CoinPlaces", go_to: GoTo) -> None:
        from gui.coins.places_dialog import PlacesDialog

        title = f"Coin {row.coin.id}: {coin_name(row)} {row.grade}".rstrip()
        may_put = found.coin.status is CoinStatus.HELD and not self._desk.is_read_only
        answer = PlacesDialog.ask(self._parent, f"{title}, {row.series_title}", found, may_put)
        if answer is None:
            return
        place = answer.place
        if answer.is_put:
            said = f"Coin {row.coin.id} is in {place.album_name}, {place.label}."
            self.put(row.coin.id, place.slot, said)
        else:
            go_to(int(place.album), int(place.slot))

    def edit_many(self, rows: Sequence[CoinRow], series: Mapping[SeriesId, Series]) -> None:
        """Ask for one change to all of these; what they share is looked up off the screen."""

        def currency(row: CoinRow) -> str:
            known = series.get(row.coin.description.series)
            return known.currency if known is not None else ""

        def issuer(row: CoinRow) -> str:
            known = series.get(row.coin.description.series)
            return known.issuer if known is not None else ""

        def work(_progress: Progress) -> Shared:
            return shared(rows, currency, issuer)

        self._desk.runner.submit_drawing(work, lambda common: self._ask_many(rows, common))

    def _ask_many(self, rows: Sequence[CoinRow], common: Shared) -> None:
        from gui.coins.many_dialog import ManyDialog

        coins = [row.coin.id for row in rows]
        if ManyDialog.ask(self._parent, self._desk, coins, common):
            self._desk.told.emit(f"{len(coins):,} coins changed. One undo takes it back: Ctrl+Z.")

    def paste(self, series: Sequence[Series], prefer: SeriesId | None) -> None:
        """Show what the clipboard's text would give, and add it where it is wanted."""
        from gui.coins.paste import MOST_CHARS
        from gui.coins.paste_dialog import PasteDialog

        text = QGuiApplication.clipboard().text()
        if not text.strip():
            self._desk.told.emit(
                "There is no text on the clipboard. Copy rows of a sheet, or lines such as "
                "1943-D vf20, and paste again."
            )
            return
        if len(text) > MOST_CHARS:
            self._desk.told.emit("That is too much to paste. Save it as a file and import it.")
            return
        count = PasteDialog.ask(self._parent, self._desk, text, series, prefer)
        if count:
            many = "A coin is" if count == 1 else f"{count:,} coins are"
            self._desk.told.emit(f"{many} added. One undo takes all back: Ctrl+Z.")

    def copy(self, rows: Sequence[CoinRow], series: Mapping[SeriesId, Series]) -> None:
        """Put rows on the clipboard, as a spreadsheet takes them and as they paste back."""
        coins = [row.coin for row in rows]

        def work(progress: Progress) -> str:
            from core.app.exchange import rows_text

            return rows_text(coins, progress, series)

        many = "A coin is" if len(coins) == 1 else f"{len(coins):,} coins are"

        def copied(text: str) -> None:
            QGuiApplication.clipboard().setText(text)
            self._desk.told.emit(f"{many} on the clipboard, as rows with their heads.")

        self._desk.runner.submit_drawing(work, copied)
