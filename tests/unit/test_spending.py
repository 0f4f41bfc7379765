"""What was bought comes off the budget once, and goes back onto it as it came."""

from pathlib import Path

from core.app.operations import order_coin
from core.app.upgrades import plan_input
from core.model.coin import CoinId
from gui.upgrades.spending import Spending
from tests.collection_material import a_collection, an_album, read_coin, slot, with_coins


def test_undone_as_much_goes_back_as_came_off(tmp_path: Path) -> None:
    with a_collection(tmp_path) as jar:
        an_album(jar)
        spending, number = Spending(), slot(jar, "1942-D")
        bare = plan_input(jar).rows
        (made,) = jar.run(order_coin(read_coin(jar, "1942-D vf20"), number)).made_coins
        spending.bought([made], number, 150)
        rows = plan_input(jar).rows
        assert spending.settled(100, rows) == 0, "no budget is below nothing"
        assert spending.settled(0, rows) == 0, "once is enough"
        assert spending.settled(0, bare) == 100
        assert spending.settled(100, bare) == 100


def test_a_coin_that_went_on_is_paid_for_still(tmp_path: Path) -> None:
    with a_collection(tmp_path) as jar:
        an_album(jar)
        spending, number = Spending(), slot(jar, "1942-D")
        (made,) = jar.run(order_coin(read_coin(jar, "1942-D vf20"), number)).made_coins
        spending.bought([made], number, 40)
        assert spending.settled(100, plan_input(jar).rows) == 60
        elsewhere = Spending()
        elsewhere.bought([made], slot(jar, "1943-D"), 40)
        assert elsewhere.settled(100, plan_input(jar).rows) == 60, "another slot holds it"
        (spare,) = with_coins(jar, "1941-D vf20")
        kept = Spending()
        kept.bought([spare], number, 40)
        found = plan_input(jar)
        assert kept.settled(100, found.rows, found.coins) == 60, "it is among the spares"
        assert kept.settled(60, found.rows, [CoinId(999)]) == 100
