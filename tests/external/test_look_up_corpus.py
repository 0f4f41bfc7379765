"""Entries as collectors write them, with what each means.

`look_up_corpus_trade.csv` was written from the trade's row forms, abbreviations and grades before
the grammar was extended to them, and is kept as it was written: a reading that proved wrong is
corrected only with its reason in the column `note`. `look_up_corpus.csv` was written beside the
grammar. Columns: `given` are the series searched (all of the library where empty), `series` those
the reading must be of (`;` between several), `facets` what the issues that the coin may be have
in them, no more and no less; `also` a second reading; `trouble` words that the line must say.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

from core.app.collection import Collection
from core.app.demo import write_demo
from core.app.look_up import Answer, Scope
from core.catalogue.load import library_ids, load_series
from core.lookup.line import Line, read_line
from core.lookup.parse import Entry
from core.model.coin import Problem
from core.model.grade import Grade
from core.model.issue import Issue, Series

HERE = Path(__file__).parent
LIBRARY = {str(i): load_series(i) for i in library_ids()}
_PROBLEMS = {problem.value for problem in Problem}


def corpus(name: str) -> list[dict[str, str]]:
    """The rows of a corpus."""
    with (HERE / name).open(encoding="utf-8", newline="") as rows:
        return list(csv.DictReader(rows))


def series_of(row: dict[str, str]) -> list[Series]:
    """The series an entry of the corpus is read in."""
    given = [s.strip() for s in row["given"].split(";") if s.strip()]
    return [LIBRARY[i] for i in given or LIBRARY]


def _read(row: dict[str, str]) -> Line:
    searched = series_of(row)
    return read_line(row["text"], searched, [s for s in LIBRARY.values() if s not in searched])


def faults(row: dict[str, str], line: Line) -> Iterator[str]:
    """Everything in which a line's reading differs from what the corpus says it means."""
    if row["command"]:
        if (line.command.text if line.command else "") != row["command"]:
            yield f"command {line.command}"
        return
    if line.command:
        yield f"command {line.command}"
    told = "; ".join((line.trouble, line.said, *(e.said for e in line.entries)))
    if row["trouble"] and row["trouble"] not in told:
        yield f"told {told!r}"
    if not row["facets"]:
        if line.entries:
            yield f"read as {line.entries[0].coin.description.key}"
        return
    if not line.entries:
        yield f"not read: {line.trouble}"
        return
    entry = line.entries[0]
    series = {entry.series for entry in line.entries}
    if row["series"] and series != {s.strip() for s in row["series"].split(";")}:
        yield f"series {', '.join(sorted(series))}"
    yield from _facet_faults(row["facets"], entry)
    others = [part for part in row["also"].split("/") if part.strip()]
    same = [e for e in line.entries[1:] if e.series == entry.series]
    if len(same) != len(others):
        yield f"{len(same)} more readings"
    else:
        for also, other in zip(others, same, strict=True):
            yield from _facet_faults(also, other)
    yield from _coin_faults(row, entry)


def _facet_faults(told: str, entry: Entry) -> Iterator[str]:
    series = LIBRARY[entry.series]
    issues = series.matching(entry.coin.description)
    for part in told.split(";"):
        facet, _, values = part.strip().partition("=")
        wanted = {"" if v == "-" else v for v in values.split("|")}
        found = {_value(issue, facet) for issue in issues}
        if found != wanted:
            yield f"{facet} {sorted(found)}"


def _value(issue: Issue, facet: str) -> str:
    return str(issue.year) if facet == "year" else issue.value(facet) or ""


def _coin_faults(row: dict[str, str], entry: Entry) -> Iterator[str]:
    coin = entry.coin
    if grade_text(coin.grade) != row["grade"]:
        yield f"grade {grade_text(coin.grade)!r}"
    if {p.value for p in coin.problems} != _problems(row["problems"]):
        yield f"problems {coin.problems}"
    ids, _, finding = row["varieties"].partition(" ")
    told = {(i, finding) for i in ids.split("|") if i}
    held = {(str(v), f.value) for v, f in coin.varieties}
    if held != told:
        yield f"varieties {sorted(held)}"
    if entry.quantity != int(row["quantity"] or 1):
        yield f"quantity {entry.quantity}"
    if entry.compare != row["relation"]:
        yield f"relation {entry.compare!r}"
    if entry.is_ender != (row["flags"] == "ender"):
        yield f"ender {entry.is_ender}"


def _problems(told: str) -> set[str]:
    return {p for p in _PROBLEMS if p in told and (p != "damaged" or told == "damaged")}


def grade_text(grade: Grade | None) -> str:
    """A grade in figures: `20-35 details`, `65 PF DCAM`, `64 RD`."""
    if grade is None:
        return ""
    if grade.entered:
        return f"entered:{grade.entered}"
    words = [str(grade.low) if grade.low == grade.high else f"{grade.low}-{grade.high}"]
    words += ["details"] * grade.is_details + ["PF"] * grade.is_proof + ["plus"] * grade.is_plus
    words += ([grade.colour.value] if grade.colour else []) + list(grade.strike_words)
    return " ".join(words)


def told_faults(name: str) -> list[str]:
    """Each entry of a corpus that is not read as it says."""
    found = []
    for row in corpus(name):
        told = list(faults(row, _read(row)))
        if told:
            found.append(f"{row['text']}: {'; '.join(told)}")
    return found


def test_the_entries_written_before_the_grammar_read_as_they_mean() -> None:
    rows = corpus("look_up_corpus_trade.csv")
    assert len(rows) == 100
    assert told_faults("look_up_corpus_trade.csv") == []


def test_the_entries_written_beside_the_grammar_read_as_they_mean() -> None:
    assert len(corpus("look_up_corpus.csv")) >= 200
    assert told_faults("look_up_corpus.csv") == []


_MOST_SENTENCE, _MOST_LINE = 118, 96
"""Characters: two lines of the card at 1280 × 800, and what beside it wraps once at most."""


def told_ill(answer: Answer) -> Iterator[str]:
    """What reads badly in an answer, or is too long for the card."""
    sentence = answer.sentence
    if not sentence.endswith(".") or sentence[0] != sentence[0].upper():
        yield "no sentence"
    if "?" in sentence.replace("?)", ")"):
        yield "asks outside brackets"
    for text in (sentence, answer.second, answer.have_text, answer.said, answer.closer_text):
        if "  " in text or " ," in text or "()" in text or ".." in text:
            yield f"ill put: {text!r}"
        if len(text) > (_MOST_SENTENCE if text is sentence else _MOST_LINE):
            yield f"{len(text)} characters: {text!r}"


def test_every_entry_of_both_is_answered_in_sentences_that_fit_the_card(tmp_path: Path) -> None:
    path = tmp_path / "demo.slotleaf"
    write_demo(path)
    found, answered = [], 0
    with Collection.open(path, verify=False) as demo:
        for row in (*corpus("look_up_corpus_trade.csv"), *corpus("look_up_corpus.csv")):
            looked = demo.look_up(f"{row['text']} ", Scope())
            answered += len(looked.readings)
            told = [f"{row['text']}: {one}" for a in looked.readings for one in told_ill(a)]
            found += told + [f"{row['text']}: {looked.trouble}"] * (len(looked.trouble) > 220)
    assert answered > 300
    assert found == []
