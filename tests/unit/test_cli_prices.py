"""Prices, offers and upgrades on the command line: what is said, refused and left alone."""

from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli_material import slotleaf

SHEET = """series;date;mint;grade;price;currency;day;source
us-nickel-jefferson;1943;D;F-12;1,50;;2026-01-05;the fair
us-nickel-jefferson;1943;D;VF-20;4;;2026-01-05;the fair
us-nickel-jefferson;1943;S;VF-20;3;EUR;2001-01-05;a book
"""


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    file = tmp_path / "jar.slotleaf"
    slotleaf("new", file)
    words = ("--series", "us-nickel-jefferson", "--years", "1943-1943", "--target", "VF-20")
    slotleaf("album", "new", file, "Nickels", *words)
    (tmp_path / "prices.csv").write_text(SHEET, "utf-8")
    return file


def test_a_sheet_is_told_taken_in_and_listed(jar: Path) -> None:
    sheet = jar.with_name("prices.csv")
    dry = slotleaf("prices", "import", jar, sheet, "--dry-run")
    assert dry.out == "Would come: 3 prices. Nothing was changed.\n"
    assert slotleaf("prices", "list", jar).out.startswith("There are no prices yet.")
    assert slotleaf("prices", "import", jar, sheet).out == (
        "Imported: 3 prices, 3 of them new or changed.\n"
    )
    assert slotleaf("prices", "rate", jar, "eur", "1.08").out == "1 EUR is 1.08 USD.\n"
    rows = slotleaf("prices", "list", jar, "--json").rows
    assert [(r["coin"], r["grade"], r["price"], r["in_base"], r["is_old"]) for r in rows] == [
        ("1943-D", "F-12", "1.50", "1.50", False),
        ("1943-D", "VF-20", "4.00", "4.00", False),
        ("1943-S", "VF-20", "3.00", "3.24", True),
    ]
    assert slotleaf("prices", "list", jar).lines[-1] == "1 price is older than 730 days."


def test_a_price_is_typed_and_deleted_and_a_rate_forgotten(jar: Path) -> None:
    said = slotleaf(
        "prices", "add", jar, "43d vf20 @ 4.48", "--source", "mine", "--day", "2026-01-05"
    )
    assert said.out == "Price 1: 1943-D VF-20, 4.48 USD.\n"
    (row,) = slotleaf("prices", "list", jar, "--json").rows
    assert (row["source"], row["day"], row["is_replaced"]) == ("mine", "2026-01-05", False)
    assert slotleaf("prices", "delete", jar, "1").out == "1 price is deleted.\n"
    slotleaf("prices", "rate", jar, "EUR", "1.08")
    assert (
        slotleaf("prices", "rate", jar, "eur", "--forget").out == "The rate of EUR is forgotten.\n"
    )
    wrongs = (
        ("add", "43d @ 5"), ("add", "43d vf20 bent @ 5"), ("add", "43d vf20"), ("delete", "9"),
        ("rate", "EUR"), ("rate", "EUR", "1", "--forget"), ("rate", "EUR", "--forget"),
    )  # fmt: skip
    for name, *wrong in wrongs:
        assert slotleaf("prices", name, jar, *wrong).code == 1
    assert slotleaf("prices", "rules", jar).lines[1].split() == ["base", "USD"]


def test_every_faulty_row_is_named_and_nothing_is_imported(jar: Path) -> None:
    sheet = jar.with_name("prices.csv")
    sheet.write_text(SHEET.replace("F-12", "F-13").replace("VF-20;3", "VF-20;three"), "utf-8")
    said = slotleaf("prices", "import", jar, sheet)
    assert said.code == 1
    assert [line.partition(": ")[2][:24] for line in said.err.splitlines()] == [
        "prices.csv, line 2, grad",
        "prices.csv, line 4, pric",
        "Nothing was imported: 2 ",
    ]
    assert slotleaf("prices", "list", jar, "--json").rows == []


def test_rules_are_shown_and_changed(jar: Path) -> None:
    before = slotleaf("history", jar, "--json").rows
    (shown,) = slotleaf("prices", "rules", jar, "--json").rows
    assert (shown["base"], shown["choose"], shown["silver"]) == ("USD", "newest", None)
    assert slotleaf("history", jar, "--json").rows == before
    options = ("--choose", "median", "--resale-share", "55", "--silver", "30.5")
    (now,) = slotleaf("prices", "rules", jar, *options, "--json").rows
    assert (now["choose"], now["resale_share"], now["silver"]) == ("median", 55, "30.50")
    inherit = "us-nickel-jefferson/1943-3-over-2"
    assert slotleaf("prices", "rules", jar, "--inherit", inherit, "--json").rows[0]["inherits"] == (
        inherit
    )
    assert not slotleaf("prices", "rules", jar, "--own-price", inherit, "--json").rows[0][
        "inherits"
    ]
    assert slotleaf("prices", "rules", jar, "--inherit-all", "--json").rows[0]["inherits_all"]
    wrongs = (
        ("--problem-share", "101"), ("--inherit", "x"), ("--silver", "much"),
        ("--own-price", inherit),
    )  # fmt: skip
    for wrong in wrongs:
        assert slotleaf("prices", "rules", jar, *wrong).code == 1
    off = ("--no-inherit-all", "--copper", "7,50 eur a kg", "--spot-day", "2025-05-03")
    (now,) = slotleaf("prices", "rules", jar, *off, "--json").rows
    assert [now[f"copper{name}"] for name in ("", "_currency", "_per", "_day")] == [
        "7.50", "EUR", "kg", "2025-05-03",
    ]  # fmt: skip
    assert (now["inherits_all"], now["silver"]) == (False, "30.50")


def test_a_day_of_no_price_and_an_offer_of_no_number_are_refused_for_what_they_are(
    jar: Path,
) -> None:
    said = slotleaf("prices", "rules", jar, "--spot-day", "2025-05-03")
    assert (said.code, "--silver or --copper" in said.err) == (1, True)
    for wrong in (("--back", "0"), ("--take", "0", "--album", "N", "--slot", "1943-D")):
        said = slotleaf("offer", jar, *wrong)
        assert (said.code, "reading only" in said.err) == (1, False), said.err


def test_an_offer_is_answered_noted_taken_and_forgotten(jar: Path) -> None:
    slotleaf("prices", "import", jar, jar.with_name("prices.csv"))
    look = slotleaf("offer", jar, "43d vf20 @ 4.48", "--look")
    assert look.out == "1943-D VF-20, 4.48 USD: gap / over your list by 12 %\n"
    assert slotleaf("offer", jar).out.startswith("There are no offers.")
    noted = slotleaf("offer", jar, "43d vf20 @ 4.48 at the fair", "--json").rows[0]
    assert (noted["number"], noted["over_percent"], noted["where"]) == (1, 12, "the fair")
    slotleaf("offer", jar, "43s vf20 @ 2")
    changed = slotleaf("offer", jar, "--change", "2", "@ 3 eur until 2099-01-01 at the fair x 2")
    assert changed.out == "Offer 2: 1943-S VF-20, 3.00 EUR, until 2099-01-01.\n"
    for number, text in (("9", "@ 3"), ("2", "43s @ 3"), ("2", "@ much"), ("2", "")):
        assert slotleaf("offer", jar, "--change", number, text).code == 1
    assert [r["stands"] for r in slotleaf("offer", jar, "--json").rows] == [True, True]
    assert slotleaf("offer", jar, "--take", "1").code == 1
    taken = slotleaf("offer", jar, "--take", "1", "--album", "nick", "--slot", "1943-D")
    assert taken.out == "Offer 1 is on order for 1943-D of Nickels.\n"
    assert slotleaf("slots", jar, "nick", "--json").rows[1]["state"] == "on order"
    assert slotleaf("offer", jar, "--back", "2").out == "Offer 2 is forgotten.\n"
    for wrong in (("43d vf20",), ("43d @ much",), ("43d @ 1", "--back", "1"), ("--back", "9")):
        assert slotleaf("offer", jar, *wrong).code == 1


def test_an_empty_collection_is_told_what_comes_next_and_one_offer_is_enough(
    tmp_path: Path,
) -> None:
    file = tmp_path / "new.slotleaf"
    slotleaf("new", file)
    for asked in ((), ("--budget", "250"), ("--curve",)):
        told = slotleaf("upgrades", file, *asked)
        assert told.out.startswith("There are no albums yet. Next: slotleaf album new ")
    assert slotleaf("upgrades", file, "--json").rows == []
    nickels = ("--series", "us-nickel-jefferson", "--years", "1943-1944", "--mints", "P,D")
    slotleaf("album", "new", file, "Nickels", *nickels)
    assert slotleaf("upgrades", file, "--budget", "9").lines[0] == (
        "Nothing has a price yet. Next: slotleaf prices add, or slotleaf offer"
    )
    slotleaf("offer", file, "43d vf20 @ 4")
    lines = slotleaf("upgrades", file, "--budget", "9").lines
    assert lines[2] == "Spent 4.00 USD: 1 gap closed, 1 target met, 20 grade points; proven best."
    assert not any("freed" in line for line in lines)
    slotleaf("prices", "add", file, "44d ungraded @ 1.25")
    (bare,) = slotleaf("prices", "list", file, "--json").rows
    assert (bare["grade"], bare["price"]) == ("no grade", "1.25")


def test_upgrades_are_listed_planned_and_drawn_up(jar: Path) -> None:
    slotleaf("prices", "import", jar, jar.with_name("prices.csv"))
    slotleaf("coin", "add", jar, "1943-P vf20")
    rows = {row["slot"]: row for row in slotleaf("upgrades", jar, "--json").rows}
    assert (rows["1943-P"]["spare"], rows["1943-P"]["costs"]) == (1, "not priced")
    assert (rows["1943-D"]["next"], rows["1943-D"]["useful"]) == ("1943-D F-12", 2)
    made = slotleaf("upgrades", jar, "--budget", "4", "--aim", "targets", "--json").rows
    assert [(r["do"], r["coin"], r["costs"]) for r in made] == [
        ("move", "coin 1 VF-20", "0.00"),
        ("buy", "1943-D VF-20", "4.00"),
    ]
    told = slotleaf("upgrades", jar, "--budget", "4", "--aim", "targets").lines
    assert told[3] == "Spent 4.00 USD: 2 gaps closed, 2 targets met, 40 grade points; proven best."
    assert told[-1] == "1 price is left out: no rate of EUR."
    steps = slotleaf("upgrades", jar, "--curve", "--json").rows
    assert [(step["spent"], step["figure"]) for step in steps] == [("0.00", 1), ("1.50", 2)]
    page = jar.with_name("curve.pdf")
    drawn = slotleaf("upgrades", jar, "--curve", "--budget", "1", "-o", page, "--paper", "a5")
    assert drawn.lines[0] == f"Wrote {page}: at most 2 gaps closed for 1.50 USD."
    (only,) = PdfReader(page).pages
    text = only.extract_text()
    for said in (
        "What each amount buys",
        "budget 1.00",
        "1.00 USD: 1 gap closed",
        "not appraisals",
    ):
        assert said in text
    assert slotleaf("upgrades", jar, "-o", page).code == 2
    assert slotleaf("upgrades", jar, "--curve", "-o", jar).code == 1  # a collection stays
    number = made[1]["number"]
    without = slotleaf("upgrades", jar, "--budget", "9", "--forbid", number, "--json").rows
    assert [r["coin"] for r in without if r["do"] == "buy"] == ["1943-D F-12"]
    for wrong in (("--budget", "x"), ("--aim", "best"), ("--budget", "1", "--pin", number)):
        assert slotleaf("upgrades", jar, *wrong).code == 1


def test_metals_are_told_with_the_caution(jar: Path) -> None:
    slotleaf("coin", "add", jar, "2 x 1943-P")
    assert slotleaf("prices", "metal", jar).lines[-1].startswith("No spot price is entered")
    slotleaf("prices", "rules", jar, "--silver", "30")
    (row,) = slotleaf("prices", "metal", jar, "--json").rows
    assert (row["coins"], row["silver_ounces"], row["worth"]) == (2, "0.11252", "3.38")
    assert "31 CFR 82.1" in row["caution"]
    slotleaf("prices", "import", jar, jar.with_name("prices.csv"))
    said = slotleaf("prices", "metal", jar, "--spares")
    assert "An estimate, not an offer." in said.out
    slotleaf("prices", "rules", jar, "--silver", "28 chf")
    assert "No rate of CHF: its spot price is left out." in slotleaf("prices", "metal", jar).lines
