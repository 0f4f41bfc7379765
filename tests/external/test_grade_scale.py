"""The grade scale against what the trade publishes.

Sources, read for this test and typed in by hand:
- "Grading parameters of slabbed coins", a specialist token site: the thirty numbers in use with
  their codes and adjectives; "Grading standards", a dealer in rare coins, for those to AG-3.
- "Coin grading terms defined", trade glossary: proof numbers, which run below 60 for impaired
  proofs, and the colour words of copper.
- "Color designations: small cents", a national collectors' association's members' pages,
  25 April 2022: RD is the most red, then RB, then BN.
"""

from itertools import pairwise

import pytest

from core.errors import BadGrade
from core.model.grade import COLOUR_ORDER, SCALE, code_of, parse_grade

PUBLISHED = [
    "P-1",
    "FR-2",
    "AG-3",
    "G-4",
    "G-6",
    "VG-8",
    "VG-10",
    "F-12",
    "F-15",
    "VF-20",
    "VF-25",
    "VF-30",
    "VF-35",
    "XF-40",
    "XF-45",
    "AU-50",
    "AU-53",
    "AU-55",
    "AU-58",
    "MS-60",
    "MS-61",
    "MS-62",
    "MS-63",
    "MS-64",
    "MS-65",
    "MS-66",
    "MS-67",
    "MS-68",
    "MS-69",
    "MS-70",
]
PUBLISHED_PROOF = (45, 50, 53, 55, 58, 60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70)
OTHER_CODES = {"PO-1": "P-1", "FA-2": "FR-2", "EF-40": "XF-40", "EF-45": "XF-45", "PR-65": "PF-65"}


def number(code: str) -> int:
    return int(code.split("-")[1])


def test_the_scale_has_the_thirty_published_steps_and_no_other() -> None:
    assert len(PUBLISHED) == 30
    assert [SCALE[points] for points in sorted(SCALE)] == PUBLISHED
    assert {points: number(code) for points, code in SCALE.items()} == {p: p for p in SCALE}


@pytest.mark.parametrize("code", PUBLISHED)
def test_a_published_code_is_read_and_written(code) -> None:
    for written in (code, code.lower(), code.replace("-", ""), code.replace("-", " ")):
        grade = parse_grade(written)
        assert (grade.low, grade.high, grade.text) == (number(code), number(code), code)


@pytest.mark.parametrize("points", PUBLISHED_PROOF)
def test_published_proof_numbers_are_read_and_written(points) -> None:
    grade = parse_grade(f"pf{points}")
    assert grade.is_proof
    assert grade.text == code_of(points, is_proof=True) == f"PF-{points}"


@pytest.mark.parametrize(("other", "code"), OTHER_CODES.items())
def test_other_published_codes_mean_the_same_step(other, code) -> None:
    assert parse_grade(other) == parse_grade(code)


def test_numbers_between_the_steps_are_not_on_the_scale() -> None:
    words = {code.split("-")[0] for code in PUBLISHED}
    for points in set(range(71)) - {number(code) for code in PUBLISHED}:
        for word in words:
            with pytest.raises(BadGrade):
                parse_grade(f"{word}{points}")


def test_a_word_takes_only_its_own_numbers() -> None:
    for one, other in pairwise(PUBLISHED):
        word = one.split("-")[0]
        if word != other.split("-")[0]:
            with pytest.raises(BadGrade):
                parse_grade(f"{word}{number(other)}")


def test_colour_runs_from_brown_to_red() -> None:
    assert [c.value for c in COLOUR_ORDER] == ["BN", "RB", "RD"]
