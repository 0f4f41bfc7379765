"""Markers: what to look for on a variety or a sign, in the model, the files and the commands."""

from dataclasses import replace
from itertools import product

import pytest

from core.catalogue.load import load_series, read_series
from core.catalogue.write import write_series
from core.cli.series import marker_rows
from core.errors import CatalogueFault
from core.model.issue import Confidence, Evidence, Face, Marker, Series, SeriesId
from tests.cli_material import slotleaf


def _with(markers: str, table: str = "variety") -> tuple[str, str]:
    """The texts of a small series whose last variety or sign has these markers too."""
    head, rows = write_series(_series(()))
    at = head.index("[[sign]]")
    assert head.index("[[variety]]") < at
    if table == "sign":
        return head + "\n" + markers, rows
    return head[:at] + markers + "\n" + head[at:], rows


def _series(markers: tuple[Marker, ...]) -> Series:
    """The invented series, its first variety and first sign with these markers alone."""
    series = load_series(SeriesId("harbour-token"))
    first, *others = (replace(v, markers=()) for v in series.varieties)
    sign, *signs = (replace(s, markers=()) for s in series.signs)
    return replace(
        series,
        varieties=(replace(first, markers=markers), *others),
        signs=(replace(sign, markers=markers), *signs),
    )


def _marker(text: str = "", **changed: str) -> str:
    """The lines of one marker of a variety, some of them changed or ("") left out."""
    lines = {
        "place": '"the buoy"',
        "see": '"a second line to its left"',
        "evidence": '"decides"',
        "face": '"reverse"',
        "spot": "[0.25, -0.5]",
    } | changed
    body = "\n".join(f"{key} = {value}" for key, value in lines.items() if value)
    return f"[[variety.marker]]\n{body}\n{text}"


def _faults(head: str, rows: str) -> list[str]:
    with pytest.raises(CatalogueFault) as caught:
        read_series(head, rows)
    return str(caught.value).splitlines()


def test_a_marker_is_read_with_its_spot_and_rests_on_what_its_variety_rests_on() -> None:
    series = read_series(*_with(_marker()))
    variety = series.varieties[-1]
    assert variety.markers == (
        Marker(
            "the buoy",
            "a second line to its left",
            Evidence.DECIDES,
            Face.REVERSE,
            0.25,
            -0.5,
            variety.source,
            variety.confidence,
        ),
    )


def test_a_marker_with_its_own_confidence_does_not_borrow_the_source_of_its_variety() -> None:
    series = read_series(*_with(_marker('confidence = "common practice"\n')))
    (marker,) = series.varieties[-1].markers
    assert (marker.source, marker.confidence) == ("", Confidence.PRACTICE)


def test_edge_and_whole_coin_have_no_spot() -> None:
    head, rows = _with(
        _marker(face='"edge"', spot="") + _marker(face='"whole coin"', spot="[0.5, 0.5]")
    )
    markers = read_series(head, rows).varieties[-1].markers
    assert [(m.face, m.x, m.y) for m in markers] == [(Face.EDGE, 0, 0), (Face.WHOLE, 0, 0)]


def test_whatever_markers_a_series_has_it_reads_the_same_after_writing() -> None:
    own = load_series(SeriesId("harbour-token")).varieties[0]
    rests = product(("", own.source, "another work"), (own.confidence, Confidence.RECALLED))
    faces = {Face.OBVERSE: (0.6, -0.8), Face.REVERSE: (-1.0, 0.0)}
    markers = tuple(
        Marker("rim", 'a "nick"; x = [1]', evidence, face, *faces.get(face, (0, 0)), *rest)
        for rest in rests
        for face, evidence in product(Face, Evidence)
    )
    series = _series(markers)
    assert read_series(*write_series(series)) == series


def test_every_wrong_key_or_value_of_a_marker_is_told_with_its_line_and_what_to_do() -> None:
    wrong = {
        'evidence = "proves"': "evidence 'proves' is not known; use decides, supports, excludes",
        'face = "front"': "face 'front' is not known; use obverse, reverse, edge, whole coin",
        "spot = [0.8, 0.7]": "spot [0.8, 0.7] lies outside the coin, a disc of radius 1; move it"
        " towards [0, 0], the centre",
        "spot = [0.8]": "spot is not two numbers; write spot = [0.5, -0.2]: right, down",
        "spot = [true, 0]": "spot is not two numbers; write spot = [0.5, -0.2]: right, down",
        "spot = [nan, 0]": "spot is not two numbers; write spot = [0.5, -0.2]: right, down",
        'spot = "top"': "spot is not two numbers; write spot = [0.5, -0.2]: right, down",
        'place = ""': "place is empty; fill it in",
        'see = " "': "see is empty; fill it in",
        "see = 3": "see is not text; put it in double quotes",
        'confidence = "sure"': "confidence 'sure' is not known; use published, recalled,"
        " common practice, invented",
        'weight = "heavy"': "weight is not known here; use confidence, evidence, face, place, see,"
        " source, spot, or take it out",
    }
    text = ""
    for line in wrong:
        key = line.partition(" ")[0]
        text += _marker(f"{line}\n", **({} if key in ("confidence", "weight") else {key: ""}))
    head, rows = _with(text)
    lines = head.split("\n")
    above = len(load_series(SeriesId("harbour-token")).varieties)
    expected = [
        f"series.toml line {_line(lines, line)}: [[variety.marker]] {at} of [[variety]] {above}:"
        f" {told}"
        for at, (line, told) in enumerate(wrong.items(), 1)
    ]
    assert _faults(head, rows) == expected


def _line(lines: list[str], line: str) -> int:
    assert lines.count(line) == 1
    return lines.index(line) + 1


@pytest.mark.parametrize("key", ["place", "see", "evidence", "face", "spot"])
def test_what_a_marker_needs_is_missed_at_its_own_line(key: str) -> None:
    head, rows = _with(_marker() + _marker(**{key: ""}))
    second = [n for n, line in enumerate(head.split("\n"), 1) if line == "[[variety.marker]]"][1]
    (fault,) = _faults(head, rows)
    assert fault.startswith(f"series.toml line {second}: [[variety.marker]] 2 of [[variety]] ")
    assert fault.endswith(f"there is no {key}; add a line {key} = …")


def test_markers_written_in_one_line_or_as_something_else_are_told_at_that_line() -> None:
    for value, told in (
        ('[{ place = "rim" }]', "there is no see"),
        ('"rim"', "marker is not a list of tables; write each as [[variety.marker]]"),
        ("[1, 2]", "marker is not a list of tables; write each as [[variety.marker]]"),
    ):
        head, rows = _with("")
        head = head.replace("[[variety]]\n", f"[[variety]]\nmarker = {value}\n", 1)
        line = head.split("\n").index(f"marker = {value}") + 1
        faults = _faults(head, rows)
        assert all(fault.startswith(f"series.toml line {line}: ") for fault in faults)
        assert any(told in fault for fault in faults)


def test_a_marker_of_a_sign_is_told_as_one_of_a_sign() -> None:
    text = _marker(evidence='"hints"').replace("variety", "sign")
    head, rows = _with(text, "sign")
    (fault,) = _faults(head, rows)
    assert "[[sign.marker]] 1 of [[sign]] " in fault


def test_the_command_prints_each_variety_and_sign_with_its_markers() -> None:
    series = load_series(SeriesId("us-cent-lincoln"))
    rows = slotleaf("series", "show", series.id, "--varieties", "--json").rows
    told = [s.markers for s in series.signs] + [v.markers for v in series.varieties]
    assert [r["see"] for r in rows] == [m.see for markers in told for m in markers]
    (shadow,) = [r for r in rows if r["id"] == "1956-d-shadow-d" and r["evidence"] == "decides"]
    assert (shadow["face"], shadow["x"], shadow["y"], shadow["confidence"]) == (
        "obverse",
        0.55,
        0.74,
        "published",
    )
    scale = [r for r in rows if r["id"] == "1983-bronze"]
    assert {(r["face"], r["x"], r["y"]) for r in scale} == {("whole coin", None, None)}
    plain = slotleaf("series", "show", series.id).out
    assert "1956-d-shadow-d  D with a separate shadow D; date=1956, mint=D" in plain
    assert "  supports  below the mint mark (obverse): the faint D lies below" in plain


def test_what_has_no_markers_is_told_with_where_to_look() -> None:
    series = _series(())
    told = [(s.where, s.look, None) for s in series.signs]
    told += [(v.where, v.look, None) for v in series.varieties]
    rows = marker_rows(series)
    assert [(r["place"], r["see"], r["evidence"]) for r in rows] == told
