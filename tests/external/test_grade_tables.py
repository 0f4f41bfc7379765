"""The grade words of other countries against what the trade publishes.

Sources, typed in by hand from a gathering of published grade tables:
- "Tableau des états de conservation", a French auction house's printed catalogue no. 61: the six
  French states with their range on the 1–70 scale and their names in four other countries.
- "Grading scale", a German dealer's page: four German words with their range, read word for word.
- "Quality grades and abbreviations", a Finnish auction house: the Nordic numbers by US words.
- "Coin grades in four languages", help page of an online marketplace: the words for proof.
- UK and Australian grading pages: the British adjectives from Fair to FDC and the half steps.
"""

import pytest

from core.model.grade import SCALE, WORDS
from core.model.grade_tables import shipped_tables, table_named
from core.model.issue import Confidence

FRENCH_CATALOGUE = [
    # French, the published range, British, German, Italian, Spanish
    ("B", 6, 14, "VG", "sge", "B", "BC"),
    ("TB", 15, 39, "F", "s", "MB", "BC+"),
    ("TTB", 40, 54, "VF", "ss", "BB", "MBC"),
    ("SUP", 55, 62, "EF", "vz", "SPL", "EBC"),
    ("SPL", 63, 64, "MS", "fst", "SPL", "EBC"),
    ("FDC", 65, 70, "UNC", "st", "FDC", "SC"),
]
GERMAN_DEALER = {"st": (60, 70), "vz-st": (50, 58), "vz": (40, 45), "ss": (20, 35)}
NORDIC = {"0": "UNC", "01": "XF", "1+": "VF", "1": "F", "1?": "VG"}
PROOF = [("German", "PP"), ("British", "Proof"), ("French", "FB"), ("French", "flan bruni"),
         ("Italian", "fondo specchio")]  # fmt: skip


def steps(low: int, high: int) -> list[int]:
    """The steps of the scale within a published range, whose ends need not be steps."""
    return [step for step in SCALE if low <= step <= high]


def spelled(table: str, word: str):
    known = table_named(table)
    assert known is not None, table
    found = known.find(word)
    assert found is not None, (table, word)
    return found


@pytest.mark.parametrize("row", FRENCH_CATALOGUE)
def test_the_french_catalogues_rows_hold_in_five_countries(row):
    """F-14, VF-39 and AU-54 are no steps of the scale: the range holds the same steps."""
    french, low, high, *others = row
    words = dict(zip(("British", "German", "Italian", "Spanish"), others, strict=True))
    for table, word in {"French": french, **words}.items():
        column = ("French", "", "", "British", "German", "Italian", "Spanish").index(table)
        rows = [r for r in FRENCH_CATALOGUE if r[column] == word]
        published = steps(min(r[1] for r in rows), max(r[2] for r in rows))
        found = spelled(table, word)
        assert steps(found.low, found.high) == published, (table, word)
        assert {low, *steps(low, high)} <= set(published)


def test_the_german_words_are_lower_where_a_dealer_reads_them_word_for_word():
    for word, (low, high) in GERMAN_DEALER.items():
        found = spelled("German dealers", word)
        assert (found.low, found.high) == (low, high)
        assert found.high <= spelled("German", word).high
        assert found.low < spelled("German", word).low


def test_the_nordic_numbers_have_the_range_of_their_words():
    for number, word in NORDIC.items():
        found = spelled("Nordic", number)
        assert (found.low, found.high) == WORDS[word]


def test_the_words_for_proof_are_proofs():
    for table, word in PROOF:
        assert spelled(table, word).is_proof


def test_the_british_words_and_half_steps_are_all_there():
    for word in ("FDC", "UNC", "BU", "EF", "VF", "F", "VG", "Fair", "aEF", "gVF", "nEF"):
        assert spelled("British", word).text == word


def test_what_rests_on_no_published_number_says_that_it_is_recalled():
    recalled = {
        (table.name, word.word)
        for table in shipped_tables()
        for word in table.words
        if word.confidence is Confidence.RECALLED
    }
    assert recalled == {
        ("British", "Fair"), ("British", "FDC"), ("German", "ge"), ("Italian", "fondo specchio"),
    }  # fmt: skip


def test_every_word_names_what_was_published_and_where():
    for table in shipped_tables():
        for word in table.words:
            told = (word.published, word.source, word.meaning)
            assert all(told), (table.name, word.word)
