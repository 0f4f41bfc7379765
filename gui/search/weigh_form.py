"""Weighing a pile, and the level of containers: both give a count with its spread."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from core.errors import CollectionError
from core.model.issue import Series
from core.model.search import FULL_EIGHTHS, BoxId, Container, Weighing
from core.search.containers import held_in
from core.search.weighing import (
    MOST_COINS,
    SCALE_G,
    Pile,
    Weighed,
    melting_caution,
    two_metals,
    weigh,
)
from gui.search.form import Choice, FieldTrouble, Form
from gui.search.jar_rows import level_of
from gui.segmented import Segmented
from gui.theme import S
from gui.widgets import Label, QuietButton, row

LEVELS = ("empty", "1", "2", "3", "4", "5", "6", "7", "full")
NEW_JAR = 0


def read_grams(text: str, name: str) -> float:
    """Grams; raises FieldTrouble."""
    typed = text.strip().removesuffix("g").strip().replace(",", "")
    try:
        grams = float(typed)
    except ValueError:
        raise FieldTrouble(name, f"“{text.strip()}” is no weight; write grams: 1173.6.") from None
    if not 0 < grams < 1e8:
        raise FieldTrouble(name, "A weight is above 0 g; read the scale again.")
    return grams


class WeighForm(Form):
    """Coins and grams; the count is told while one types. What cannot be says why."""

    def __init__(self, parent: QWidget | None, box: BoxId, series: Sequence[Series]) -> None:
        super().__init__(
            parent, "Weigh a pile", "A pile of coins of two weights: how many are of each."
        )
        self._box, self._series = box, series
        self.series = Choice([(s.id, s.title) for s in series], None, self, self._tell)
        self.add("Of", self.series, is_wide=True)
        self.coins = self.count(100, 1, min(MOST_COINS, 2_000_000_000))
        self.coins.selectAll()
        self.grams = self.line("", "1173.6")
        self.scale = self.line(f"{SCALE_G:g}")
        self.coins.valueChanged.connect(self._tell)
        self.grams.textChanged.connect(self._tell)
        self.scale.textChanged.connect(self._tell)
        self.add("Coins", self.coins)
        self.add("Grams, without the cup", self.grams)
        self.add("Scale is right to ± grams", self.scale)
        self.outcome = Label("", "verdict", self)
        self.wear = Label("", "body", self, wraps=True)
        self.caution = Label("", "small", self, wraps=True)
        for label in (self.outcome, self.wear, self.caution):
            self.below.addWidget(label)
        self._tell()

    def _chosen(self) -> Series:
        return next(s for s in self._series if s.id == self.series.value)

    def _weighed(self) -> Weighed:
        counted, other = two_metals(self._chosen())
        grams = read_grams(self.grams.text(), "Grams, without the cup")
        scale = read_grams(self.scale.text(), "Scale is right to ± grams")
        return weigh(Pile(self.coins.value(), grams, scale), counted, other)

    def _tell(self) -> None:
        self.outcome.setText("")
        self.wear.setText("")
        self.caution.setText("")
        try:
            counted, _ = two_metals(self._chosen())
            self.caution.setText(melting_caution(self._chosen(), counted))
            if not self.grams.text().strip():
                self.wear.setText("The count stands here as you type.")
                return
            done = self._weighed()
        except CollectionError as error:
            self.wear.setText(str(error))
            return
        first, _, wear = done.text.partition(", ")
        self.outcome.setText(f"{counted.title} {first}")
        low, high = done.between
        self.wear.setText(" ".join([f"{wear}. Between {low:,} and {high:,} in all.", *done.notes]))

    def read(self) -> Weighing:
        done = self._weighed()
        return Weighing(
            0,
            self._box,
            done.coins,
            round(read_grams(self.grams.text(), "Grams, without the cup") * 1000),
            self._chosen().id,
            done.counted.title,
            done.count,
            round(done.spread),
            done.text,
        )

    @classmethod
    def ask(cls, parent: QWidget | None, box: BoxId, series: Sequence[Series]) -> Weighing | None:
        """The pile weighed, None when it was cancelled."""
        answer = cls(parent, box, series).run()
        return answer if isinstance(answer, Weighing) else None


@dataclass(frozen=True, slots=True)
class JarAnswer:
    """A container as it shall be (id 0: a new one), or one to forget."""

    container: Container
    is_forgotten: bool = False


class JarForm(Form):
    """A container: its name, what it holds when full, its level."""

    def __init__(
        self, parent: QWidget | None, jars: Sequence[Container], denomination: str,
        chosen: int | None = None,
    ) -> None:  # fmt: skip
        super().__init__(
            parent, "Containers", "A jar or cup tells its coins by its level.", "Save", 520
        )
        self._jars = {one.id: one for one in jars}
        self._denomination = denomination
        self._shown = Container(0, "", 1000, 0, denomination)
        named: list[tuple[object, str]] = [(one.id, one.name) for one in jars]
        named.append((NEW_JAR, "a new one"))
        first = named[0][0] if chosen is None else chosen
        self.jar = Choice(named, first, self, self._show)
        self.add("Container", self.jar)
        self.name = self.line("", "red cup")
        self.add("Name", self.name)
        self.holds = self.count(1, 1, 10_000_000)
        self.add("Coins when full", self.holds)
        self.spread = self.count(0, 0, 1_000_000)
        self.add("± so many", self.spread)
        self.level = Segmented(LEVELS, "Level in eighths", self)
        self.level.chosen.connect(lambda _place: self._tell())
        self.add("Level in eighths", self.level, "On it, 0 to 8 is the level.", is_wide=True)
        for button in self.level.buttons:
            button.installEventFilter(self)
        self.count_label = Label("", "heading", self)
        self.below.addWidget(self.count_label)
        for field in (self.holds, self.spread):
            field.valueChanged.connect(self._tell)
        line = row(spacing=S)
        self.forget = QuietButton("Forget this container", self, "quiet")
        self.forget.setShortcut("Alt+Del")
        self.forget.clicked.connect(self._on_forget)
        line.addWidget(self.forget)
        line.addStretch(1)
        self.below.addLayout(line)
        self._show()
        if self._shown.id:  # one that is there: its level is what changes
            self.starts_on = self.level.buttons[self._shown.eighths]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """On the levels a digit is one of them."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            level = level_of(event)
            if level is not None:
                self.level.buttons[level].setFocus(Qt.FocusReason.OtherFocusReason)
                self.level.buttons[level].click()
                return True
        return super().eventFilter(watched, event)

    def _show(self) -> None:
        fresh = Container(0, "", 1000, 0, self._denomination)
        one = next((jar for jar in self._jars.values() if jar.id == self.jar.value), fresh)
        self._shown = one
        self.name.setText(one.name)
        self.holds.setValue(one.holds)
        self.spread.setValue(one.holds_spread)
        self.level.choose(one.eighths)
        self.forget.setVisible(one.id != 0)
        self._tell()

    def _now(self) -> Container:
        return replace(
            self._shown,
            name=self.name.text().strip(),
            holds=self.holds.value(),
            holds_spread=self.spread.value(),
            eighths=max(0, min(self.level.choice(), FULL_EIGHTHS)),
        )

    def _tell(self) -> None:
        self.count_label.setText(f"{held_in(self._now()).text} coins")

    def _on_forget(self) -> None:
        self.answer = JarAnswer(self._shown, is_forgotten=True)
        self.accept()

    def read(self) -> JarAnswer:
        made = self._now()
        if not made.name:
            raise FieldTrouble("Name", "A container needs a name.")
        return JarAnswer(made)

    @classmethod
    def ask(
        cls, parent: QWidget | None, jars: Sequence[Container], denomination: str,
        chosen: int | None = None,
    ) -> JarAnswer | None:  # fmt: skip
        """The container, None when it was cancelled. `chosen` is the one shown first (its id)."""
        answer = cls(parent, jars, denomination, chosen).run()
        return answer if isinstance(answer, JarAnswer) else None
