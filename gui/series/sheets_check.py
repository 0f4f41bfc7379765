"""The draft that the editor's sheets mean, and all that is wrong with it, cell by cell. No Qt."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from core.catalogue.draft import (
    HEAD,
    ROWS,
    DraftFault,
    SeriesDraft,
    check_draft,
    parse_applies,
    read_number,
)
from core.catalogue.draft_rows import (
    BY_HAND,
    DraftRow,
    DraftTotal,
    Rule,
    Span,
    generate,
    parse_exceptions,
)
from core.errors import BadEntry
from core.model.issue import (
    Composition,
    Confidence,
    Design,
    Mint,
    RollOdds,
    Sign,
    Variety,
    VarietyId,
)
from gui.series.sheets import (
    A_YEAR,
    COLUMN_NAMES,
    COLUMNS,
    DESIGNS,
    HEAD_FIELDS,
    METALS,
    MINTS,
    RULE,
    SIGNS,
    TABLES,
    TOTALS,
    VARIETIES,
    Checked,
    Fault,
    Sheets,
)
from gui.series.tables import Table, is_blank

_FIRST, _LAST = 0, 9999
_CONFIDENCES = {c.value: c for c in Confidence}
_ODDS = {o.value: o for o in RollOdds}


class Reading:
    """Reads the tables into a draft, noting what cannot be read at all."""

    def __init__(self, sheets: Sheets) -> None:
        self.sheets = sheets
        self.faults: list[Fault] = []
        self.places: dict[str, list[int]] = {}

    def rows_of(self, name: str) -> Iterator[tuple[int, dict[str, str]]]:
        """The rows of a table that are not blank, by the names of their columns."""
        self.places[name] = []
        for at, row in enumerate(self.sheets.table(name)):
            if not is_blank(row):
                self.places[name].append(at)
                yield at, dict(zip(COLUMNS[name], row, strict=True))

    def fault(self, part: str, row: int, column: str, text: str) -> None:
        self.faults.append(Fault(part, row, COLUMNS[part].index(column), text))

    def number(self, part: str, row: int, cells: dict[str, str], column: str) -> float | None:
        try:
            return read_number(cells[column], COLUMN_NAMES[column])
        except BadEntry as fault:
            self.fault(part, row, column, str(fault))
            return None

    def confidence(self, part: str, row: int, cells: dict[str, str]) -> Confidence:
        text = cells["confidence"].strip().lower()
        found = _CONFIDENCES.get(text or Confidence.RECALLED.value)
        if found is None:
            told = ", ".join(_CONFIDENCES)
            self.fault(part, row, "confidence", f"“{text}” is not known; use one of {told}.")
        return found or Confidence.RECALLED

    def span(self, part: str, row: int, cells: dict[str, str]) -> tuple[int, int]:
        years = [_FIRST, _LAST]
        for at, column in enumerate(("first", "last")):
            text = cells[column].strip()
            if text and not A_YEAR.fullmatch(text):
                self.fault(part, row, column, f"“{text}” is no year; write it such as 1958.")
            elif text:
                years[at] = int(text)
        if years[0] > years[1]:
            self.fault(part, row, "last", "this lies before the first year; exchange the two.")
        return years[0], years[1]


def draft_from(sheets: Sheets, series_id: str) -> tuple[SeriesDraft, Reading]:
    """The draft that the sheets mean, and what could not be read of them."""
    reading, base = Reading(sheets), sheets.base
    old_metals = {c.id: c for c in base.compositions}
    old_varieties = {str(v.id): v for v in base.varieties}
    mints = tuple(
        Mint(cells["id"].strip(), cells["name"].strip(), cells["mark"].strip())
        for _at, cells in reading.rows_of(MINTS)
    )
    designs = []
    for at, cells in reading.rows_of(DESIGNS):
        reading.span(DESIGNS, at, cells)
        designs.append(
            Design(
                cells["id"].strip(), cells["title"].strip(), cells["sign"].strip(),
                cells["source"].strip() or BY_HAND, reading.confidence(DESIGNS, at, cells),
            )
        )  # fmt: skip
    metals = []
    for at, cells in reading.rows_of(METALS):
        reading.span(METALS, at, cells)
        confidence = reading.confidence(METALS, at, cells)
        before = old_metals.get(cells["id"].strip())
        metals.append(
            Composition(
                cells["id"].strip(), cells["title"].strip(),
                reading.number(METALS, at, cells, "weight_g"),
                reading.number(METALS, at, cells, "tolerance_g"),
                reading.number(METALS, at, cells, "silver_ozt"),
                cells["sign"].strip(), cells["source"].strip() or BY_HAND, confidence,
                before.tolerance_confidence if before else confidence,
            )
        )  # fmt: skip
    varieties = []
    for at, cells in reading.rows_of(VARIETIES):
        varieties.append(_variety(reading, at, cells, old_varieties))
    signs = tuple(_sign(reading, at, cells, base.signs) for at, cells in reading.rows_of(SIGNS))
    totals = tuple(
        DraftTotal(*(cell.strip() for cell in cells.values()))
        for _at, cells in reading.rows_of(TOTALS)
    )
    rows = tuple(
        DraftRow(*(cell.strip() for cell in cells.values())) for _at, cells in reading.rows_of(ROWS)
    )
    draft = replace(
        base,
        id=series_id,
        title=sheets.text("title").strip(),
        issuer=sheets.text("issuer").strip(),
        denomination=sheets.text("denomination").strip(),
        currency=sheets.text("currency").strip(),
        face_value=sheets.text("face_value").strip(),
        diameter_mm=sheets.text("diameter_mm").strip().replace(",", "."),
        words=_parts(sheets.text("words"), ","),
        note=" ".join(sheets.text("note").split()),
        sources=_parts(sheets.text("sources"), "\n"),
        mints=mints,
        designs=tuple(designs),
        compositions=tuple(metals),
        varieties=tuple(varieties),
        signs=signs,
        rows=rows,
        totals=totals,
    )
    return draft, reading


def _parts(text: str, separator: str) -> tuple[str, ...]:
    return tuple(filter(None, (part.strip() for part in text.split(separator))))


def _seen(
    reading: Reading, part: str, at: int, cells: dict[str, str]
) -> tuple[RollOdds, tuple[tuple[str, tuple[str, ...]], ...]]:
    """How likely a variety or sign is met in rolls, and the issues it is known on."""
    odds = _ODDS.get(cells["odds"].strip().lower() or RollOdds.POSSIBLE.value)
    if odds is None:
        told = ", ".join(_ODDS)
        reading.fault(part, at, "odds", f"“{cells['odds']}” is not known; use one of {told}.")
    try:
        applies = parse_applies(cells["applies"])
    except BadEntry as fault:
        reading.fault(part, at, "applies", str(fault))
        applies = ()
    return odds or RollOdds.POSSIBLE, applies


def _sign(reading: Reading, at: int, cells: dict[str, str], old: Sequence[Sign]) -> Sign:
    odds, applies = _seen(reading, SIGNS, at, cells)
    facet, value = cells["facet"].strip(), cells["value"].strip()
    like = [s for s in old if (s.facet, s.value) == (facet, value)]
    before = next((s for s in like if s.applies == applies), like[0] if like else None)
    return Sign(
        facet, value, cells["where"].strip(), cells["look"].strip(), odds, applies,
        cells["source"].strip() or BY_HAND, reading.confidence(SIGNS, at, cells),
        before.markers if before else (),
    )  # fmt: skip


def _variety(
    reading: Reading, at: int, cells: dict[str, str], old: Mapping[str, Variety]
) -> Variety:
    odds, applies = _seen(reading, VARIETIES, at, cells)
    before = old.get(cells["id"].strip())
    return Variety(
        id=VarietyId(cells["id"].strip()),
        name=cells["name"].strip(),
        kind=cells["kind"].strip(),
        where=cells["where"].strip(),
        look=cells["look"].strip(),
        odds=odds,
        applies=applies,
        source=cells["source"].strip() or BY_HAND,
        confidence=reading.confidence(VARIETIES, at, cells),
        note=before.note if before else "",
        markers=before.markers if before else (),
    )


def check_sheets(sheets: Sheets, series_id: str) -> Checked:
    """All that is wrong with what is typed, each with its cell; some ms, so on the worker."""
    draft, reading = draft_from(sheets, series_id)
    checked = check_draft(draft)
    unread = {(f.part, f.row, f.column) for f in reading.faults}
    faults = list(reading.faults)
    for told in checked.faults:
        fault = _located(told, reading.places)
        if (fault.part, fault.row, fault.column) not in unread:
            faults.append(fault)
    order = {part: at for at, part in enumerate((HEAD, *TABLES))}
    faults.sort(key=lambda f: (order[f.part], -1 if f.row is None else f.row, f.column))
    series = None if faults else checked.series
    return Checked(tuple(faults), draft, series, rule_fault(sheets))


def _located(told: DraftFault, places: Mapping[str, Sequence[int]]) -> Fault:
    """A fault of the draft at its cell of the editor."""
    part, text = told.where, told.text[:1].upper() + told.text[1:]
    text = text if text.endswith(".") else f"{text}."
    if part == HEAD or part not in TABLES:
        is_field = part == HEAD and told.column in HEAD_FIELDS
        return Fault(HEAD, None, HEAD_FIELDS.index(told.column) if is_field else 0, text)
    columns = COLUMNS[part]
    column = columns.index(told.column) if told.column in columns else 0
    if told.row is None or told.row >= len(places.get(part, ())):
        return Fault(part, None, column, text)
    return Fault(part, places[part][told.row], column, text)


# ---- the rule ---------------------------------------------------------------------------------


def rule_fault(sheets: Sheets) -> str:
    """Why the rule makes no rows; "" where it does, and where there is none."""
    if is_blank(sheets.rule):
        return ""
    try:
        made_rows(sheets)
    except BadEntry as fault:
        return str(fault)
    return ""


def made_rows(sheets: Sheets) -> Table:
    """The rows that the rule makes. Raises BadEntry where it makes no sense."""
    texts = dict(zip(RULE, sheets.rule, strict=True))
    first, last = texts["first"].strip(), texts["last"].strip() or texts["first"].strip()
    for year in (first, last):
        if not A_YEAR.fullmatch(year):
            told = f"“{year}” is no year" if year else "the first year is missing"
            raise BadEntry(f"{told[:1].upper()}{told[1:]}; write such as 1938 to 1964.")
    draft, reading = draft_from(
        replace(sheets, rows=(), varieties=(), signs=(), totals=()), "series"
    )
    chosen = tuple(texts["mints"].split("|")[:-1])
    rule = Rule(
        int(first), int(last), chosen,
        parse_exceptions(texts["without"]), parse_exceptions(texts["plus"]),
    )  # fmt: skip
    rows = generate(rule, draft.mints, spans_of(reading, DESIGNS), spans_of(reading, METALS))
    return tuple(tuple(getattr(row, name) for name in COLUMNS[ROWS]) for row in rows)


def spans_of(reading: Reading, part: str) -> list[Span]:
    """The years of the designs or compositions, as far as they can be read."""
    quiet = Reading(reading.sheets)
    return [
        Span(*quiet.span(part, at, cells), cells["id"].strip()) for at, cells in quiet.rows_of(part)
    ]
