"""The form of a box: what the bank handed over, where it came from, what it cost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCompleter, QLineEdit, QWidget

from core.errors import BadEntry
from core.model.money import money_text
from core.model.search import (
    MOST_PER_ROLL,
    MOST_ROLLS,
    Box,
    BoxId,
    BoxKind,
    Search,
    SearchId,
    require_box,
)
from core.search.packaging import Packaging, packaging, packagings
from gui.coins.draft import read_money
from gui.search.box_head import name_of_coins
from gui.search.form import Choice, FieldTrouble, Form, year_of
from gui.segmented import Segmented
from gui.theme import S
from gui.widgets import Label, row

KINDS = tuple(BoxKind)
NEW_SEARCH = -1


@dataclass(frozen=True, slots=True)
class BoxAnswer:
    """The box; and the name of a search to begin with it, "" where its search is there."""

    box: Box
    new_search: str = ""


@dataclass(frozen=True, slots=True)
class Beside:
    """What a box form offers: searches to lie under, and what other boxes had."""

    searches: tuple[Search, ...]
    boxes: tuple[Box, ...]
    number: int
    denominations: tuple[str, ...] = ()


def caution(wraps: Packaging | None, rolls: int, per_roll: int) -> str:
    """What a box weighs, and how to lift it."""
    if wraps is None:
        return "Boxes of coins are heavy: lift with the legs, ask for help."
    kilos = rolls * per_roll * wraps.coin_mg / 1_000_000
    weight = f"{kilos:.0f} kg" if kilos >= 2 else f"{kilos:.1f} kg"
    if kilos < 3:
        return f"Coins alone weigh about {weight}."
    return f"Weighs about {weight} without the box: lift with the legs, ask for help."


def first_box(beside: Beside) -> Box:
    """The box that a form for a new one begins with: as the last one was."""
    last = max(beside.boxes, key=lambda one: (one.begun, one.id), default=None)
    if last is not None:
        return replace(
            last, id=BoxId(0), number=beside.number, begun=_today(), seconds=0, at_roll=1,
            reached=1, is_done=False, note="", fees_minor=None,
        )  # fmt: skip
    key = beside.denominations[0] if beside.denominations else packagings()[0].key
    wraps = packaging(key)
    assert wraps is not None
    return Box(
        BoxId(0), SearchId(0), beside.number, _today(), key, wraps.rolls or 1, wraps.per_roll,
        face_minor=wraps.face_of_box_minor, currency=wraps.currency,
    )  # fmt: skip


class BoxForm(Form):
    """A new box, or one to correct."""

    def __init__(self, parent: QWidget | None, beside: Beside, box: Box | None) -> None:
        is_new = box is None
        shown = box or first_box(beside)
        title = f"New box {shown.number}" if is_new else f"Box {shown.number}"
        super().__init__(parent, title, "", "Begin" if is_new else "Save", 620)
        self._box, self._is_new, self._beside = shown, is_new, beside
        self._build(shown, beside, is_new)
        self._show_weight()

    def _build(self, shown: Box, beside: Beside, is_new: bool) -> None:
        named = [(one.key, _words(one)) for one in packagings()]
        if shown.denomination not in {key for key, _ in named}:
            named.append((shown.denomination, shown.denomination))
        self.coins = Choice(named, shown.denomination, self, self._on_coins)
        self.add("Coins", self.coins)
        sizes = row(spacing=S)
        self.rolls = self.count(shown.rolls, 1, MOST_ROLLS)
        self.per_roll = self.count(shown.per_roll, 1, MOST_PER_ROLL)
        self.rolls.setAccessibleName("Rolls")
        self.per_roll.setAccessibleName("Coins a roll")
        holder = QWidget(self)
        holder.setLayout(sizes)
        for field, word in ((self.rolls, "rolls of"), (self.per_roll, "coins")):
            field.valueChanged.connect(self._show_weight)
            sizes.addWidget(field, 1)
            sizes.addWidget(Label(word, "mute", self))
        self.add("How many", holder)
        self.kind = Segmented([str(kind.value) for kind in KINDS], "Kind", self)
        self.kind.choose(KINDS.index(shown.kind))
        hint = "New coins and what you returned yourself stay out of “usual”."
        self.add("Kind", self.kind, hint, is_wide=True)
        self.came_from = self._known(shown.came_from, "north branch", "came_from")
        self.wrapper = self._known(shown.wrapper, "machine wrapped", "wrapper")
        self.add("Where from", self.came_from)
        self.add("Wrapper", self.wrapper)
        self.face = self.line(_money(shown.face_minor, shown.currency))
        self.fees = self.line(_money(shown.fees_minor, shown.currency), "0.00")
        self._face_name = f"Face value, {shown.currency or 'money'}"
        self.face_field = self.add(self._face_name, self.face)
        self.add("Fees", self.fees)
        self.goes_to = self._known(shown.goes_to, "south branch", "goes_to")
        self.add("Searched coin goes to", self.goes_to)
        before = "" if shown.nothing_before is None else str(shown.nothing_before)
        self.before = self.line(before, "any year")
        self.add("Nothing before", self.before, "Dates before it are not asked about.")
        self.number = self.count(shown.number, 1, 1_000_000)
        self.add("Number", self.number)
        found = [(one.id, one.name) for one in beside.searches]
        if is_new:
            found.append((SearchId(NEW_SEARCH), "a new search"))
        chosen = shown.search if any(one.id == shown.search for one in beside.searches) else None
        self.search = Choice(found, chosen or (found[-2 if len(found) > 1 and is_new else -1][0]),
                             self)  # fmt: skip
        self.add("Search", self.search)
        self.weight = Label("", "small", self, wraps=True)
        self.below.addWidget(self.weight)

    def _known(self, text: str, placeholder: str, name: str) -> QLineEdit:
        """A line that knows what other boxes had there."""
        field = self.line(text, placeholder)
        known = sorted({str(getattr(one, name)) for one in self._others()} - {""})
        completer = QCompleter(known, field)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        field.setCompleter(completer)
        return field

    def _others(self) -> Sequence[Box]:
        return self._beside.boxes

    def _on_coins(self) -> None:
        """Another denomination fills in how it is handed over."""
        wraps = packaging(str(self.coins.value))
        if wraps is None:
            return
        self.per_roll.setValue(wraps.per_roll)
        self.rolls.setValue(wraps.rolls or self.rolls.value())
        self._box = replace(self._box, currency=wraps.currency)
        self.face_field.name.setText(f"FACE VALUE, {wraps.currency}")
        self._show_weight()

    def _show_weight(self) -> None:
        wraps = packaging(str(self.coins.value))
        rolls, per_roll = self.rolls.value(), self.per_roll.value()
        self.weight.setText(caution(wraps, rolls, per_roll))
        if wraps is not None and self._is_new:
            self.face.setText(_money(rolls * per_roll * wraps.face_minor, wraps.currency))

    def read(self) -> BoxAnswer:
        face = self._amount(self.face, self._face_name)
        fees = self._amount(self.fees, "Fees")
        is_new_search = self.search.value == NEW_SEARCH
        box = replace(
            self._box,
            search=SearchId(0) if is_new_search else SearchId(int(str(self.search.value))),
            number=self.number.value(),
            denomination=str(self.coins.value),
            rolls=self.rolls.value(),
            per_roll=self.per_roll.value(),
            came_from=self.came_from.text(),
            wrapper=self.wrapper.text(),
            kind=KINDS[max(0, self.kind.choice())],
            face_minor=face,
            fees_minor=fees,
            goes_to=self.goes_to.text(),
            nothing_before=year_of(self.before, "Nothing before"),
        )
        require_box(box)
        name = f"{name_of_coins(box.denomination)} {box.begun.year}" if is_new_search else ""
        return BoxAnswer(box, name)

    def _amount(self, field: QLineEdit, name: str) -> int | None:
        try:
            return read_money(field.text(), self._box.currency)
        except BadEntry as error:
            raise FieldTrouble(name, str(error)) from error

    @classmethod
    def ask(
        cls, parent: QWidget | None, beside: Beside, box: Box | None = None
    ) -> BoxAnswer | None:
        """A new box, or one changed; None when it was cancelled."""
        answer = cls(parent, beside, box).run()
        return answer if isinstance(answer, BoxAnswer) else None


def _today() -> date:
    return date.today()  # noqa: DTZ011 (the day by the collector's clock)


def _words(one: Packaging) -> str:
    told = name_of_coins(one.key)
    return f"{one.key}, {told}" if told != one.key else one.key


def _money(minor: int | None, currency: str) -> str:
    return "" if minor is None else money_text(minor, currency)
