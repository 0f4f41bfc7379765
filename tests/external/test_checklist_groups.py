"""Lists of an album by leaf, decade and mint, read back from paper and compared with the model."""

import io
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest

from core.app.checklists import ListGroup, ListName
from core.app.collection import Collection
from core.app.operations import place_coin, set_note
from core.model.plan_album import Varieties
from core.printing.checklist import Checklist, ListColumn, Look, Paper
from core.printing.pdf import checklist_pdf
from core.printing.type_sizes import type_sizes
from tests.collection_material import CENTS, a_collection, an_album, slot, with_coins
from tests.paper_reading import bare, expected_row, read_back

LOOKS = {
    "plain": Look(),
    "large print": Look(is_large=True),
    "all columns": Look(tuple(ListColumn)),
    "all columns in large print": Look(tuple(ListColumn), is_large=True),
    "dates alone": Look(()),
}


@pytest.fixture(scope="module")
def jar(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Collection]:
    """Cents of 1954 to 1962 with their varieties: figures split and not, long names, a note."""
    folder: Path = tmp_path_factory.mktemp("jar")
    with a_collection(folder) as collection:
        an_album(collection, "Cents", CENTS, (1954, 1962), varieties=Varieties.ALL)
        for entry, label in (("1955 g4", "1955"), ("1956-D vf30", "1956-D"), ("1959 bent", "1959")):
            (number,) = with_coins(collection, entry, series=CENTS)
            collection.run(place_coin(number, slot(collection, label, "Cents")))
        note = "look at the date under the lamp; ask Tuesday at the harbour"
        collection.run(set_note(slot(collection, "1957", "Cents"), note))
        yield collection


def _listing(jar: Collection, group: ListGroup) -> Checklist:
    return jar.checklist(jar.find_album("Cents").id, ListName.ALL, group=group)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("group", ListGroup)
def test_every_grouping_read_back_equals_the_model_row_for_row(
    jar: Collection, group: ListGroup, paper: Paper, look: str
) -> None:
    listing, chosen = _listing(jar, group), LOOKS[look]
    data = checklist_pdf(listing, paper, chosen)
    rows, heads = read_back(data, type_sizes(paper, chosen.is_large))
    expected = [expected_row(row, heads, chosen) for leaf in listing.leaves for row in leaf.rows]
    assert len(expected) > 30
    assert rows == expected
    if ListColumn.MINTAGE in chosen.columns:
        told = "".join(row.mintage + row.below for row in rows)
        assert "586,405,000ofall1960" in told


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("group", [ListGroup.DECADE, ListGroup.MINT])
def test_the_heads_of_groups_stand_in_order_with_their_counts(
    jar: Collection, group: ListGroup, paper: Paper
) -> None:
    listing = _listing(jar, group)
    reader = pypdf.PdfReader(io.BytesIO(checklist_pdf(listing, paper)))
    text = bare("".join(page.extract_text() for page in reader.pages))
    at = 0
    for leaf in listing.leaves:
        at = text.find(bare(leaf.title + leaf.subtitle), at)
        assert at >= 0, leaf.title


@pytest.mark.parametrize("group", ListGroup)
def test_the_same_list_gives_the_same_bytes(jar: Collection, group: ListGroup) -> None:
    look = LOOKS["all columns in large print"]
    first = checklist_pdf(_listing(jar, group), Paper.INDEX_CARD, look)
    assert checklist_pdf(_listing(jar, group), Paper.INDEX_CARD, look) == first
