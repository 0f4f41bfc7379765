import pytest

from core.errors import BadEntry, BadGrade
from core.model.album import Target, parse_target
from core.model.arrangement import Arrangement, ArrangementKind, parse_arrangement
from core.model.grade import Colour, Grade, parse_grade


def met(target: str, grade: str, has_problem: bool = False) -> bool:
    wanted = parse_target(target)
    assert wanted is not None
    return wanted.is_met_by(parse_grade(grade) if grade else None, has_problem)


@pytest.mark.parametrize(
    ("target", "grade", "has_problem", "is_met"),
    [
        ("vf20", "vf20", False, True),
        ("vf20", "vf30", False, True),
        ("vf20", "f15", False, False),
        ("vf20", "", False, False),
        ("vf20", "f-xf", False, False),  # a range counts by its low end
        ("vf20", "vf-xf", False, True),
        # a details grade never meets a target that allows no problems
        ("vf20", "au details", False, False),
        ("vf20 problems allowed", "au details", False, True),
        ("vf20 problems allowed", "f12 details", False, False),
        ("vf20", "vf30", True, False),
        ("vf20 problems allowed", "vf30", True, True),
        # proof numbers meet only proof targets, and the other way round
        ("ms65", "pf65", False, False),
        ("pf65", "ms65", False, False),
        ("pf65", "pf66", False, True),
        # colour: at least as red
        ("ms63 rb", "ms65 rd", False, True),
        ("ms63 rb", "ms65 rb", False, True),
        ("ms63 rb", "ms65 bn", False, False),
        ("ms63 rb", "ms65", False, False),
        # strike words: all of them, a greater one holds the lesser
        ("ms65 fs", "ms65", False, False),
        ("ms65 fs", "ms65 fs", False, True),
        ("ms65 fs", "ms65 6fs", False, True),
        ("ms65 6fs", "ms65 5fs", False, False),
        ("ms65 fb pl", "ms66 fb", False, False),
        # no least grade
        ("sound", "", False, True),
        ("sound", "g4", False, True),
        ("sound", "g4", True, False),
        ("sound", "g4 details", False, False),
        ("rd", "", False, False),
        ("rd", "au58 rd", False, True),
        ("problems allowed", "", True, True),
    ],
)
def test_what_meets_a_target(target, grade, has_problem, is_met) -> None:
    assert met(target, grade, has_problem) is is_met


@pytest.mark.parametrize(
    ("written", "target", "text"),
    [
        ("vf20", Target(20), "VF-20"),
        (" MS-65  RD fs ", Target(65, False, Colour.RD, ("FS",)), "MS-65 RD FS"),
        ("pf65", Target(65, True), "PF-65"),
        ("G-4 problems allowed", Target(4, allows_problems=True), "G-4 problems allowed"),
        ("sound", Target(None), "sound"),
        ("RD", Target(None, colour=Colour.RD), "RD"),
        ("rd pl", Target(None, colour=Colour.RD, strike_words=("PL",)), "RD PL"),
        ("problems allowed", Target(None, allows_problems=True), "problems allowed"),
        ("vf-xf", Target(20), "VF-20"),
    ],
)
def test_a_target_reads_as_collectors_write_it(written, target, text) -> None:
    assert parse_target(written) == target
    assert target.text == text


@pytest.mark.parametrize("written", ["", "none", "  None "])
def test_no_target_is_none(written) -> None:
    assert parse_target(written) is None


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("vf21", "VF has no step 21"),
        ("xyz", "“XYZ”"),
        ("ms65+", "a target has no +"),
        ("au details", "no details"),
    ],
)
def test_what_is_no_target_is_refused(written, told) -> None:
    with pytest.raises(BadGrade) as caught:
        parse_target(written)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("written", "arrangement", "text"),
    [
        ("years-by-mints", Arrangement(), "years-by-mints"),
        ("Years-by-Mints:8", Arrangement(rows_per_leaf=8), "years-by-mints:8"),
        ("running:9x5", Arrangement(ArrangementKind.RUNNING, 9, 5), "running:9x5"),
        (" running:1x60 ", Arrangement(ArrangementKind.RUNNING, 1, 60), "running:1x60"),
    ],
)
def test_an_arrangement_reads_as_the_command_line_writes_it(written, arrangement, text) -> None:
    assert parse_arrangement(written) == arrangement
    assert arrangement.text == text


@pytest.mark.parametrize(
    "written",
    ["", "running", "running:9", "running:0x5", "running:9x61", "years-by-mints:0", "boxes:2x2",
     "running:-1x5", "running:9x5x2"],
)  # fmt: skip
def test_what_is_no_arrangement_is_refused_with_what_may_be_written(written) -> None:
    with pytest.raises(BadEntry, match="running:9x5"):
        parse_arrangement(written)


def test_a_proof_range_meets_a_proof_target_by_its_low_end() -> None:
    assert Target(63, is_proof=True).is_met_by(Grade(63, 70, is_proof=True), has_problem=False)
    assert not Target(63, is_proof=True).is_met_by(Grade(60, 70, is_proof=True), has_problem=False)
