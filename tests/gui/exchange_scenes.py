"""The scenes of coins going in as a sheet, for the contact sheets."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QWidget

from core.app.operations import place_coin
from gui.exchange.import_dialog import ImportDialog
from tests.builders import a_coin, nickels
from tests.gui.desk_material import a_desk, an_album, collection_of, with_coins

HAND = (
    "coin,album,slot,came from,note,tray\n"
    "1943-D vf20,Nickels 1938–1964,1943-D,Maren,,B\n"
    "1944-P f12,,,,,B\n"
    "1941 g4 bent,,,jar,first scoop,\n"
    "3 x 1958-D,,,,,\n"
    "1950-D au50 details cleaned,Nickels 1938–1964,1950-D,,,\n"
    "44 ?,,,,,\n"
)
FAULTY = (
    "coin,number,album,slot,since,grade,quantity\n"
    "1943-D,,Nickels 1938–1964,1943-D,soon,,\n"
    "1850 vf20,,,,,,\n"
    "1944-P,7,Nickels 1938–1964,1944-P,2026-02-30,zz9,3\n"
    "1944-D,7,Dimes,1944-D,,,\n"
    "1946,,Nickels 1938–1964,1946-D,,,\n"
    "1947,,Nickels 1938–1964,1947,,,\n"
    "1947,,Nickels 1938–1964,1947,,,\n"
    '"1948 "open,,,,,,\n'
)


def _dialog(folder: Path, text: str, name: str = "from the tin.csv", size: int = 1040) -> QWidget:
    desk = a_desk(folder)
    album = an_album(desk)
    with_coins(desk, [a_coin("1943", "D", "vg8", series=nickels())])
    collection = collection_of(desk)
    slot = collection.find_slot(collection.album_view(album).album, "1942")
    collection.run(place_coin(collection.coin_rows()[0].coin.id, slot.id, may_be_wrong=True))
    path = folder / name
    path.write_text(text, encoding="utf-8")
    dialog = ImportDialog(None, desk, path)
    dialog.resize(size, 680)
    dialog.show()
    return dialog


def _many() -> str:
    rows = [f"{1938 + at % 25},long story {at}: " + "found under the harbour stairs, " * 4
            for at in range(400)]  # fmt: skip
    return "date;note;mint;odd column with a long name\n" + "".join(
        f"{row.split(',')[0]};{row.partition(',')[2]};{'P' if at % 2 else ''};x\n"
        for at, row in enumerate(rows)
    )


def _reading(folder: Path) -> QWidget:
    dialog = _dialog(folder, HAND)
    assert isinstance(dialog, ImportDialog)
    dialog.give_button.setEnabled(False)
    dialog.share.setValue(380)
    dialog.pages.setCurrentWidget(dialog.wait)
    return dialog


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "import": lambda folder: _dialog(folder, HAND),
    "import-faults": lambda folder: _dialog(folder, FAULTY),
    "import-many": lambda folder: _dialog(folder, _many(), "a name of many words " * 8 + ".csv"),
    "import-wide": lambda folder: _dialog(folder, FAULTY, size=1600),
    "import-reading": _reading,
    "import-nothing": lambda folder: _dialog(folder, "coin,note\n"),
    "import-odd": lambda folder: _dialog(folder, "a;b\n1;2\n"),
}
