"""The grade tables that travel with the program, read from `resources/grades` once."""

import csv
from functools import lru_cache
from io import StringIO

from core.model.foreign_grade import (
    GradeTable,
    GradeWord,
    grade_index,
    read_foreign,
    table_called,
    tables_of,
)
from core.model.grade import Grade
from core.model.issue import Confidence
from resources import read_text


@lru_cache(1)
def shipped_tables() -> tuple[GradeTable, ...]:
    """Every table, its words from worn to new."""
    words: dict[str, list[GradeWord]] = {}
    for row in _rows("grades/words.csv"):
        words.setdefault(row["table"], []).append(
            GradeWord(
                row["word"], _parts(row["also"]), int(row["low"]), int(row["high"]),
                row["is_proof"] == "yes", row["is_step"] == "yes", row["meaning"],
                row["published"], row["source"], Confidence(row["confidence"]),
            )
        )  # fmt: skip
    return tuple(
        GradeTable(
            row["table"], row["title"], _parts(row["spoken"]), _parts(row["issuers"]), row["note"],
            tuple(words[row["table"]]),
            grade_index(words[row["table"]], row["half_steps"] == "yes"),
        )
        for row in _rows("grades/tables.csv")
    )  # fmt: skip


@lru_cache(1 << 10)
def read_grade_of(text: str, issuer: str = "") -> Grade:
    """A grade as it is written for a coin of this issuer; raises BadGrade."""
    return read_foreign(text, issuer, shipped_tables())


@lru_cache(1 << 6)
def tables_of_issuer(issuer: str) -> tuple[GradeTable, ...]:
    """The shipped tables that read an issuer's coins without being named."""
    return tables_of(issuer, shipped_tables())


def table_named(name: str) -> GradeTable | None:
    """The shipped table of a name, as it is shown or spoken."""
    return table_called(name, shipped_tables())


def rank_of(grade: Grade | None) -> int:
    """Where a half step comes among grades of the same low end; 0 for any other grade."""
    table = table_named(grade.table) if grade and grade.table else None
    found = table.find(grade.entered) if grade and table else None
    return found.rank if found else 0


def _rows(path: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(read_text(path))))


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part for part in cell.split("|") if part)
