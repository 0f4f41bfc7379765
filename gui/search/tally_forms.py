"""What is counted: the coin on the line in two keys, the set of a denomination, by date."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QDialog, QListWidget, QListWidgetItem, QWidget

from core.app.look_up import Looked
from core.errors import BadEntry
from core.model.issue import Facet, Series
from core.model.label import describe
from core.model.search import BoxId, Tally, TallyRule, parse_rule
from core.search.packaging import tallies_to_start_with
from core.search.tally import DateCount, Tallier, by_date
from gui.desk import Desk
from gui.search.box_head import name_of_coins
from gui.search.form import Form
from gui.search.plain_table import PlainTable
from gui.segmented import Segmented
from gui.theme import XL, L, M, S
from gui.widgets import (
    EmptyState,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    column,
    key_line,
    key_text,
    make_menu,
    row,
)

if TYPE_CHECKING:
    from core.app.collection import Collection

LINE_PX = 28
SPANS = ("Roll", "Box", "Search", "Campaign")


def tally_choices(looked: Looked, series: Sequence[Series]) -> list[tuple[str, TallyRule]]:
    """What the line may be counted as, what it says itself first."""
    command = looked.command
    if command is not None:
        name = command.counter
        return [(name.capitalize(), TallyRule.of(counters=[name]))] if name else []
    found: dict[str, TallyRule] = {}
    for answer in looked.readings:
        description = answer.entry.coin.description
        known = next((s for s in series if s.id == description.series), None)
        if known is None:
            continue
        for variety, _ in answer.entry.coin.varieties:
            shown = known.variety(variety)
            found.setdefault(
                shown.name if shown else variety, TallyRule.of([known.id], varieties=[variety])
            )
        whole = describe(known, description)
        found.setdefault(whole, TallyRule.of_description(description))
        date, mint = description.only(Facet.DATE), description.only(Facet.MINT)
        if date is not None and date.isdecimal():
            year = int(date)
            found.setdefault(date, TallyRule.of([known.id], {Facet.DATE: date}))
            decade = year - year % 10
            found.setdefault(
                f"{decade}s", TallyRule.of([known.id], from_year=decade, to_year=decade + 9)
            )
            found.setdefault(f"Before {year + 1}", TallyRule.of([known.id], to_year=year))
        if mint:
            found.setdefault(f"{mint} mint", TallyRule.of([known.id], {Facet.MINT: mint}))
        metal = {issue.composition for issue in known.matching(description)}
        if len(metal) == 1 and len(known.compositions) > 1:
            one = metal.pop()
            title = known.composition(one).title
            found.setdefault(
                title[:1].upper() + title[1:], TallyRule.of([known.id], {Facet.COMPOSITION: one})
            )
    return list(found.items())


class TallyMenu:
    """Asks which of the choices is meant: Enter takes the first."""

    @staticmethod
    def ask(parent: QWidget, names: Sequence[str]) -> int | None:
        """The place of the one chosen, None for none."""
        menu = make_menu(parent)
        actions = [menu.addAction(f"Tally {name}".replace("&", "&&")) for name in names]
        menu.setActiveAction(actions[0])
        chosen = menu.exec(parent.mapToGlobal(QPoint(0, parent.height() + 2)))
        menu.deleteLater()
        return actions.index(chosen) if chosen in actions else None


class TalliesForm(Form):
    """The set of a denomination: names and rules, in order."""

    def __init__(self, parent: QWidget | None, denomination: str, tallies: Sequence[Tally]) -> None:
        coins = name_of_coins(denomination)
        super().__init__(
            parent,
            f"Tallies of {coins}",
            "One set for all boxes of this kind. A rule names series, facets, years, variety, "
            "counter or answer: series=us-cent-lincoln; mint=S; years=..1939.",
            "Save",
            620,
        )
        self._denomination = denomination
        self.tallies = list(tallies)
        self.list = QListWidget(self)
        self.list.setAccessibleName("Tallies")
        self.list.setFixedHeight(8 * LINE_PX + S)
        self.list.currentRowChanged.connect(self._on_row)
        self.add("Counted", self.list, is_wide=True)
        self.name, self.rule = self.line(""), self.line("")
        self.rule.setMaxLength(2000)
        self.add("Name", self.name)
        self.add("Rule", self.rule)
        self.name.textEdited.connect(self._on_edited)
        self.rule.textEdited.connect(self._on_edited)
        line = row(spacing=S)
        for text, key, tip, act in (
            ("Add", "Alt+N", "Another one below", self._on_add),
            ("Take out", "Alt+Del", "Count it no longer", self._on_out),
            ("Up", "Alt+Up", "Move it up", lambda: self._move(-1)),
            ("Down", "Alt+Down", "Move it down", lambda: self._move(1)),
            ("As shipped", "Alt+H", "The set that comes with the program", self._on_shipped),
        ):
            button = QuietButton(text, self)
            button.setShortcut(key)
            button.setToolTip(f"{tip} ({key_text(key)})")
            button.clicked.connect(act)
            button.setEnabled(text != "As shipped" or bool(tallies_to_start_with(denomination)))
            line.addWidget(button)
        line.addStretch(1)
        self.below.addLayout(line)
        self._rules = [one.rule.text for one in self.tallies]
        self._fill(0)

    def _fill(self, at: int) -> None:
        self.list.blockSignals(True)
        self.list.clear()
        for one in self.tallies:
            item = QListWidgetItem(f" {one.name}")
            item.setSizeHint(QSize(0, LINE_PX))
            self.list.addItem(item)
        self.list.blockSignals(False)
        self.list.setCurrentRow(min(at, len(self.tallies) - 1))
        self._on_row(self.list.currentRow())

    def _on_row(self, at: int) -> None:
        is_one = 0 <= at < len(self.tallies)
        self.name.setText(self.tallies[at].name if is_one else "")
        self.rule.setText(self._rules[at] if is_one else "")
        self.rule.setCursorPosition(0)  # a long rule is read from its beginning
        self.name.setEnabled(is_one)
        self.rule.setEnabled(is_one)

    def _on_edited(self) -> None:
        at = self.list.currentRow()
        if 0 <= at < len(self.tallies):
            self.tallies[at] = replace(self.tallies[at], name=self.name.text())
            self._rules[at] = self.rule.text()
            self.list.item(at).setText(f" {self.name.text()}")

    def _on_add(self) -> None:
        self.tallies.append(Tally(0, self._denomination, "", TallyRule()))
        self._rules.append("")
        self._fill(len(self.tallies) - 1)
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_out(self) -> None:
        at = self.list.currentRow()
        if 0 <= at < len(self.tallies):
            del self.tallies[at], self._rules[at]
            self._fill(max(0, at - 1))

    def _move(self, step: int) -> None:
        at = self.list.currentRow()
        to = at + step
        if 0 <= at < len(self.tallies) and 0 <= to < len(self.tallies):
            self.tallies.insert(to, self.tallies.pop(at))
            self._rules.insert(to, self._rules.pop(at))
            self._fill(to)

    def _on_shipped(self) -> None:
        self.tallies = list(tallies_to_start_with(self._denomination))
        self._rules = [one.rule.text for one in self.tallies]
        self._fill(0)

    def read(self) -> tuple[Tally, ...]:
        made = []
        for at, (one, text) in enumerate(zip(self.tallies, self._rules, strict=True)):
            try:
                rule = parse_rule(text)
            except BadEntry as error:
                self.list.setCurrentRow(at)
                raise BadEntry(f"{one.name or 'A tally'}: {error}") from error
            made.append(replace(one, rule=rule))
        return tuple(made)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.list.hasFocus():
            self.name.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        super().keyPressEvent(event)

    @classmethod
    def ask(
        cls, parent: QWidget | None, denomination: str, tallies: Sequence[Tally]
    ) -> tuple[Tally, ...] | None:
        """The set as it shall be, None when it was cancelled."""
        answer = cls(parent, denomination, tallies).run()
        return answer if isinstance(answer, tuple) else None


class DatesDialog(QDialog):
    """Counts by date, for the roll, the box, the search or the campaign."""

    def __init__(self, parent: QWidget | None, desk: Desk, box: BoxId) -> None:
        super().__init__(parent)
        self.setWindowTitle("By date")
        self.resize(560, 600)
        self._desk, self._box = desk, box
        outer = column(self, (XL, XL, XL, L), M)
        outer.addWidget(Label("By date", "heading", self))
        self.span = Segmented(SPANS, "Counted over", self)
        self.span.choose(1)
        self.span.chosen.connect(lambda _place: self.read())
        outer.addWidget(self.span)
        self.table = PlainTable("Counts by date", self)
        self.empty = EmptyState("Nothing dated here yet", "Keep or count a coin.", parent=self)
        outer.addWidget(self.table, 1)
        outer.addWidget(self.empty, 1)
        self.sum = Label("", "small", self)
        outer.addWidget(self.sum)
        line = row(spacing=S)
        line.addLayout(key_line(self, (("← →", "over what"),)), 1)
        line.addWidget(KeyHint("Esc", self), 0, Qt.AlignmentFlag.AlignVCenter)
        close = PrimaryButton("Close", self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        line.addWidget(close)
        outer.addLayout(line)
        self.span.buttons[1].setFocus(Qt.FocusReason.OtherFocusReason)
        self.read()

    def read(self) -> None:
        """Count anew, over what is chosen."""
        place, box = self.span.choice(), self._box

        def question(collection: "Collection") -> tuple[tuple[DateCount, ...], dict[str, str]]:
            log = collection.log
            facts = log.facts(box)
            every = log.all_facts()
            some = {
                0: (facts,),
                1: (facts,),
                2: tuple(f for f in every if f.search == facts.search),
                3: tuple(f for f in every if f.campaign == facts.campaign),
            }[place]
            known = {s.id: s for s in collection.all_series()}
            counts = by_date(Tallier(known), some, facts.at_roll if place == 0 else None)
            return counts, {str(s.id): s.title for s in known.values()}

        self._desk.ask(question, self._show)

    def _show(self, found: tuple[tuple[DateCount, ...], dict[str, str]]) -> None:
        counts, titles = found
        many = len({one.series for one in counts}) > 1
        rows = []
        for one in counts:
            said = ", ".join(f"{n} × {name}" if n > 1 else name for name, n in one.said)
            date = f"{titles.get(one.series, '')} {one.date}" if many else one.date
            rows.append((date, said or "none, fully logged", f"{one.kept:,}", f"{one.seen:,}"))
        self.table.show_rows(("Date", "As", "Kept", "Seen"), rows, 2)
        self.table.setVisible(bool(rows))
        self.empty.setVisible(not rows)
        kept, seen = sum(one.kept for one in counts), sum(one.seen for one in counts)
        self.sum.setText(f"{kept:,} kept, {seen:,} seen" if rows else "")

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, box: BoxId) -> None:
        """Show the counts until they are closed."""
        dialog = cls(parent, desk, box)
        dialog.exec()
        dialog.deleteLater()
