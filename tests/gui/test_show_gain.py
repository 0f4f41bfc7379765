"""Show on the leaf: squares for what a purchase gains for its money."""

from collections.abc import Iterator
from datetime import date

import pytest
from PySide6.QtWidgets import QApplication

from core.app.plan_choices import choose_purchase
from core.app.price_orders import set_prices
from core.lookup.parse import parse_entry
from core.model.album import SlotId
from core.model.plan_choice import ChoiceKind, Listed
from core.model.prices import Price, PriceId
from gui.album.show_gain import fifths
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("gain")
    opened = open_window(qapp, folder, small_collection(folder / "drawer.slotleaf"))
    yield opened
    close_window(opened)


def test_fifths_run_from_one_to_five_and_equals_share_the_better() -> None:
    slots = {SlotId(n): float(n) for n in range(10)}
    assert sorted(fifths(slots).values()) == [1, 1, 2, 2, 3, 3, 4, 4, 5, 5]
    assert set(fifths(dict.fromkeys(slots, 2.0)).values()) == {5}
    assert fifths({}) == {}


def test_squares_stand_for_gain_by_price_and_follow_new_prices(window: OpenWindow) -> None:
    window.duties.actions["show_gain"].trigger()
    words = window.albums.centre.words
    assert words is not None
    assert "Gain for the money" in words.line
    assert words.by_slot[window.slot("1943-D").id] == "spare"
    assert "not priced" in words.line
    series = window.view.series
    made = [
        Price(PriceId(0), parse_entry(f"{year}-S vf20", [series]).coin.description, 20, minor,
              "USD", date(2026, 11, 1))
        for year, minor in ((1942, 100), (1943, 200), (1944, 400), (1945, 800))
    ]  # fmt: skip
    window.desk.run(set_prices(made))
    words = window.albums.centre.words
    assert words is not None
    squares = [len(words.by_slot[window.slot(f"{y}-S").id]) for y in (1942, 1943, 1944, 1945)]
    assert squares == sorted(squares, reverse=True)
    assert squares[0] > squares[-1]
    assert "closes the gap for 1.00 USD" in window.state("1942-S")
    slot = window.slot("1942-S").id
    window.desk.run(choose_purchase(slot, Listed(made[0].description, 20), ChoiceKind.FORBIDDEN))
    words = window.albums.centre.words
    assert words is not None
    assert slot not in words.by_slot, "what was forbidden gains nothing"
    window.duties.actions["show_all"].trigger()
    assert window.albums.centre.words is None
