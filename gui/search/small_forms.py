"""Small forms of the table: a roll, an entry, dates fully logged, what is of use."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from PySide6.QtWidgets import QWidget

from core.app.compare import kept_coin, own_note, was_one_of
from core.app.look_up import UseRule
from core.app.search_views import FindLine, RollView, SeenLine
from core.app.views import AlbumSummary
from core.lookup.line import Line
from core.lookup.parse import Entry
from core.model.coin import Coin
from core.model.issue import Facet, Series
from core.model.search import MOST_COUNTED, MOST_PER_ROLL, BoxId, Claim
from gui.flow_layout import FlowLayout
from gui.search.form import Choice, FieldTrouble, Form, year_of
from gui.widgets import Chip

ReadLine = Callable[[str], Line]
_SET = re.compile(r", one of \d+$|(?<=\?) \([^()]*\)$")
"""What a label adds to the varieties that one is not settled among: the entry goes without."""


@dataclass(frozen=True, slots=True)
class RollAnswer:
    """How many coins a roll had (None: as the others), and whether it is skipped."""

    coins: int | None
    is_skipped: bool


class RollForm(Form):
    """A short, long or wrong roll, or one that is not searched."""

    def __init__(self, parent: QWidget | None, roll: RollView, per_roll: int) -> None:
        super().__init__(parent, f"Roll {roll.shown}", "", "Save", 420)
        self._per_roll = per_roll
        self.coins = self.count(roll.coins, 1, MOST_PER_ROLL)
        self.coins.selectAll()
        self.add("Coins in it", self.coins, f"The others have {per_roll:,}.")
        holder = QWidget(self)
        flow = FlowLayout(holder)
        self.skipped = Chip("skipped: not searched", None, holder)
        self.skipped.setChecked(roll.is_skipped)
        flow.addWidget(self.skipped)
        self.add("Search", holder)

    def read(self) -> RollAnswer:
        coins = self.coins.value()
        return RollAnswer(None if coins == self._per_roll else coins, self.skipped.isChecked())

    @classmethod
    def ask(cls, parent: QWidget | None, roll: RollView, per_roll: int) -> RollAnswer | None:
        """What is different of the roll, None when it was cancelled."""
        answer = cls(parent, roll, per_roll).run()
        return answer if isinstance(answer, RollAnswer) else None


@dataclass(frozen=True, slots=True)
class EntryAnswer:
    """An entry as edited: roll counted in the box; `entry` None where the words stayed."""

    entry: Entry | None
    roll: int
    is_ender: bool
    quantity: int = 1
    text: str = ""
    counter: str = ""


class EntryForm(Form):
    """One find or sighting: the entry in the words of the line, its roll, if it was an ender."""

    def __init__(
        self, parent: QWidget | None, line: FindLine | SeenLine, words: str, rolls: int,
        before: int, read: ReadLine,
    ) -> None:  # fmt: skip
        self._is_find = isinstance(line, FindLine)
        one = line.find if isinstance(line, FindLine) else line.sighting
        title = "A coin kept" if self._is_find else "A coin counted"
        super().__init__(parent, title, "", "Save", 480)
        self._words, self._read_line, self._before = words, read, before
        is_counter = isinstance(line, SeenLine) and line.sighting.description is None
        self.entry = self.line(words)
        self.entry.selectAll()
        name = "Counter" if is_counter else "Entry"
        hint = "" if is_counter else "Written as on the line: 43-D vf20 cleaned."
        self._name = name
        self.add(name, self.entry, hint, is_wide=True)
        self.roll = self.count(one.roll + before, 1 + before, rolls + before)
        self.add("Roll", self.roll)
        holder = QWidget(self)
        flow = FlowLayout(holder)
        self.ender = Chip("seen at the roll's end", None, holder)
        self.ender.setChecked(one.is_ender)
        flow.addWidget(self.ender)
        self.add("Ender", holder)
        self.quantity = self.count(1, 1, MOST_COUNTED)
        self.note = self.line("")
        if isinstance(line, SeenLine):
            self.quantity.setValue(line.sighting.quantity)
            self.note.setText(line.sighting.text)
            self.add("How many", self.quantity)
            self.add("Note", self.note)
        else:
            self.quantity.hide()
            self.note.hide()
        self._is_counter = is_counter

    def read(self) -> EntryAnswer:
        typed = " ".join(self.entry.text().split())
        roll, is_ender = self.roll.value() - self._before, self.ender.isChecked()
        quantity, note = self.quantity.value(), self.note.text().strip()
        if self._is_counter:
            counter = typed.removeprefix("+").strip()
            if not counter:
                raise FieldTrouble(self._name, "Name the counter, such as foreign.")
            return EntryAnswer(None, roll, is_ender, quantity, note, counter)
        entry = None if typed == self._words else self._read(typed)
        return EntryAnswer(entry, roll, is_ender, quantity, note)

    def _read(self, typed: str) -> Entry:
        read = self._read_line(typed)
        if read.trouble:
            raise FieldTrouble(self._name, read.trouble)
        if read.unfinished:
            raise FieldTrouble(self._name, f"“{read.unfinished}” cannot be read.")
        if read.command is not None or not read.entries:
            raise FieldTrouble(self._name, "Write a coin: date, letter, then what you know.")
        if len(read.entries) > 1:
            dates = (entry.coin.description.only(Facet.DATE) or "" for entry in read.entries)
            names = " or ".join(dict.fromkeys(dates))
            raise FieldTrouble(self._name, f"It can be {names}; write the date in full.")
        return read.entries[0]

    @classmethod
    def ask(
        cls, parent: QWidget | None, line: FindLine | SeenLine, words: str, rolls: int,
        before: int, read: ReadLine,
    ) -> EntryAnswer | None:  # fmt: skip
        """The entry as it shall be, None when it was cancelled."""
        answer = cls(parent, line, words, rolls, before, read).run()
        return answer if isinstance(answer, EntryAnswer) else None


def words_of(line: FindLine | SeenLine) -> str:
    """An entry in the words of the line."""
    if isinstance(line, SeenLine):
        if line.sighting.description is None:
            return line.sighting.counter
        label = line.label.partition(" × ")[2] or line.label
        return label.removesuffix(f", {line.of}")
    label = _SET.sub("", line.label.removesuffix(f", {line.of}"))
    return " ".join(filter(None, (label, line.grade, line.problems.replace(",", ""))))


def edited_coin(coin: Coin, entry: Entry) -> Coin:
    """The coin of a find, read anew; where it lies and where it came from stays."""
    read = kept_coin(entry)
    is_as_before = read.varieties == coin.varieties and was_one_of(coin.note) == bool(entry.one_of)
    # of other varieties what Compare wrote is gone
    note = entry.coin.note or coin.note if is_as_before else read.note or own_note(coin.note)
    return replace(
        coin,
        description=read.description,
        grade=read.grade,
        problems=read.problems,
        is_genuine=read.is_genuine,
        is_flagged=read.is_flagged,
        varieties=read.varieties,
        weight_mg=read.weight_mg if read.weight_mg is not None else coin.weight_mg,
        note=note,
    )


class ClaimForm(Form):
    """“Every coin dated up to … is logged”, for this box."""

    def __init__(
        self, parent: QWidget | None, box: BoxId, series: Sequence[Series], claims: Sequence[Claim]
    ) -> None:
        super().__init__(
            parent,
            "Fully logged dates",
            "In this box every coin dated so is kept or counted, so that none seen means none "
            "there. Odds learn only from such dates.",
        )
        self._box, self._claims = box, {one.series: one for one in claims}
        self._series = series
        self.series = Choice([(s.id, s.title) for s in series], None, self, self._show)
        self.add("Series", self.series, is_wide=True)
        self.first, self.last = self.line("", "its first date"), self.line("", "its last date")
        self.add("From", self.first)
        self.add("Up to", self.last)
        holder = QWidget(self)
        flow = FlowLayout(holder)
        self.none = Chip("no date is fully logged", None, holder)
        flow.addWidget(self.none)
        self.add("Or", holder, is_wide=True)
        self._show()

    def _show(self) -> None:
        one = next((c for c in self._claims.values() if c.series == self.series.value), None)
        self.first.setText("" if one is None or one.from_ is None else str(one.from_))
        self.last.setText("" if one is None or one.up_to is None else str(one.up_to))
        self.none.setChecked(False)

    def read(self) -> tuple[Claim, bool]:
        """The claim, and whether it is taken back."""
        first, last = year_of(self.first, "From"), year_of(self.last, "Up to")
        if first is not None and last is not None and first > last:
            raise FieldTrouble("Up to", "The last year comes before the first one.")
        series = next(s for s in self._series if s.id == self.series.value)
        old = self._claims.get(series.id)
        span = f"up to {last}" if first is None and last is not None else ""
        if first is not None:
            span = f"{first} to {last}" if last is not None else f"from {first}"
        text = f"every coin dated {span} is logged" if span else "every coin is logged"
        claim = Claim(old.id if old else 0, self._box, series.id, first, last, text)
        return claim, self.none.isChecked()

    @classmethod
    def ask(
        cls, parent: QWidget | None, box: BoxId, series: Sequence[Series], claims: Sequence[Claim]
    ) -> tuple[Claim, bool] | None:
        """A claim and whether it is taken back, None when it was cancelled."""
        answer = cls(parent, box, series, claims).run()
        return answer if isinstance(answer, tuple) else None


class RuleForm(Form):
    """What is of use to the collector at the table."""

    def __init__(
        self, parent: QWidget | None, rule: UseRule, albums: Sequence[AlbumSummary]
    ) -> None:
        super().__init__(
            parent, "What is of use", "Which coins the line calls a gap, an upgrade or a spare."
        )
        holder = QWidget(self)
        flow = FlowLayout(holder)
        self.gaps = Chip("gaps", None, holder)
        self.fillers = Chip("hole fillers in gaps", None, holder)
        self.words = Chip("upgrades from one grade word to the next", None, holder)
        for chip, is_on in (
            (self.gaps, rule.gaps),
            (self.fillers, rule.hole_fillers),
            (self.words, rule.upgrade_by_word),
        ):
            chip.setChecked(is_on)
            flow.addWidget(chip)
        self.add("Of use are", holder, is_wide=True)
        self.points = self.count(rule.upgrade_points, 0, 70)
        self.points.setSpecialValueText("no upgrades")
        self.add("Upgrades of at least so many points", self.points)
        self.spares = self.count(rule.spares_of_each, 0, 1000)
        self.spares.setSpecialValueText("none")
        self.add("Spares of each", self.spares, "A spare is kept while you hold fewer.")
        shelf = QWidget(self)
        flow = FlowLayout(shelf)
        self.albums: dict[int, Chip] = {}
        for one in albums:
            chip = Chip(one.album.name, None, shelf)
            chip.setChecked(one.album.id in rule.albums)
            flow.addWidget(chip)
            self.albums[one.album.id] = chip
        self.add("Albums", shelf, "None chosen: all of them count.", is_wide=True)

    def read(self) -> UseRule:
        chosen = tuple(one for one, chip in self.albums.items() if chip.isChecked())
        return UseRule(
            self.gaps.isChecked(),
            self.points.value(),
            self.spares.value(),
            self.fillers.isChecked(),
            chosen,  # type: ignore[arg-type]  # the keys are album ids
            self.words.isChecked(),
        )

    @classmethod
    def ask(
        cls, parent: QWidget | None, rule: UseRule, albums: Sequence[AlbumSummary]
    ) -> UseRule | None:
        """The rule as it shall be, None when it was cancelled."""
        answer = cls(parent, rule, albums).run()
        return answer if isinstance(answer, UseRule) else None
