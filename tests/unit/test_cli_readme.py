"""What README.md says of the command line is so: every command runs, every key is there."""

import re
import shlex
import shutil
from contextlib import closing
from pathlib import Path

import pytest

from core.catalogue.load import library_texts, load_series
from core.cli.main import command_names
from core.model.issue import SeriesId
from core.store.store import open_store
from tests.cli_material import ROOT, slotleaf

README = (ROOT / "README.md").read_text("utf-8")


def commands() -> list[list[str]]:
    """The commands of the section, in order, without their comments."""
    section = README.partition("\n## Command line\n")[2].partition("\n## ")[0]
    lines = "\n".join(line[4:] for line in section.splitlines() if line.startswith("    "))
    joined = lines.replace("\\\n", " ")
    return [shlex.split(line, comments=True)[1:] for line in joined.splitlines() if line.strip()]


def key_table() -> dict[str, list[str]]:
    """Listing to its keys, as the table has them; remarks in round brackets are left out."""
    found = {}
    for row in re.findall(r"^\| (`.+?`) \| (`.+) \|$", README, re.MULTILINE):
        keys = re.findall(r"`([a-z_]+)`", re.sub(r"\([^)]*\)", "", row[1]))
        for name in re.findall(r"`([a-z -]+)`", row[0]):
            found[name] = keys
    return found


def test_every_command_is_shown() -> None:
    assert {words[0] for words in commands()} == command_names()


def test_the_commands_shown_run_one_after_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(ROOT / "resources/catalogue/harbour-token", tmp_path / "my-series")
    head = tmp_path / "my-series/series.toml"  # a series of one's own has an id of its own
    head.write_text(head.read_text("utf-8").replace('"harbour-token"', '"my-tokens"', 1), "utf-8")
    (tmp_path / "entries.txt").write_text("43d vf20\nseen 5 x 1959\n/\n+foreign\n", "utf-8")
    (tmp_path / "prices.csv").write_text(PRICES, "utf-8")
    monkeypatch.chdir(tmp_path)
    for words in commands():
        said = slotleaf(*words)
        assert said.code == 0, (words, said)
        assert said.err == ""
    assert {path.name for path in tmp_path.iterdir()} >= {
        "jar.slotleaf",
        "mine.slotleaf",
        "gaps.pdf",
        "copy.slotleaf",
    }


PRICES = """series,date,mint,grade,price
us-nickel-jefferson,1950,D,VF-20,11.50
us-nickel-jefferson,1943,D,F-12,1.50
us-nickel-jefferson,1943,D,VF-20,4.00
"""
LISTINGS = {
    "albums": ("albums", "FILE"),
    "slots": ("slots", "FILE", "Nick"),
    "coins": ("coins", "FILE"),
    "fill": ("fill", "FILE"),
    "history": ("history", "FILE"),
    "series list": ("series", "list"),
    "series show": ("series", "show", "harbour-token"),
    "series show --varieties": ("series", "show", "harbour-token", "--varieties"),
    "series check": ("series", "check", "nowhere"),
    "series updates": ("series", "updates", "FILE"),
    "search list": ("search", "list", "FILE"),
    "search show": ("search", "show", "FILE", "1"),
    "look": ("look", "FILE", "nickel 43d"),
    "weigh": ("weigh", "--coins", "412", "--grams", "1173.6", "--of", "us-cent-lincoln"),
    "prices list": ("prices", "list", "FILE"),
    "prices rules": ("prices", "rules", "FILE"),
    "prices metal": ("prices", "metal", "FILE"),
    "offer": ("offer", "FILE"),
    "upgrades": ("upgrades", "FILE"),
    "upgrades --budget": ("upgrades", "FILE", "--budget", "100"),
    "upgrades --curve": ("upgrades", "FILE", "--curve"),
    "code": ("code", "FILE"),
    "arrangement list": ("arrangement", "list", "FILE"),
}


def _carry_older_nickels(file: Path) -> None:
    """Let a collection carry the nickels as an older library may have had them."""
    code = SeriesId("us-nickel-jefferson")
    head, rows = library_texts(code)
    with closing(open_store(file)) as store, store.operation("an older copy") as unit:
        unit.put_series(code, load_series(code).title, head, rows.rsplit("\n", 2)[0] + "\n")


def test_the_keys_of_every_listing_are_those_of_the_table(tmp_path: Path) -> None:
    file = tmp_path / "jar.slotleaf"
    slotleaf("demo", file)
    table = key_table()
    assert set(table) == {*LISTINGS, "check"}
    slotleaf("arrangement", "keep", file, "Nick", "mine")
    (tmp_path / "entries.txt").write_text("43d vf20\n", "utf-8")
    slotleaf("search", "new", file, "--campaign", "Nickels of the jar", "--of", "US 5c")
    slotleaf("search", "log", file, "1", tmp_path / "entries.txt")
    slotleaf("code", file, "us-nickel-jefferson", "1943-3-over-2", "K12")
    _carry_older_nickels(file)
    slotleaf("coin", "add", file, 'nickel 1943-D "\u0e01"')
    assert list(slotleaf("check", file, "--json").rows[0]) == table["check"]
    for name, words in LISTINGS.items():
        said = slotleaf(*(str(file) if word == "FILE" else word for word in words), "--json")
        assert said.rows, name
        assert list(said.rows[0]) == table[name]


def test_the_files_that_the_readme_points_to_are_there() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", README)
    assert len(links) > 8
    missing = [link for link in links if not (ROOT / link).exists()]
    if not (ROOT / "resources/pictures").is_dir():  # made by `make pictures`, then looked at
        missing = [link for link in missing if not link.startswith("resources/pictures/")]
    assert missing == []
