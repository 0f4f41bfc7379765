"""Series of one's own in a collection: saved, changed, continued, updated, deleted, exported."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.changes import Changes
from core.app.collection import Collection
from core.app.design import take_out_slots
from core.app.operations import add_coins, place_coin
from core.app.order import Operation
from core.app.own_series import (
    add_next_year,
    albums_that_follow,
    date_in,
    delete_series,
    export_series,
    issue_text,
    save_series,
    take_update,
    with_year,
)
from core.catalogue.draft import SeriesDraft, draft_of, draft_texts
from core.catalogue.load import check_folder, library_texts, load_series, read_series
from core.catalogue.write import write_series
from core.errors import CatalogueFault, CollectionError, Refused, UnknownSeries
from core.model.coin import Coin, CoinId, Finding
from core.model.issue import Description, Series, SeriesId
from core.model.plan_album import Varieties
from tests.cli_material import slotleaf
from tests.collection_material import (
    CENTS,
    NICKELS,
    TOKENS,
    a_collection,
    an_album,
    differences,
    fresh,
    read_coin,
    slot,
    with_coins,
)
from tests.unit.test_catalogue import HEAD, ROWS

PENNY = SeriesId("pier-penny")
PIER = draft_of(read_series(HEAD, ROWS))


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    with a_collection(tmp_path) as collection:
        yield collection


def without(date: str, mint: str = "") -> SeriesDraft:
    """The pier pennies without the rows of a date (of one mint), and without what rests on them."""
    kept = tuple(r for r in PIER.rows if r.date != date or mint not in ("", r.mint))
    return replace(
        PIER,
        rows=kept,
        totals=tuple(t for t in PIER.totals if t.date != date),
        mints=tuple(m for m in PIER.mints if any(r.mint == m.id for r in kept)),
        signs=PIER.signs if date != "1902" else (),
        varieties=(replace(PIER.varieties[0], applies=(("date", ("1901",)),)),),
    )


def labels(collection: Collection, album: str) -> list[str]:
    found = collection.find_album(album)
    return [view.slot.label for view in collection.album_view(found.id).slots]


def penny_album(collection: Collection, varieties: Varieties = Varieties.NONE) -> None:
    an_album(collection, "Pennies", PENNY, years=None, varieties=varieties)


def carried(collection: Collection, series: Series, texts: tuple[str, str]) -> None:
    """Let the collection carry a series as if an older program had written it."""

    def work(unit, _context):
        unit.put_series(series.id, series.title, *texts)
        return Changes.everything()

    collection.run(Operation("carry an old copy", work))


def undone_and_redone(collection: Collection, order: Operation) -> Changes:
    """Run an order; undo and redo must be exact, and what is kept be what the file says."""
    before, meant = collection.rows_hash(), collection.content_hash()
    entries = sum(not entry.is_undone for entry in collection.entries())
    done = collection.run(order)
    assert sum(not entry.is_undone for entry in collection.entries()) == entries + 1
    after = collection.rows_hash()
    assert after != before
    with fresh(collection) as other:
        assert differences(collection, other) == []
    assert (collection.undo() or "").partition(" · ")[0] == order.label
    assert (collection.rows_hash(), collection.content_hash()) == (before, meant)
    with fresh(collection) as other:
        assert differences(collection, other) == []
    assert (collection.redo() or "").partition(" · ")[0] == order.label
    assert collection.rows_hash() == after
    return done


def refused(collection: Collection, order: Operation) -> str:
    """Why an order is refused; the file must stay as it was."""
    before = collection.rows_hash()
    with pytest.raises(CollectionError) as caught:
        collection.run(order)
    assert collection.rows_hash() == before
    return str(caught.value)


# ---- saving -----------------------------------------------------------------------------------


def test_a_series_of_ones_own_is_there_once_it_is_saved_and_gone_once_it_is_undone(
    jar: Collection,
) -> None:
    assert PENNY not in {s.id for s in jar.all_series()}
    undone_and_redone(jar, save_series(PIER))
    assert jar.series(PENNY) == read_series(HEAD, ROWS)
    assert PENNY in {s.id for s in jar.all_series()}
    assert PENNY in {s.id for s in jar.series_in_use}
    jar.undo()
    assert PENNY not in {s.id for s in jar.all_series()}
    with pytest.raises(UnknownSeries):
        jar.series(PENNY)


def test_coins_and_albums_are_of_it_as_of_any_other(jar: Collection) -> None:
    jar.run(save_series(PIER))
    penny_album(jar)
    (coin,) = with_coins(jar, "1901-S vf20", series=PENNY)
    jar.run(place_coin(coin, slot(jar, "1901-S", "Pennies")))
    assert labels(jar, "Pennies") == ["1901", "1901-S", "1902"]
    with fresh(jar) as other:
        assert differences(jar, other) == []


def test_a_corrected_figure_is_told_by_every_card(jar: Collection) -> None:
    jar.run(save_series(PIER))
    penny_album(jar)
    hole = slot(jar, "1901-S", "Pennies")
    assert jar.slot_card(hole).series.issues[1].mintage is None
    meant = jar.content_hash()
    rows = (PIER.rows[0], replace(PIER.rows[1], mintage="77"), *PIER.rows[2:])
    undone_and_redone(jar, save_series(replace(PIER, rows=rows)))
    assert jar.slot_card(hole).series.issues[1].mintage == 77
    assert jar.content_hash() != meant


def test_saving_what_is_there_writes_nothing(jar: Collection) -> None:
    jar.run(save_series(PIER))
    before = jar.rows_hash()
    assert jar.run(save_series(PIER)).is_nothing
    assert jar.rows_hash() == before


def test_a_faulty_series_and_the_id_of_one_of_the_library_are_refused(jar: Collection) -> None:
    told = refused(jar, save_series(replace(PIER, title="", currency="p")))
    assert "title: title is empty; fill it in" in told
    assert "currency 'p'" in told
    told = refused(jar, save_series(replace(PIER, id=str(TOKENS))))
    assert "“harbour-token” is a series of the library" in told
    assert "another id" in told


def test_an_issue_that_a_coin_is_of_cannot_be_taken_out(jar: Collection) -> None:
    jar.run(save_series(PIER))
    with_coins(jar, "1901-S vf20", "1902 g4", series=PENNY)
    told = refused(jar, save_series(without("1901", mint="S")))
    assert "an issue or variety that would go is that of coin 1" in told
    assert "coin 2" not in told
    assert "coin 2" in refused(jar, save_series(without("1902")))


def test_an_issue_that_a_slot_takes_cannot_be_taken_out(jar: Collection) -> None:
    jar.run(save_series(PIER))
    penny_album(jar)
    told = refused(jar, save_series(without("1902")))
    assert "slot 1902 of Pennies" in told
    few = replace(PIER, rows=PIER.rows[:2], totals=(), signs=())
    jar.run(take_out_slots(jar.find_album("Pennies").id, [slot(jar, "1902", "Pennies")]))
    undone_and_redone(jar, save_series(few))


def test_a_variety_that_is_asked_for_or_was_found_cannot_be_taken_out(jar: Collection) -> None:
    jar.run(save_series(PIER))
    bare = replace(PIER, varieties=())
    penny_album(jar, varieties=Varieties.ALL)
    coin = read_coin(jar, "1901-N vf20", PENNY)
    jar.run(add_coins([coin.with_finding(PIER.varieties[0].id, Finding.CONFIRMED)]))
    told = refused(jar, save_series(bare))
    assert "slot 1901 two beaks of Pennies" in told
    assert "coin 1" in told
    elsewhere = replace(PIER.varieties[0], applies=(("date", ("1902",)),))
    assert "two beaks" in refused(jar, save_series(replace(PIER, varieties=(elsewhere,))))


def test_a_coin_in_a_slot_must_still_fit_it(jar: Collection) -> None:
    jar.run(save_series(PIER))
    penny_album(jar)
    large = Description.of(PENNY, {"date": "1902", "date size": "large"})
    (coin,) = jar.run(add_coins([Coin(CoinId(0), large)])).made_coins
    jar.run(place_coin(coin, slot(jar, "1902", "Pennies")))
    rows = list(PIER.rows)
    rows[2] = replace(rows[2], mint="S", mark="S")  # the large date is now the other mint's
    told = refused(jar, save_series(replace(PIER, rows=tuple(rows), totals=())))
    assert "that of coin 1 in slot 1902 of Pennies. Put it back" in told


# ---- the next year ----------------------------------------------------------------------------


def test_the_next_year_repeats_the_last_and_the_albums_that_follow_grow(jar: Collection) -> None:
    last = load_series(NICKELS).dates[-1][1]
    an_album(jar, "Whole", years=None)
    an_album(jar, "To the end", years=(2000, last), target="MS-65")
    an_album(jar, "Older", years=(1938, 1964))
    an_album(jar, "Any mint", years=(2000, last), mints=("any",))
    an_album(jar, "Gap", years=(2000, last))
    jar.run(take_out_slots(jar.find_album("Gap").id, [slot(jar, f"{last - 1}-D", "Gap")]))
    views = [jar.album_view(a.id) for a in jar.albums()]
    followers = {v.album.name for v in albums_that_follow(*views)}
    assert followers == {"Whole", "To the end", "Any mint"}
    before = {v.album.name: [s.slot.label for s in v.slots] for v in views}
    undone_and_redone(jar, add_next_year(NICKELS))
    new = [f"{last + 1}-P", f"{last + 1}-D"]
    assert labels(jar, "Whole") == [*before["Whole"], *new]
    assert labels(jar, "To the end") == [*before["To the end"], *new]
    assert labels(jar, "Any mint") == [*before["Any mint"], f"{last + 1} any mint"]
    assert labels(jar, "Older") == before["Older"]
    assert labels(jar, "Gap") == before["Gap"]
    target = jar.album_view(jar.find_album("To the end").id).slots[-1].slot.target
    assert target is not None
    assert target.text == "MS-65"
    added = [i for i in jar.series(NICKELS).issues if i.year == last + 1]
    assert {(i.mintage, i.source, i.confidence.value) for i in added} == {
        (None, "added by hand", "recalled")
    }
    views = [jar.album_view(a.id) for a in jar.albums()]
    assert {v.album.name for v in albums_that_follow(*views)} == followers


def test_albums_can_be_left_as_they_are(jar: Collection) -> None:
    an_album(jar, years=None)
    before = labels(jar, "Nickels")
    jar.run(add_next_year(NICKELS, grow=False))
    assert labels(jar, "Nickels") == before


def test_a_year_may_be_named_but_not_one_that_is_there(jar: Collection) -> None:
    an_album(jar)
    jar.run(add_next_year(NICKELS, 2031))
    assert jar.series(NICKELS).dates[-1] == ("2031", 2031)
    jar.run(add_next_year(NICKELS, 2030))
    assert [year for _, year in jar.series(NICKELS).dates[-2:]] == [2030, 2031]
    assert "has the date 2030 already" in refused(jar, add_next_year(NICKELS, 2030))
    assert "no year before 1900" in refused(jar, add_next_year(NICKELS, 1900))
    assert "not in this collection" in refused(jar, add_next_year(CENTS))


def test_dates_are_counted_on_as_they_are_written() -> None:
    tokens = with_year(load_series(TOKENS))
    assert tokens.dates[-1] == ("H.E. 27", 1936)
    assert len({issue_text(i) for i in tokens.issues if i.date == "H.E. 27"}) == 3
    yen = load_series(SeriesId("jp-hundred-yen"))
    assert with_year(yen).dates[-1] == ("令和5", 2023)
    odd = replace(yen.issues[-1], date="1776–1976")
    with pytest.raises(Refused, match="What follows the date 1776–1976 cannot be told"):
        date_in(odd, 1977)
    assert read_series(*write_series(tokens)) == tokens


def test_choices_of_the_last_year_are_not_repeated(jar: Collection) -> None:
    jar.run(save_series(PIER))
    jar.run(add_next_year(PENNY))
    new = [i for i in jar.series(PENNY).issues if i.date == "1903"]
    assert [(i.mint, i.choices, i.strike.value) for i in new] == [("N", (), "circulation")]


# ---- what the library has newer ---------------------------------------------------------------


def older_nickels() -> Series:
    """The nickels as an older release may have had them: see the test below."""
    now = load_series(NICKELS)
    last = now.dates[-1][1]
    issues = [i for i in now.issues if i.year < last]
    issues[0] = replace(issues[0], mintage=1)
    numbered = tuple(replace(i, number=at) for at, i in enumerate(issues))
    return replace(now, issues=numbered, varieties=now.varieties[1:], note="old", _masks={})


def test_what_the_library_has_otherwise_is_told_line_by_line(jar: Collection) -> None:
    an_album(jar, "Tokens", TOKENS, years=None)
    assert jar.series_differences() == ()
    old = older_nickels()
    carried(jar, old, write_series(old))
    (found,) = jar.series_differences()
    now = load_series(NICKELS)
    new = [i for i in now.issues if i.year == now.dates[-1][1]]
    assert (found.series, found.title) == (NICKELS, now.title)
    assert found.added == tuple(new)
    assert found.removed == ()
    assert [i.mintage for i, _ in found.corrected] == [1]
    assert found.varieties_added == now.varieties[:1]
    assert found.is_other
    assert found.text == f"{now.title}: {len(new)} issues new, 1 issue corrected, 1 variety new"
    assert f"corrected: {issue_text(now.issues[0])}: mintage 1 becomes" in found.lines[len(new)]
    assert len(found.lines) == len(new) + 3


def test_an_update_brings_the_librarys_texts_and_the_albums_grow(jar: Collection) -> None:
    old = older_nickels()
    carried(jar, old, write_series(old))
    an_album(jar, years=None)
    last = load_series(NICKELS).dates[-1][1]
    before = labels(jar, "Nickels")
    undone_and_redone(jar, take_update(NICKELS))
    assert jar.series_texts(NICKELS) == library_texts(NICKELS)
    assert jar.series_differences() == ()
    grown = labels(jar, "Nickels")
    assert [label for label in grown if label not in before] == [f"{last}-P", f"{last}-D"]
    assert grown[: len(before)] == before
    assert jar.run(take_update(NICKELS)).is_nothing


def test_years_added_by_hand_stay_whatever_the_library_has(jar: Collection) -> None:
    old = older_nickels()
    carried(jar, old, write_series(old))
    an_album(jar, years=None)
    now = load_series(NICKELS)
    last = now.dates[-1][1]
    for _ in range(2):  # the library has the first by now, and not the second
        jar.run(add_next_year(NICKELS))
    (found,) = jar.series_differences()
    assert {i.year for i in found.added} == {last}, "those that nobody adds by hand: proofs"
    assert found.removed == ()
    jar.run(take_update(NICKELS))
    taken = jar.series(NICKELS)
    assert taken.issues[: len(now.issues)] == now.issues
    assert {i.year for i in taken.issues[len(now.issues) :]} == {last + 1}
    assert jar.series_differences() == ()
    assert f"{last + 1}-P" in labels(jar, "Nickels")
    jar.undo()
    assert jar.series(NICKELS).issues[-1].year == last + 1


def test_slots_of_new_varieties_stand_behind_their_date(jar: Collection) -> None:
    old = older_nickels()
    carried(jar, old, write_series(old))
    an_album(jar, years=None, varieties=Varieties.ALL)
    jar.run(take_update(NICKELS))
    an_album(jar, "Made anew", years=None, varieties=Varieties.ALL)
    assert labels(jar, "Nickels") == labels(jar, "Made anew")


def test_an_update_that_would_leave_a_coin_without_its_issue_is_refused(jar: Collection) -> None:
    more = with_year(load_series(NICKELS))
    year = more.dates[-1][1]
    listed = [replace(i, source="an older list") if i.year == year else i for i in more.issues]
    more = replace(more, issues=tuple(listed), _masks={})
    carried(jar, more, write_series(more))
    an_album(jar, years=None)
    (found,) = jar.series_differences()
    assert {i.year for i in found.removed} == {year}
    with_coins(jar, f"{year}-D ms65")
    told = refused(jar, take_update(NICKELS))
    assert f"slot {year}-P of Nickels" in told
    assert "coin 1" in told


def test_only_a_library_series_that_is_here_can_be_updated(jar: Collection) -> None:
    assert "not in this collection" in refused(jar, take_update(NICKELS))
    jar.run(save_series(PIER))
    assert "a series of your own" in refused(jar, take_update(PENNY))


# ---- deleting, folders, commands --------------------------------------------------------------


def test_a_series_of_ones_own_is_deleted_where_nothing_uses_it(jar: Collection) -> None:
    jar.run(save_series(PIER))
    with_coins(jar, "1901-S vf20", series=PENNY)
    assert "the series of coin 1" in refused(jar, delete_series(PENNY))
    jar.undo()
    penny_album(jar)
    assert "is used by Pennies" in refused(jar, delete_series(PENNY))
    jar.undo()
    undone_and_redone(jar, delete_series(PENNY))
    assert PENNY not in {s.id for s in jar.all_series()}
    an_album(jar)
    assert "a series of the library" in refused(jar, delete_series(NICKELS))
    assert "not in this collection" in refused(jar, delete_series(PENNY))


def test_a_series_is_written_to_a_folder_and_read_back_from_it(
    jar: Collection, tmp_path: Path
) -> None:
    folder = tmp_path / "deep" / "pennies"
    jar.run(save_series(PIER))
    paths = export_series(jar.series(PENNY), folder)
    assert [p.name for p in paths] == ["series.toml", "issues.csv"]
    assert sorted(p.name for p in folder.iterdir()) == ["issues.csv", "series.toml"]
    with pytest.raises(Refused, match="is there already"):
        export_series(jar.series(PENNY), folder)
    assert export_series(jar.series(PENNY), folder, replace=True) == paths
    jar.undo()
    jar.run(save_series(draft_of(check_folder(folder))))
    assert jar.series(PENNY) == read_series(HEAD, ROWS)
    paths[0].write_text("title = 7")
    with pytest.raises(CatalogueFault, match=r"series.toml line 1: there is no id"):
        check_folder(folder)


def test_the_commands_say_what_was_done_and_which_albums_grew(tmp_path: Path) -> None:
    folder, file = tmp_path / "mine", tmp_path / "jar.slotleaf"
    folder.mkdir()
    for name, text in zip(("series.toml", "issues.csv"), draft_texts(PIER), strict=True):
        (folder / name).write_text(text, "utf-8")
    slotleaf("new", file)
    assert (
        slotleaf("series", "add", file, folder).out
        == "Pier pennies (pier-penny) added: 5 issues.\n"
    )
    assert "is there already as it is" in slotleaf("series", "add", file, folder).out
    slotleaf("album", "new", file, "Pennies", "--series", "pier-penny")
    said = slotleaf("series", "next-year", file, "pier-penny")
    assert said.out == "Pier pennies: an issue of 1903 added. New slots: Pennies (1).\n"
    said = slotleaf("series", "export", file, "pier-penny", tmp_path / "out")
    assert (said.code, len(said.lines)) == (0, 2)
    assert slotleaf("series", "export", file, "pier-penny", tmp_path / "out").code == 1
    assert slotleaf("series", "updates", file).out == "Every series is as the library has it.\n"
    slotleaf("album", "new", file, "Nickels", "--series", NICKELS, "--years", "1940-1950")
    slotleaf("series", "next-year", file, NICKELS)
    assert slotleaf("series", "updates", file, "--json").rows == []
    old = older_nickels()
    with Collection.open(file) as jar:
        carried(jar, old, write_series(old))
    rows = slotleaf("series", "updates", file, "--json").rows
    assert {row["series"] for row in rows} == {NICKELS}
    assert rows[0]["difference"].startswith("new: ")
    assert slotleaf("series", "updates", file, "--take", NICKELS).code == 0
    assert slotleaf("series", "updates", file, "--json").rows == []


def test_a_number_of_a_coin_is_not_confused_with_that_of_another_series(jar: Collection) -> None:
    jar.run(save_series(PIER))
    with_coins(jar, "1941 vf20")
    (penny,) = with_coins(jar, "1901-S", series=PENNY)
    assert penny == CoinId(2)
    told = refused(jar, save_series(without("1901", mint="S")))
    assert "that of coin 2." in told
