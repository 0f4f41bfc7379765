from core.model.coin import Coin, CoinId, Finding
from core.model.grade import parse_grade
from tests.builders import DDO_1955, RPM_1944, a_coin


def test_a_lot_is_a_row_of_several() -> None:
    assert not a_coin().is_lot
    assert a_coin(quantity=3).is_lot


def test_points_are_the_low_end_of_the_grade() -> None:
    assert a_coin().points is None
    assert a_coin(grade="vf-xf").points == 20


def test_findings_are_set_changed_and_forgotten() -> None:
    coin = a_coin()
    assert coin.finding(DDO_1955) is None
    seen = coin.with_finding(DDO_1955, Finding.SUSPECTED).with_finding(RPM_1944, Finding.CONFIRMED)
    assert seen.finding(DDO_1955) is Finding.SUSPECTED
    settled = seen.with_finding(DDO_1955, Finding.RULED_OUT)
    assert settled.finding(DDO_1955) is Finding.RULED_OUT
    assert settled.finding(RPM_1944) is Finding.CONFIRMED
    assert settled.with_finding(DDO_1955, None).with_finding(RPM_1944, None) == coin


def test_findings_are_kept_in_one_order() -> None:
    one = a_coin().with_finding(DDO_1955, Finding.CONFIRMED)
    two = a_coin().with_finding(RPM_1944, Finding.CONFIRMED)
    both = one.with_finding(RPM_1944, Finding.CONFIRMED)
    assert both == two.with_finding(DDO_1955, Finding.CONFIRMED)


def test_most_finds_have_no_grade() -> None:
    coin = a_coin()
    assert coin.grade is None
    assert coin == Coin(CoinId(1), coin.description)
    assert a_coin(grade="vf20").grade == parse_grade("VF-20")
