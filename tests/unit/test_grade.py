import pytest

from core.errors import BadGrade
from core.model.grade import Colour, Grade, code_of, has_strike_words, parse_grade


@pytest.mark.parametrize(
    ("written", "grade", "text"),
    [
        ("vf20", Grade(20, 20), "VF-20"),
        ("VF-30", Grade(30, 30), "VF-30"),
        ("vf 35", Grade(35, 35), "VF-35"),
        ("g4", Grade(4, 4), "G-4"),
        ("p1", Grade(1, 1), "P-1"),
        ("po1", Grade(1, 1), "P-1"),
        ("fa2", Grade(2, 2), "FR-2"),
        ("ef45", Grade(45, 45), "XF-45"),
        ("au58", Grade(58, 58), "AU-58"),
        ("ms65+ rd fs", Grade(65, 65, False, True, False, Colour.RD, ("FS",)), "MS-65+ RD FS"),
        ("RD ms65", Grade(65, 65, colour=Colour.RD), "MS-65 RD"),
        ("au", Grade(50, 58), "AU"),
        ("au details", Grade(50, 58, is_details=True), "AU details"),
        ("xf45 det", Grade(45, 45, is_details=True), "XF-45 details"),
        ("unc", Grade(60, 70), "MS"),
        ("bu rb", Grade(60, 70, colour=Colour.RB), "MS RB"),
        ("vf-xf", Grade(20, 45), "VF-20 to XF-45"),
        ("vf to xf", Grade(20, 45), "VF-20 to XF-45"),
        ("vf20-xf40", Grade(20, 40), "VF-20 to XF-40"),
        ("VF-20–XF-40", Grade(20, 40), "VF-20 to XF-40"),
        ("vf20 - xf40", Grade(20, 40), "VF-20 to XF-40"),
        ("vf20-30", Grade(20, 30), "VF-20 to VF-30"),
        ("vf 20-30", Grade(20, 30), "VF-20 to VF-30"),
        ("ms63+ to ms65", Grade(63, 65, is_plus=True), "MS-63+ to MS-65"),
        ("pf65 dcam", Grade(65, 65, True, strike_words=("DCAM",)), "PF-65 DCAM"),
        ("pr-45", Grade(45, 45, True), "PF-45"),
        ("proof", Grade(60, 70, True), "PF-60 to PF-70"),
        ("ms64 dpl", Grade(64, 64, strike_words=("DMPL",)), "MS-64 DMPL"),
        ("ms66 ucam", Grade(66, 66, strike_words=("DCAM",)), "MS-66 DCAM"),
    ],
)
def test_a_grade_reads_as_collectors_write_it(written, grade, text) -> None:
    assert parse_grade(written) == grade
    assert grade.text == text


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("vf21", "VF has no step 21; its steps are 20, 25, 30, 35"),
        ("au60", "AU has no step 60"),
        ("ms71", "MS has no step 71"),
        ("zz20", "“ZZ”"),
        ("65", "“65” is not on the grade scale"),
        ("vf20 xf40", "two grades"),
        ("rd", "names no grade"),
        ("", "names no grade"),
        ("xf-vf", "from the lower grade to the higher"),
        ("ms65-pf66", "from the lower grade to the higher"),
        ("vf20-xf40+", "only the lower grade may have a +"),
        ("pf99", "has no step 99"),
    ],
)
def test_a_word_off_the_scale_is_named(written, told) -> None:
    with pytest.raises(BadGrade) as caught:
        parse_grade(written)
    assert told in str(caught.value)


def test_another_countrys_words_are_kept_as_entered() -> None:
    assert Grade(40, 45, entered="sehr schön").text == "sehr schön"


def test_codes_of_steps() -> None:
    assert [code_of(p) for p in (1, 2, 3, 15, 58, 70)] == [
        "P-1", "FR-2", "AG-3", "F-15", "AU-58", "MS-70",
    ]  # fmt: skip
    assert code_of(55, is_proof=True) == "PF-55"


@pytest.mark.parametrize(
    ("wanted", "given", "is_enough"),
    [
        ((), (), True),
        (("FS",), (), False),
        (("FS",), ("FS",), True),
        (("FS",), ("6FS",), True),
        (("5FS",), ("6FS",), True),
        (("6FS",), ("5FS",), False),
        (("FB",), ("FT",), True),
        (("PL",), ("DMPL",), True),
        (("CAM",), ("DCAM",), True),
        (("DCAM",), ("CAM",), False),
        (("FB", "PL"), ("FB",), False),
    ],
)
def test_strike_words_hold_the_lesser_ones(wanted, given, is_enough) -> None:
    assert has_strike_words(wanted, given) is is_enough
