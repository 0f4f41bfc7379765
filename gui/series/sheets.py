"""A series as the editor shows it: a head and tables of texts. No Qt here.

Every edit gives new `Sheets`, so that undo is going back to the ones before.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from core.catalogue.draft import HEAD, ROW_COLUMNS, ROWS, TOTAL, SeriesDraft, applies_text
from core.catalogue.draft_rows import DraftRow
from core.model.issue import Series
from gui.series.tables import Place, Row, Table, is_blank

HEAD_FIELDS = (
    "title", "issuer", "denomination", "currency", "face_value", "diameter_mm", "words", "note",
    "sources",
)  # fmt: skip
MINTS, DESIGNS, METALS, VARIETIES = "mint", "design", "composition", "variety"
SIGNS, TOTALS = "sign", TOTAL
TABLES = (MINTS, DESIGNS, METALS, ROWS, VARIETIES, SIGNS, TOTALS)
COLUMNS: Mapping[str, tuple[str, ...]] = {
    MINTS: ("id", "name", "mark"),
    DESIGNS: ("title", "id", "first", "last", "sign", "source", "confidence"),
    METALS: (
        "title", "id", "weight_g", "tolerance_g", "silver_ozt", "first", "last", "sign", "source",
        "confidence",
    ),
    ROWS: ROW_COLUMNS,
    VARIETIES: (
        "name", "kind", "where", "look", "odds", "applies", "id", "source", "confidence",
    ),
    SIGNS: ("facet", "value", "where", "look", "odds", "applies", "source", "confidence"),
    TOTALS: ("date", "mint", "mintage", "note", "source", "confidence"),
}  # fmt: skip
RULE = ("first", "last", "mints", "without", "plus")
RULE_PART = "rule"
A_YEAR = re.compile(r"\d{1,4}")


@dataclass(frozen=True, slots=True)
class Sheets:
    """All that is typed. `base` keeps what the editor has no cell for, such as markers."""

    base: SeriesDraft
    head: Row
    rule: Row
    mints: Table
    designs: Table
    metals: Table
    rows: Table
    varieties: Table
    signs: Table = ()
    totals: Table = ()
    made: Table = ()
    """The rows as the rule last made them: while none was touched by hand they follow the rule."""

    def table(self, name: str) -> Table:
        """One of TABLES."""
        match name:
            case "mint":
                return self.mints
            case "design":
                return self.designs
            case "composition":
                return self.metals
            case "rows":
                return self.rows
            case "sign":
                return self.signs
            case "total":
                return self.totals
        return self.varieties

    def with_table(self, name: str, table: Table) -> "Sheets":
        """The same with another table."""
        match name:
            case "mint":
                return replace(self, mints=table)
            case "design":
                return replace(self, designs=table)
            case "composition":
                return replace(self, metals=table)
            case "rows":
                return replace(self, rows=table)
            case "sign":
                return replace(self, signs=table)
            case "total":
                return replace(self, totals=table)
        return replace(self, varieties=table)

    def text(self, field: str) -> str:
        """A field of the head."""
        return self.head[HEAD_FIELDS.index(field)]

    def with_text(self, field: str, text: str) -> "Sheets":
        """The same with another text in the head."""
        at = HEAD_FIELDS.index(field)
        return replace(self, head=(*self.head[:at], text, *self.head[at + 1 :]))

    def with_rule(self, field: str, text: str) -> "Sheets":
        """The same with another text in the rule."""
        at = RULE.index(field)
        return replace(self, rule=(*self.rule[:at], text, *self.rule[at + 1 :]))

    @property
    def follows_rule(self) -> bool:
        """Whether no row was touched by hand since the rule made them."""
        return self.rows is self.made or self.rows == self.made

    def ids(self, name: str) -> tuple[str, ...]:
        """The ids of mints, designs or compositions, in order."""
        at = COLUMNS[name].index("id")
        return tuple(dict.fromkeys(row[at] for row in self.table(name) if not is_blank(row)))


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong: in a field of the head (`row` None), or in a cell of a table."""

    part: str
    row: int | None
    column: int
    text: str

    @property
    def place(self) -> Place | None:
        """The cell, None where it is about no cell."""
        return None if self.row is None else (self.row, self.column)

    @property
    def where(self) -> str:
        """Row 12, mintage; mint 2; title."""
        if self.part == HEAD:
            return FIELD_NAMES[HEAD_FIELDS[self.column]]
        name = COLUMN_NAMES.get(COLUMNS[self.part][self.column], COLUMNS[self.part][self.column])
        what = PART_NAMES[self.part]
        return what if self.row is None else f"{what} {self.row + 1}, {name.lower()}"


FIELD_NAMES = {
    "title": "Title", "issuer": "Issuer", "denomination": "Denomination", "currency": "Currency",
    "face_value": "Face value", "diameter_mm": "Diameter, mm", "words": "Words for its coins",
    "note": "Note", "sources": "Rests on",
}  # fmt: skip
PART_NAMES = {
    MINTS: "Mint", DESIGNS: "Design", METALS: "Composition", ROWS: "Row", VARIETIES: "Variety",
    SIGNS: "Sign", TOTALS: "Total",
}  # fmt: skip
COLUMN_NAMES = {
    "id": "Id", "name": "Name", "mark": "Letter", "title": "Title", "first": "From", "last": "To",
    "sign": "How to tell it", "source": "Source", "confidence": "Rests on", "weight_g": "Grams",
    "tolerance_g": "±", "silver_ozt": "Silver, oz", "date": "Date", "year": "Year", "mint": "Mint",
    "design": "Design", "composition": "Composition", "strike": "Strike", "release": "Went to",
    "choices": "Choices", "mintage": "Mintage", "note": "Note", "kind": "Kind", "where": "Where",
    "look": "What to see", "odds": "In rolls", "applies": "Known on",
    "facet": "Tells the", "value": "Which is",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Checked:
    """All that is wrong, in the order of the editor; the draft, and the series without faults.

    `rule_fault`: why the rule makes no rows; the rows that there are may be right all the same.
    """

    faults: tuple[Fault, ...]
    draft: SeriesDraft
    series: Series | None
    rule_fault: str = ""

    def of(self, part: str) -> dict[Place, str]:
        """The faults of one table by cell."""
        found: dict[Place, str] = {}
        for fault in self.faults:
            if fault.part == part and fault.place is not None:
                before = found.get(fault.place)
                found[fault.place] = f"{before}; {fault.text}" if before else fault.text
        return found

    def of_field(self, place: int) -> str:
        """What is wrong with a field of the head, by its place in HEAD_FIELDS."""
        return "; ".join(f.text for f in self.faults if f.part == HEAD and f.column == place)


# ---- a draft as sheets --------------------------------------------------------------------------


def sheets_of(draft: SeriesDraft) -> Sheets:
    """A draft laid out; the years of a design or composition are those of its rows."""
    spans = {
        name: _spans_of(draft.rows, name) if len({getattr(r, name) for r in draft.rows}) > 1 else {}
        for name in (DESIGNS, METALS)
    }
    rows = tuple(tuple(getattr(row, name) for name in ROW_COLUMNS) for row in draft.rows)
    years = [int(r.year) for r in draft.rows if A_YEAR.fullmatch(r.year)]
    rule = (str(min(years)), str(max(years)), "", "", "") if years else ("",) * len(RULE)
    return Sheets(
        draft,
        (
            draft.title, draft.issuer, draft.denomination, draft.currency, draft.face_value,
            draft.diameter_mm, ", ".join(draft.words), draft.note, "\n".join(draft.sources),
        ),
        rule,
        tuple((m.id, m.name, m.mark) for m in draft.mints),
        tuple(
            (d.title, d.id, *spans[DESIGNS].get(d.id, ("", "")), d.sign, d.source,
             str(d.confidence))
            for d in draft.designs
        ),
        tuple(
            (c.title, c.id, _typed(c.weight_g), _typed(c.tolerance_g), _typed(c.silver_ozt),
             *spans[METALS].get(c.id, ("", "")), c.sign, c.source, str(c.confidence))
            for c in draft.compositions
        ),
        rows,
        tuple(
            (v.name, v.kind, v.where, v.look, str(v.odds), applies_text(v.applies), str(v.id),
             v.source, str(v.confidence))
            for v in draft.varieties
        ),
        tuple(
            (s.facet, s.value, s.where, s.look, str(s.odds), applies_text(s.applies), s.source,
             str(s.confidence))
            for s in draft.signs
        ),
        tuple(
            (t.date, t.mint, t.mintage, t.note, t.source, t.confidence) for t in draft.totals
        ),
    )  # fmt: skip


def _typed(number: float | None) -> str:
    return "" if number is None else f"{number:g}"


def _spans_of(rows: Sequence[DraftRow], name: str) -> dict[str, tuple[str, str]]:
    found: dict[str, tuple[int, int]] = {}
    for row in rows:
        if A_YEAR.fullmatch(row.year):
            year, code = int(row.year), str(getattr(row, name))
            first, last = found.get(code, (year, year))
            found[code] = min(first, year), max(last, year)
    return {code: (str(first), str(last)) for code, (first, last) in found.items()}


def mint_names(sheets: Sheets) -> tuple[tuple[str, str], ...]:
    """The mints of the sheets: id and name."""
    return tuple((row[0].strip(), row[1].strip()) for row in sheets.mints if not is_blank(row))


def chosen_mints(sheets: Sheets) -> tuple[str, ...]:
    """The ids that the rule is for."""
    chosen = sheets.rule[RULE.index("mints")].split("|")[:-1]
    return tuple(code for code, _name in mint_names(sheets) if not chosen or code in chosen)


def mints_text(chosen: Sequence[str]) -> str:
    """Ids as the rule keeps them; each ends in a bar, since an id may be empty."""
    return "".join(f"{code}|" for code in chosen)
