"""What stands under a slot by the arrangement's label template."""

from dataclasses import replace

import pytest

from core.app.slot_label import filled_in, has_labels, label_text
from core.model.arrangement import Arrangement, ShowP, parse_arrangement
from core.model.issue import Issue
from tests.builders import DDO_1955, a_slot, cents

VALUES = {"date": "1943", "mark": "D", "variety": "", "mintage": "484,000", "mint": "Denver"}


@pytest.mark.parametrize(
    ("template", "text"),
    [
        ("{date}-{mark}", "1943-D"),
        ("{date} {variety} {mintage}", "1943 484,000"),
        ("{date} ({variety})", "1943"),
        ("{date} ( {variety} / {variety} ) {mark}", "1943 D"),
        ("{date} [{mint}, {variety}]", "1943 [Denver]"),
        ("{date} ({variety}, {mint})", "1943 (Denver)"),
        ("{variety} {date}", "1943"),
        ("{variety}-{date}", "1943"),
        ("{date}-{variety}", "1943"),
        ("{date}, {variety}, {mark}", "1943, D"),
        ("{{{date}}}", "{1943}"),
        ("{variety}", ""),
        ("no field", "no field"),
    ],
)
def test_an_empty_field_leaves_no_gap_no_brackets_and_no_dash(template: str, text: str) -> None:
    assert filled_in(template, VALUES) == text


def by(label: str, show_p: ShowP = ShowP.AS_ON_COIN) -> Arrangement:
    return replace(parse_arrangement(f"running:9x5; label={label}"), show_p=show_p)


def test_the_template_names_what_the_slot_is() -> None:
    denver = a_slot("1944", "D")
    assert label_text(cents(), denver, by("{date}{mark} {mint}")) == "1944D Denver"
    assert label_text(cents(), denver, by("{label}!")) == f"{denver.label}!"
    assert label_text(cents(), a_slot("1944", "P"), by("{date}-{mark}")) == "1944"
    assert label_text(cents(), a_slot("1944", "P"), by("{date}-{mark}", ShowP.ALWAYS)) == "1944-P"
    variety = replace(a_slot("1955", "P"), variety=DDO_1955)
    name = next(v.name for v in cents().varieties if v.id == DDO_1955)
    assert label_text(cents(), variety, by("{date} {variety}")) == f"1955 {name}"


def test_the_mintage_is_written_in_thousands_and_only_where_it_is_of_that_slot_alone() -> None:
    series = cents()

    def with_figure(issue: Issue) -> Issue:
        is_meant = issue.date == "1944" and issue.mint == "D"
        return replace(issue, mintage=484_000 if is_meant else None)

    known = replace(series, issues=tuple(map(with_figure, series.issues)), _masks={})
    assert label_text(known, a_slot("1944", "D"), by("{date} ({mintage})")) == "1944 (484,000)"
    assert label_text(known, a_slot("1944", "P"), by("{date} ({mintage})")) == "1944"


def test_without_a_template_or_with_its_own_label_a_slot_keeps_it() -> None:
    slot = a_slot("1944", "D")
    assert label_text(cents(), slot, by("")) == slot.label
    own = replace(slot, label="from the jar", has_own_label=True)
    assert label_text(cents(), own, by("{date}")) == "from the jar"
    assert label_text(cents(), slot, by("{variety}")) == slot.label  # nothing else would be left


@pytest.mark.parametrize(
    ("shape", "is_labelled"),
    [
        ("years-by-mints", False),
        ("years-by-mints; closed", True),
        ("years-by-mints; label={date}", True),
        ("by-design", False),
        ("running:9x5", True),
        ("by-decade", True),
    ],
)
def test_a_matrix_is_labelled_only_where_its_heads_do_not_tell(
    shape: str, is_labelled: bool
) -> None:
    assert has_labels(parse_arrangement(shape)) == is_labelled
