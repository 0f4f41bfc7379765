"""The columns of the editor's tables: heads, widths, what is said while one types."""

from core.model.issue import Confidence, Release, RollOdds, Strike
from gui.series.grid import GridColumn
from gui.series.sheets import COLUMN_NAMES, COLUMNS

_CONFIDENCES = tuple(str(c) for c in Confidence)
_WORDS = {
    "strike": tuple(str(s) for s in Strike),
    "release": tuple(str(r) for r in Release),
    "odds": tuple(str(o) for o in RollOdds),
    "confidence": _CONFIDENCES,
}
_HINTS = {
    ("mint", "id"): "the letter that collectors use, such as D; it may be left empty once",
    ("mint", "name"): "where the coins were struck",
    ("mint", "mark"): "the letter on the coins; nothing where there is none",
    ("design", "title"): "what collectors call it",
    ("composition", "title"): "what the metal is called, such as bronze",
    ("composition", "weight_g"): "grams, such as 3.11; nothing where it is not known",
    ("composition", "tolerance_g"): "how far a coin may be off, in grams",
    ("composition", "silver_ozt"): "troy ounces of fine silver in a coin; 0 for none",
    ("rows", "date"): "as it stands on the coin",
    ("rows", "year"): "the Gregorian year, by which the rows are ordered",
    ("rows", "mark"): "the letter on the coin; nothing where there is none",
    ("rows", "mintage"): "how many were struck; nothing where it is not known",
    ("rows", "choices"): "what is one or the other, such as date size=large",
    ("rows", "source"): "what the row rests on, or: not known",
    ("sign", "facet"): "design, composition, mint, or the name of a choice such as date size",
    ("sign", "value"): "the id or word that it tells, such as bronze or large",
    ("sign", "applies"): "the issues it speaks of: date=1982  (nothing: all that have it)",
    ("total", "mintage"): "how many in all",
    ("variety", "kind"): "doubled die, repunched letter, overdate …",
    ("variety", "where"): "where on the coin to look",
    ("variety", "look"): "what is to be seen there",
    ("variety", "applies"): "date=1955; mint=N, S  (nothing: every issue)",
}
_OF_ALL = {
    "id": "small letters, digits and hyphens; rows name it by this",
    "first": "the first year, nothing: from the beginning; the rule follows it",
    "last": "the last year, nothing: to the end; the rule follows it",
    "sign": "how a collector tells it from the others",
    "source": "what it rests on",
}
_WIDTHS = {
    "id": 96, "name": 148, "mark": 64, "title": 136, "first": 60, "last": 60, "sign": 160,
    "source": 128, "confidence": 112, "weight_g": 64, "tolerance_g": 52, "silver_ozt": 84,
    "date": 64, "year": 60, "mint": 60, "design": 112, "composition": 112, "strike": 96,
    "release": 88, "choices": 112, "mintage": 104, "note": 104, "kind": 112, "where": 136,
    "look": 176, "odds": 88, "applies": 152, "facet": 112, "value": 112,
}  # fmt: skip
_NUMBERS = frozenset({"weight_g", "tolerance_g", "silver_ozt", "mintage"})


def grid_columns(part: str) -> tuple[GridColumn, ...]:
    """The columns of one of the editor's tables."""
    return tuple(
        GridColumn(
            name,
            COLUMN_NAMES[name],
            56 if (part, name) == ("mint", "id") else _WIDTHS[name],
            _HINTS.get((part, name), _OF_ALL.get(name, "")),
            _WORDS.get(name, ()),
            name in _NUMBERS,
        )
        for name in COLUMNS[part]
    )
