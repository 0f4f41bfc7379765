"""The forms of a campaign, with what was done before the log, and of a search."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtWidgets import QWidget

from core.app.views import AlbumSummary
from core.model.album import AlbumId
from core.model.issue import Series
from core.model.search import Campaign, CampaignId, Search, require_campaign, require_search
from gui.flow_layout import FlowLayout
from gui.search.form import Choice, FieldTrouble, Form, whole_of, year_of
from gui.theme import S
from gui.widgets import Chip, QuietButton, row

DELETE = "delete"


class CampaignForm(Form):
    """A campaign: its goal album, and the figures that stood before this log began."""

    def __init__(
        self,
        parent: QWidget | None,
        albums: Sequence[AlbumSummary],
        campaign: Campaign | None,
        may_delete: bool = False,
    ) -> None:
        is_new = campaign is None
        super().__init__(
            parent,
            "New campaign" if is_new else "Campaign",
            "The boxes searched for one album. What you did before this log counts in totals, "
            "never in what is usual.",
            "Next: the box" if is_new else "Save",
        )
        shown = campaign or Campaign(CampaignId(0), "")
        self._campaign, self._albums = shown, albums
        self.name = self.line(shown.name, "Cents 1909–1958")
        self.add("Name", self.name)
        named: list[tuple[object, str]] = [(None, "none")]
        named += [(one.album.id, one.album.name) for one in albums]
        self.album = Choice(named, shown.album, self, self._on_album)
        self.add("Goal album", self.album)
        self.boxes = self.line(str(shown.opening_boxes or ""), "0")
        self.add("Boxes before this log", self.boxes)
        self.coins = self.line(str(shown.opening_coins or ""), "0")
        self.add("Coins before this log", self.coins)
        self.have = self.line(_shown(shown.opening_have), "not known")
        self.add("Had then", self.have, "Slots that were filled when this log began.")
        self.wanted = self.line(_shown(shown.opening_wanted), "not known")
        self.add("Of", self.wanted)
        chips = row(spacing=S)
        holder = QWidget(self)
        holder.setLayout(chips)
        self.run_on = Chip("roll numbers run on through all boxes", None, self)
        self.run_on.setChecked(shown.rolls_run_on)
        chips.addWidget(self.run_on)
        chips.addStretch(1)
        self.delete = QuietButton("Delete the campaign", self, "quiet")
        self.delete.setVisible(may_delete)
        self.delete.setShortcut("Alt+Del")
        self.delete.clicked.connect(self._on_delete)
        chips.addWidget(self.delete)
        self.add("Rolls", holder, is_wide=True)

    def _on_album(self) -> None:
        """A goal gives its name and where it stands, as far as nothing was typed."""
        chosen = next((one for one in self._albums if one.album.id == self.album.value), None)
        if chosen is None:
            return
        if not self.name.text().strip():
            self.name.setText(chosen.album.name)
        if self._campaign.id == 0 and not self.have.text().strip():
            self.have.setText(str(chosen.headline.have))
            self.wanted.setText(str(chosen.headline.wanted))

    def _on_delete(self) -> None:
        self.answer = DELETE
        self.accept()

    def read(self) -> Campaign:
        made = replace(
            self._campaign,
            name=self.name.text().strip(),
            album=None if self.album.value is None else AlbumId(int(str(self.album.value))),
            opening_boxes=whole_of(self.boxes, "Boxes before this log") or 0,
            opening_coins=whole_of(self.coins, "Coins before this log") or 0,
            opening_have=whole_of(self.have, "Had then"),
            opening_wanted=whole_of(self.wanted, "Of"),
            rolls_run_on=self.run_on.isChecked(),
        )
        if not made.name:
            raise FieldTrouble("Name", "A campaign needs a name.")
        require_campaign(made)
        return made

    @classmethod
    def ask(
        cls,
        parent: QWidget | None,
        albums: Sequence[AlbumSummary],
        campaign: Campaign | None = None,
        may_delete: bool = False,
    ) -> Campaign | str | None:
        """The campaign as it shall be, DELETE, or None when it was cancelled."""
        answer = cls(parent, albums, campaign, may_delete).run()
        return answer if isinstance(answer, Campaign | str) else None


class SearchForm(Form):
    """A search: which series are asked about, and from which year on."""

    def __init__(self, parent: QWidget | None, search: Search, series: Sequence[Series]) -> None:
        super().__init__(
            parent,
            "The search",
            "Only what is searched is asked about; other coins are “not sought”.",
        )
        self._search = search
        self.name = self.line(search.name)
        self.add("Name", self.name)
        before = "" if search.nothing_before is None else str(search.nothing_before)
        self.before = self.line(before, "any year")
        self.add("Nothing before", self.before)
        holder = QWidget(self)
        flow = FlowLayout(holder, spacing_x=S, spacing_y=S)
        self.chips: dict[str, Chip] = {}
        for one in series:
            chip = Chip(one.title, None, holder)
            chip.setChecked(one.id in search.series)
            flow.addWidget(chip)
            self.chips[one.id] = chip
        self.add("Series", holder, "None chosen: all whose coins may lie in the box.", is_wide=True)

    def read(self) -> Search:
        chosen = tuple(one for one, chip in self.chips.items() if chip.isChecked())
        made = replace(
            self._search,
            name=self.name.text().strip(),
            series=chosen,  # type: ignore[arg-type]  # the keys are series ids
            nothing_before=year_of(self.before, "Nothing before"),
        )
        if not made.name:
            raise FieldTrouble("Name", "A search needs a name.")
        require_search(made)
        return made

    @classmethod
    def ask(cls, parent: QWidget | None, search: Search, series: Sequence[Series]) -> Search | None:
        """The search as it shall be, None when it was cancelled."""
        answer = cls(parent, search, series).run()
        return answer if isinstance(answer, Search) else None


def _shown(figure: int | None) -> str:
    return "" if figure is None else str(figure)
