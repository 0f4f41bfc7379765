"""Writes a series back as its two files, so that a collection can carry its own copy."""

import csv
from collections.abc import Iterator
from io import StringIO

from core.catalogue.rows import COLUMNS
from core.model.issue import (
    Composition,
    Design,
    Issue,
    Marker,
    Mint,
    Series,
    Sign,
    Total,
    Variety,
)

_MANY = 6
"""From so many values on a list is written one value a line, to keep lines short."""

Plain = str | int | float | bool | tuple[str, ...] | tuple[float, ...]
Value = Plain | dict[str, tuple[str, ...]] | list[dict[str, Plain]]
Table = dict[str, Value]


def write_series(series: Series) -> tuple[str, str]:
    """`series.toml` and `issues.csv` as texts; reading them gives an equal series."""
    return head_text(series), _csv_text(series)


def head_text(series: Series) -> str:
    """`series.toml` of a series as text."""
    import tomlkit
    from tomlkit.items import AoT, Array
    from tomlkit.items import Table as TomlTable

    def array(values: tuple[str, ...] | tuple[float, ...]) -> Array:
        found = tomlkit.array()
        found.extend(values)
        return found.multiline(len(values) >= _MANY)

    def table(values: Table) -> TomlTable:
        found = tomlkit.table()
        for key, value in values.items():
            match value:
                case tuple():
                    found.add(key, array(value))
                case dict():
                    found.add(key, table(dict(value.items())))
                case list():
                    found.add(key, many([dict(row.items()) for row in value]))
                case _:
                    found.add(key, value)
        return found

    def many(rows: list[Table]) -> AoT:
        found = tomlkit.aot()
        for row in rows:
            found.append(table(row))
        return found

    document = tomlkit.document()
    for key, value in table(_top(series)).items():
        document.add(key, value)
    for name, rows in _lists(series):
        if rows:
            document.add(name, many(rows))
    return tomlkit.dumps(document)


def _top(series: Series) -> Table:
    return _given(
        id=str(series.id),
        title=series.title,
        issuer=series.issuer,
        denomination=series.denomination,
        face_value_minor=series.face_value_minor,
        currency=series.currency,
        diameter_mm=series.diameter_mm,
        is_invented=series.is_invented,
        note=series.note or None,
        words=series.words or None,
        sources=series.sources,
    )


def _lists(series: Series) -> tuple[tuple[str, list[Table]], ...]:
    return (
        ("mint", [_mint(m) for m in series.mints]),
        ("design", [_design(d) for d in series.designs]),
        ("composition", [_composition(c) for c in series.compositions]),
        ("variety", [_variety(v) for v in series.varieties]),
        ("sign", [_sign(s) for s in series.signs]),
    )


def _given(**values: Value | None) -> Table:
    """The keys that have a value: None stands for "not known" and is left out."""
    return {key: value for key, value in values.items() if value is not None}


def _mint(mint: Mint) -> Table:
    return _given(id=mint.id, name=mint.name, mark=mint.mark)


def _design(design: Design) -> Table:
    return _given(
        id=design.id,
        title=design.title,
        sign=design.sign or None,
        source=design.source,
        confidence=design.confidence.value,
    )


def _composition(composition: Composition) -> Table:
    return _given(
        id=composition.id,
        title=composition.title,
        weight_g=composition.weight_g,
        tolerance_g=composition.tolerance_g,
        silver_ozt=composition.silver_ozt,
        sign=composition.sign or None,
        source=composition.source,
        confidence=composition.confidence.value,
        tolerance_confidence=composition.tolerance_confidence.value,
    )


def _variety(variety: Variety) -> Table:
    return _given(
        id=str(variety.id),
        name=variety.name,
        kind=variety.kind,
        where=variety.where,
        look=variety.look,
        odds=variety.odds.value,
        source=variety.source,
        confidence=variety.confidence.value,
        note=variety.note or None,
        applies=dict(variety.applies),
        marker=[_marker(m, variety) for m in variety.markers] or None,
    )


def _sign(sign: Sign) -> Table:
    return _given(
        facet=sign.facet,
        value=sign.value,
        where=sign.where,
        look=sign.look,
        odds=sign.odds.value,
        source=sign.source,
        confidence=sign.confidence.value,
        applies=dict(sign.applies) or None,
        marker=[_marker(m, sign) for m in sign.markers] or None,
    )


def _marker(marker: Marker, whole: Variety | Sign) -> dict[str, Plain]:
    """One marker; source and confidence only where not both are as its variety's or sign's."""
    found: dict[str, Plain] = {
        "place": marker.place,
        "see": marker.see,
        "evidence": marker.evidence.value,
        "face": marker.face.value,
    }
    if marker.face.has_spots:
        found["spot"] = (marker.x, marker.y)
    is_as_whole = (marker.source, marker.confidence) == (whole.source, whole.confidence)
    if marker.source and not is_as_whole:
        found["source"] = marker.source
    if not is_as_whole:
        found["confidence"] = marker.confidence.value
    return found


def _csv_text(series: Series) -> str:
    text = StringIO(newline="")
    rows = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\n")
    rows.writeheader()
    rows.writerows(_rows(series))
    return text.getvalue()


def _rows(series: Series) -> Iterator[dict[str, str]]:
    """The issues in order; the totals in order too, each after the first issue that it covers."""
    after: dict[int, list[Total]] = {}
    place = 0
    for total in series.totals:
        parts = (i.number for i in series.issues if (i.date, i.mint) == (total.date, total.mint))
        place = max(place, min(parts))
        after.setdefault(place, []).append(total)
    for issue in series.issues:
        yield _issue_row(issue)
        yield from map(_total_row, after.get(issue.number, ()))


def _issue_row(issue: Issue) -> dict[str, str]:
    return {
        "row": "issue",
        "date": issue.date,
        "year": str(issue.year),
        "mint": issue.mint,
        "mark": issue.mark,
        "design": issue.design,
        "composition": issue.composition,
        "strike": issue.strike.value,
        "release": issue.release.value,
        "choices": "; ".join(f"{name}={value}" for name, value in issue.choices),
        "mintage": "" if issue.mintage is None else str(issue.mintage),
        "note": issue.note,
        "source": issue.source,
        "confidence": issue.confidence.value,
    }


def _total_row(total: Total) -> dict[str, str]:
    return {
        "row": "total",
        "date": total.date,
        "mint": total.mint,
        "mintage": "" if total.mintage is None else str(total.mintage),
        "note": total.note,
        "source": total.source,
        "confidence": total.confidence.value,
    }
