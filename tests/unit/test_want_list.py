"""The want list: what stands on it, in which order, how amounts are written."""

import io
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

import core.planning.curve as curves
import core.planning.plan as planning
from core.app.collection import Collection
from core.app.demo import write_demo
from core.app.design import relabel_slot
from core.app.operations import (
    add_coins,
    order_coin,
    place_coin,
    set_pinned,
    set_target,
    set_wish,
)
from core.app.price_orders import add_offer, set_prices, set_rules
from core.app.upgrades import Upgrades, plan_input
from core.app.want_list import (
    Pay,
    PayKind,
    Priority,
    WantLine,
    bought,
    code_word,
    coded,
    decoded,
    read_pay,
    want_lines,
    want_pdf,
    want_sheet,
)
from core.errors import BadEntry, Refused
from core.model.album import Wish, parse_target
from core.model.coin import CoinId, CoinStatus, Origin
from core.model.issue import BANK_ISSUE, Description
from core.model.money import money_text
from core.model.plan_album import Varieties
from core.model.prices import Offer, OfferId, Price, PriceId, PriceRules
from core.planning.aim import GAPS
from core.planning.plan import plan
from core.printing.want_list import WantPaper
from tests.cli_material import slotleaf
from tests.collection_material import (
    NICKELS,
    Clock,
    a_collection,
    an_album,
    read_coin,
    slot,
    with_coins,
)

WORD = "BLACKHORSE"
SHOWN, HIDDEN, CODED = Pay(PayKind.SHOWN), Pay(), Pay(PayKind.CODED, WORD)


def nickel(day: str, mint: str) -> Description:
    return Description.of(NICKELS, {**BANK_ISSUE, "date": day, "mint": mint})


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940–1943 at VF-20: 1941 in G-4, bought dear from somebody; four prices, an offer."""
    with a_collection(tmp_path, Clock()) as collection:
        an_album(collection)
        bought_dear = {"paid_minor": 98765, "currency": "USD", "came_from": "Aunt Agatha"}
        coin = replace(read_coin(collection, "1941 g4"), **bought_dear)  # type: ignore[arg-type]  # a test's shorthand
        collection.run(add_coins([coin]))
        with_coins(collection, "1942-D vg10")
        collection.run(place_coin(CoinId(1), slot(collection, "1941")))
        listed = [("1941", "P", 818), ("1942", "P", 300), ("1943", "D", 500), ("1940", "S", 125)]
        collection.run(
            set_prices(
                [
                    Price(PriceId(0), nickel(day, mint), 20, minor, "USD", date(2026, 3, 1))
                    for day, mint, minor in listed
                ]
            )
        )
        grade = read_coin(collection, "1940-D f12").grade
        offer = Offer(
            OfferId(0), nickel("1940", "D"), 450, "USD", date(2026, 11, 1), grade,
            where="Cousin Cuthbert",
        )  # fmt: skip
        collection.run(add_offer(offer))
        yield collection


def text_of(
    collection: Collection,
    found: Upgrades,
    lines: tuple[WantLine, ...],
    pay: Pay,
    paper: WantPaper = WantPaper.A4,
    budget: int | None = None,
) -> str:
    made = None if budget is None else plan(found.given, budget, GAPS)
    sheet = want_sheet(collection, found, lines, pay, made, budget)
    data = want_pdf(sheet, paper, collection.today)
    for clear in (WORD.encode(), b"Agatha", b"Cuthbert"):
        assert clear not in data
    pages = PdfReader(io.BytesIO(data)).pages
    size = tuple(round(float(side) * 25.4 / 72, 1) for side in pages[0].mediabox[2:])
    assert size == paper.size_mm
    return "\n".join(page.extract_text() for page in pages)


# ---- letters for digits


def test_letters_stand_for_digits_and_lead_back_to_them() -> None:
    assert coded(1250, "USD", WORD) == "BL.KE"
    assert coded(907_000, "JPY", WORD) == "SEOEEE"
    for minor in (1, 10, 99, 4725, 1_234_567_890):
        for currency in ("USD", "JPY", "KWD"):
            letters = coded(minor, currency, WORD)
            assert not re.search(r"\d", letters)
            assert decoded(letters, WORD) == money_text(minor, currency)


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("", "no word"),
        ("black horse", "no word"),
        ("blackh0rse", "no word"),
        ("жирафовыйд", "no word"),
        ("blackhors", "9 letters"),
        ("blackhorsey", "11 letters"),
        ("straßenbau", "11 letters"),
        ("blackhorsl", "L more than once"),
        ("Bookkeeper", "E, K and O more than once"),
    ],
)
def test_a_word_that_does_not_tell_ten_digits_apart_is_refused(word: str, said: str) -> None:
    with pytest.raises(BadEntry, match=said):
        code_word(word)


def test_how_the_most_to_pay_is_written_is_read_or_refused() -> None:
    assert read_pay(" Shown") == SHOWN
    assert read_pay("hidden") == HIDDEN
    assert read_pay("CODED: blackhorse") == CODED
    assert code_word("vögelkunst") == "VÖGELKUNST"
    for wrong in ("", "coded", "shown:BLACKHORSE", "secret:BLACKHORSE"):
        with pytest.raises(BadEntry, match="Choose shown, hidden"):
            read_pay(wrong)


# ---- what is sought


def told(lines: tuple[WantLine, ...]) -> list[tuple[str, str, str, str, int | None]]:
    return [(ln.priority.name, ln.row.slot.slot.label, ln.least, ln.held, ln.most) for ln in lines]


def test_open_slots_stand_by_priority_with_target_what_is_held_and_the_lists_price(
    jar: Collection,
) -> None:
    jar.run(set_wish([slot(jar, "1943-D")], Wish.OPTIONAL))
    jar.run(set_wish([slot(jar, "1940")], Wish.SKIPPED))
    jar.run(set_target([slot(jar, "1943-S")], parse_target("ms65 fs problems allowed")))
    jar.run(set_target([slot(jar, "1943-P")], None))
    jar.run(order_coin(read_coin(jar, "1942-S f12"), slot(jar, "1942-S")))
    jar.run(order_coin(read_coin(jar, "1941-D vf30"), slot(jar, "1941-D")))
    lines = want_lines(plan_input(jar))
    vf = "VF-20 or better"
    assert told(lines) == [
        ("GAP", "1940-D", vf, "gap", None),
        ("GAP", "1940-S", vf, "gap", 125),
        ("GAP", "1941-S", vf, "gap", None),
        ("GAP", "1942", vf, "gap", 300),
        ("GAP", "1942-D", vf, "gap, spare VG-10 at hand", None),
        ("GAP", "1943-P", "any grade", "gap", None),
        ("GAP", "1943-S", "MS-65 FS or better", "gap", None),
        ("UPGRADE", "1941", vf, "now G-4", 818),
        ("UPGRADE", "1942-S", vf, "F-12 on order", None),
        ("OPTIONAL", "1943-D", vf, "gap", 500),
    ]
    assert [line.row.slot.label for line in lines if line.takes_problems] == ["1943-S"]


def test_a_slot_whose_coin_is_pinned_is_not_sought(jar: Collection) -> None:
    jar.run(set_pinned([slot(jar, "1941")], True))
    assert "1941" not in [line.row.slot.label for line in want_lines(plan_input(jar))]


def test_a_plan_lists_what_it_buys_pinned_first_at_the_grade_and_price_of_the_plan(
    jar: Collection,
) -> None:
    found = plan_input(jar)
    upgrade = next(n for n, buy in found.buys.items() if buy.name == "1941 VF-20")
    found = plan_input(jar, pinned=[upgrade])
    made = plan(found.given, 818 + 125 + 300 + 450, GAPS)
    lines = want_lines(found, made)
    assert told(lines) == [
        ("CHOSEN", "1941", "VF-20 or better", "now G-4", 818),
        ("GAP", "1940-D", "F-12 or better", "gap", 450),
        ("GAP", "1940-S", "VF-20 or better", "gap", 125),
        ("GAP", "1942", "VF-20 or better", "gap", 300),
    ]
    text = " ".join(text_of(jar, found, lines, SHOWN, budget=1693).split())
    assert "Chosen by a plan within 16.93 USD, proven best." in text
    assert "4 coins sought; 16.93 USD for all." in text


def test_an_offer_of_a_damaged_coin_is_sought_with_its_problem_and_without_where(
    jar: Collection,
) -> None:
    coin = read_coin(jar, "1943-S f12 cleaned")
    offer = Offer(
        OfferId(0), coin.description, 90, "USD", date(2026, 11, 1), coin.grade, coin.problems,
        where="Cousin Cuthbert",
    )  # fmt: skip
    number = jar.run(add_offer(offer)).made_prices[0]
    found = plan_input(jar, pinned=[-number])
    (line,) = want_lines(found, plan(found.given, 90, GAPS))
    assert (line.least, line.takes_problems, line.most) == ("F-12 or better", True, 90)
    text = text_of(jar, found, (line,), SHOWN)
    assert "1943-S 0.90\nF-12 or better, problems accepted" in text
    assert "Cuthbert" not in text


# ---- on paper


@pytest.mark.parametrize("paper", WantPaper)
def test_every_line_is_read_back_in_order_on_every_paper(jar: Collection, paper: WantPaper) -> None:
    found = plan_input(jar)
    lines = want_lines(found)
    assert len(lines) == 12
    text = text_of(jar, found, lines, SHOWN, paper)
    rows = re.findall(r"^(19\d\d(?:-\w)?) (\d+\.\d\d|no price)$", text, re.MULTILINE)
    assert rows == [
        (line.row.slot.label, "no price" if line.most is None else money_text(line.most, "USD"))
        for line in lines
    ]
    assert text.count("VF-20 or better, sound only") == len(lines)
    assert len(re.findall(r"^dealer price$", text, re.MULTILINE)) == len(lines)
    assert (
        text.index("Gaps most to pay") < text.index("\n1940") < text.index("Upgrades most to pay")
    )
    assert text.index("Upgrades most to pay") < text.index("\n1941 8.18") < text.index("now G-4")
    assert "most to pay, USD" in text
    assert "Prices are estimates, not appraisals" in text
    assert "invented" not in text


def test_hidden_amounts_are_nowhere_and_those_in_letters_lead_back(jar: Collection) -> None:
    found = plan_input(jar)
    lines = want_lines(found)
    hidden = text_of(jar, found, lines, HIDDEN, budget=1693)
    assert not re.search(r"\d+\.\d\d|USD|most to pay", hidden)
    in_letters = text_of(jar, found, lines, CODED, budget=1693)
    assert not re.search(r"\d+\.\d\d", in_letters)
    letters = re.findall(r"^19\S* ([A-Z]+\.[A-Z]{2})$", in_letters, re.MULTILINE)
    assert [decoded(one, WORD) for one in letters] == ["1.25", "3.00", "5.00", "8.18"]
    assert "The most to pay is written in letters." in in_letters


def test_nothing_private_is_on_it(jar: Collection) -> None:
    found = plan_input(jar)
    for made in (None, plan(found.given, 5000, GAPS)):
        text = text_of(jar, found, want_lines(found, made), SHOWN)
        assert not re.search("Agatha|987|Cuthbert", text)


def test_a_label_of_ones_own_does_not_hide_what_is_sought(jar: Collection) -> None:
    jar.run(relabel_slot(slot(jar, "1943-S"), "the last one"))
    found = plan_input(jar)
    assert "1943-S (the last one)" in text_of(jar, found, want_lines(found), SHOWN)


def test_a_list_of_nothing_says_so(jar: Collection) -> None:
    slots = [shown.slot.id for shown in jar.album_view(jar.albums()[0].id).slots]
    jar.run(set_wish(slots, Wish.SKIPPED))
    found = plan_input(jar)
    assert "Every slot is at its target." in text_of(jar, found, want_lines(found), SHOWN)
    assert "Nothing within the budget betters a slot." in text_of(jar, found, (), SHOWN, budget=0)


# ---- bought


def test_a_line_bought_is_a_coin_on_order_and_what_was_paid_is_known_only_where_said(
    jar: Collection,
) -> None:
    lines = {line.row.slot.label: line for line in want_lines(plan_input(jar))}
    for label, paid in (("1942", None), ("1943-D", 475)):
        buy = lines[label].buy
        assert buy is not None
        jar.run(bought(buy, lines[label].slot, "USD", paid, " the spring show "))
    view = jar.album_view(jar.albums()[0].id)
    ordered = {one.label: one.ordered for one in view.slots if one.ordered is not None}
    assert list(ordered) == ["1942", "1943-D"]
    for label, paid, currency in (("1942", None, ""), ("1943-D", 475, "USD")):
        coin = ordered[label]
        assert (coin.status, coin.origin) == (CoinStatus.ON_ORDER, Origin.BOUGHT)
        assert (coin.came_from, coin.paid_minor, coin.currency) == (
            "the spring show", paid, currency,
        )  # fmt: skip
        assert coin.points == 20
    assert {"1942", "1943-D"}.isdisjoint(
        line.row.slot.label for line in want_lines(plan_input(jar))
    )
    buy = lines["1942"].buy
    assert buy is not None
    with pytest.raises(Refused, match="on order for slot 1942 already"):
        jar.run(bought(buy, lines["1942"].slot, "USD"))
    with pytest.raises(BadEntry, match="must be above 0"):
        bought(buy, lines["1942"].slot, "USD", 0)
    jar.undo()
    jar.undo()
    assert lines == {line.row.slot.label: line for line in want_lines(plan_input(jar))}


def test_an_offer_bought_is_taken(jar: Collection) -> None:
    found = plan_input(jar, pinned=[-jar.price_book().offers[0].id])
    (line,) = want_lines(found, plan(found.given, 450, GAPS))
    assert (line.priority, line.row.slot.label, line.most) == (Priority.CHOSEN, "1940-D", 450)
    assert line.buy is not None
    jar.run(bought(line.buy, line.slot, "USD"))
    assert jar.price_book().offers[0].is_taken
    assert jar.album_view(jar.albums()[0].id).by_id[line.slot].ordered is not None


# ---- the command


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("demo") / "jar.slotleaf"
    write_demo(file)
    return file


def test_the_command_prints_it_and_refuses_in_plain_words(demo: Path, tmp_path: Path) -> None:
    file, pdf = demo, tmp_path / "wants.pdf"
    before = file.read_bytes()
    said = slotleaf("wants", file, "-o", pdf, "--album", "nick", "--budget", "20", "--paper", "a6",
                    "--pay", f"coded:{WORD}")  # fmt: skip
    assert (said.code, said.err) == (0, "")
    assert re.search(r"wants.pdf: \d+ coins sought\.$", said.lines[0])
    assert "The prices are invented." in said.lines
    text = "".join(page.extract_text() for page in PdfReader(pdf).pages)
    assert "The prices are invented" in " ".join(text.split())
    assert "HBT" in text
    assert "harbour fair" not in text
    assert file.read_bytes() == before
    for words, fault in (
        (("--pay", "coded:BLACKHORSS"), "more than once"),
        (("--budget", "-5"), "below zero"),
        (("--budget", "five"), "no amount"),
        (("--album", "nowhere"), "nowhere"),
    ):
        refused = slotleaf("wants", file, "-o", pdf, *words)
        assert refused.code == 1
        assert fault in refused.err
    assert slotleaf("wants", file, "-o", pdf, "--pin", "3").code == 2
    assert slotleaf("wants", file, "-o", file).code == 1
    assert file.read_bytes() == before


def test_no_word_of_the_solver_gets_into_a_listing(
    demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """HiGHS prints by itself now and then; here it always does."""

    def chatty(solve: Callable[..., object]) -> Callable[..., object]:
        def work(*given: object, **more: object) -> object:
            os.write(1, b"a line of the solver's own\n")
            return solve(*given, **more)

        return work

    monkeypatch.setattr(planning, "plan", chatty(planning.plan))
    monkeypatch.setattr(curves, "curve", chatty(curves.curve))
    for words in (
        ("upgrades", demo, "--album", "nick", "--budget", "20", "--json"),
        ("upgrades", demo, "--album", "nick", "--curve", "--json"),
        ("wants", demo, "-o", tmp_path / "x.pdf", "--album", "nick", "--budget", "20"),
    ):
        assert slotleaf(*words).code == 0
        assert capfd.readouterr().out == ""


def test_a_price_in_between_or_taken_from_the_issue_has_its_sign(jar: Collection) -> None:
    jar.run(
        set_prices(
            [
                Price(PriceId(0), nickel("1942", "S"), points, minor, "USD", date(2026, 3, 1))
                for points, minor in ((12, 100), (30, 400))
            ]
        )
    )
    an_album(jar, "More", years=(1943, 1943), varieties=Varieties.ALL)
    jar.run(set_prices([Price(PriceId(0), nickel("1943", "P"), 20, 333, "USD", date(2026, 3, 1))]))
    jar.run(set_rules(PriceRules(inherits_all=True)))
    found = plan_input(jar)
    shown = text_of(jar, found, want_lines(found), SHOWN)
    assert re.search(r"\d\.\d\d~", shown)
    assert "3.33*" in shown
    assert "* the issue's price, taken for a variety that has none." in " ".join(shown.split())
    assert "~ a grade between two of the price list." in " ".join(shown.split())
    assert "the issue's price" not in text_of(jar, found, want_lines(found), HIDDEN)
