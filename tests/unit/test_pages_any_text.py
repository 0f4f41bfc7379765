"""Whatever a list says, in whatever script, it is laid out within the margins and written."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.printing.checklist import (
    Checklist,
    ChecklistLeaf,
    ChecklistRow,
    LeafMap,
    ListColumn,
    ListKind,
    Look,
    Paper,
)
from core.printing.page_edges import frame_of
from core.printing.pages import lay_out
from core.printing.pdf import checklist_pdf, measure, wrap
from core.printing.png import page_count
from tests.paper_cases import DAY
from tests.paper_checks import assert_nothing_overlaps, assert_within_margins

words = st.text(max_size=60)
codes = st.sampled_from([0, 1, 2, 5, 9, 15, 17, 33, 65, 113])
rows = st.builds(
    ChecklistRow,
    code=codes,
    label=words,
    variety=words,
    held=words,
    wanted=words,
    is_optional=st.booleans(),
    note=st.text(max_size=400),
    mintage=words,
    count=st.integers(0, 10**9),
)
maps = st.builds(
    LeafMap,
    st.lists(words, max_size=5).map(tuple),
    st.lists(words, max_size=40).map(tuple),
    st.lists(st.lists(codes, max_size=70).map(tuple), max_size=40).map(tuple),
)
leaves = st.builds(
    ChecklistLeaf, words, words, st.none() | maps, st.lists(rows, max_size=15).map(tuple), words
)
checklists = st.builds(
    Checklist,
    words,
    words,
    words,
    st.just(DAY),
    words,
    st.lists(st.tuples(codes, words), max_size=9).map(tuple),
    st.lists(leaves, max_size=4).map(tuple),
    words,
    st.sampled_from(ListKind),
    words,
)

looks = st.builds(
    Look, st.lists(st.sampled_from(ListColumn), unique=True).map(tuple), st.booleans()
)


@settings(max_examples=40, suppress_health_check=list(HealthCheck))  # large examples are the point
@given(checklists, st.sampled_from(Paper), looks)
def test_any_text_is_laid_out_and_written(checklist, paper, look):
    pages = lay_out(checklist, paper, measure, wrap, look)
    for page in pages:
        assert_within_margins(page, frame_of(paper, look.is_large))
        assert_nothing_overlaps(page)
    assert page_count(checklist_pdf(checklist, paper, look)) == len(pages)
