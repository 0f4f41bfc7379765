"""What the window remembers between two starts: theme, last file, size. An ini file."""

from pathlib import Path

from platformdirs import user_config_path, user_data_path
from PySide6.QtCore import QByteArray, QSettings

APP = "slotleaf"
THEMES = ("system", "light", "dark")


def settings_file() -> Path:
    """Where the settings lie for this user."""
    return user_config_path(APP, appauthor=False) / "window.ini"


def demo_file() -> Path:
    """Where the demo collection lies for this user."""
    return user_data_path(APP, appauthor=False) / "Harbour Museum coin jar.slotleaf"


class Settings:
    """Reads and writes the settings; a value that makes no sense counts as not set."""

    def __init__(self, path: Path | None = None) -> None:
        self._store = QSettings(str(path or settings_file()), QSettings.Format.IniFormat)

    @property
    def theme(self) -> str:
        """system, light or dark."""
        name = self._text("theme")
        return name if name in THEMES else "system"

    @theme.setter
    def theme(self, name: str) -> None:
        self._store.setValue("theme", name)

    @property
    def last_file(self) -> Path | None:
        """The collection open last, None where there is none any more."""
        text = self._text("last_file")
        return Path(text) if text and Path(text).is_file() else None

    @last_file.setter
    def last_file(self, path: Path | None) -> None:
        self._store.setValue("last_file", str(path) if path else "")

    @property
    def last_album(self) -> int:
        """The album shown last, 0 for none."""
        text = self._text("last_album")
        return int(text) if text.isdigit() else 0

    @last_album.setter
    def last_album(self, album: int) -> None:
        self._store.setValue("last_album", str(album))

    @property
    def coin_columns(self) -> str:
        """The columns of the coins table, as `layout_text` writes them; "" for the usual."""
        return self._text("coin_columns")

    @coin_columns.setter
    def coin_columns(self, text: str) -> None:
        self._store.setValue("coin_columns", text)

    @property
    def checklist(self) -> str:
        """How checklists are printed, as `Choices.text` writes it; "" for the usual."""
        return self._text("checklist")

    @checklist.setter
    def checklist(self, text: str) -> None:
        self._store.setValue("checklist", text)

    @property
    def use_rule(self) -> str:
        """What is of use at the table, as `UseRule.text` writes it; "" for the usual."""
        return self._text("use_rule")

    @use_rule.setter
    def use_rule(self, text: str) -> None:
        self._store.setValue("use_rule", text)

    @property
    def plan(self) -> str:
        """Budget and aim of the upgrades, as `plan_text` writes them; "" for the usual."""
        return self._text("plan")

    @plan.setter
    def plan(self, text: str) -> None:
        self._store.setValue("plan", text)

    @property
    def geometry(self) -> QByteArray | None:
        """The window's size and place."""
        value = self._store.value("geometry")
        return value if isinstance(value, QByteArray) else None

    @geometry.setter
    def geometry(self, value: QByteArray) -> None:
        self._store.setValue("geometry", value)

    def save(self) -> None:
        """Write to the file now."""
        self._store.sync()

    def _text(self, key: str) -> str:
        value = self._store.value(key, "")
        return value if isinstance(value, str) else ""
