"""Whatever is typed while stocking, no key does harm or gets stuck."""

from hypothesis import given
from hypothesis import strategies as st

from core.app.stocking import BACKSPACE, ESCAPE, SPACE, Act, Typed, next_slot, press
from core.model.album import SlotId

LIKELY = "vfxgaums0123456789-+? dets"
keys = st.lists(
    st.one_of(st.sampled_from([*LIKELY, SPACE, BACKSPACE, ESCAPE, "\r"]), st.characters()),
    max_size=40,
)


def typed_after(pressed: list[str]) -> Typed:
    typed = Typed()
    for key in pressed:
        typed = press(typed, key).typed
    return typed


@given(keys)
def test_no_key_raises_and_every_answer_is_whole(pressed: list[str]) -> None:
    typed = Typed()
    for key in pressed:
        answer = press(typed, key)
        assert isinstance(answer.act, Act)
        assert not (answer.typed.fault and answer.typed.entry)
        assert answer.act is not Act.JUMP or answer.date
        typed = answer.typed


@given(keys)
def test_two_escapes_always_leave(pressed: list[str]) -> None:
    typed = typed_after(pressed)
    first = press(typed, ESCAPE)
    assert first.act is Act.LEAVE or press(first.typed, ESCAPE).act is Act.LEAVE


@given(keys)
def test_backspaces_always_come_to_take_back_the_last_slot(pressed: list[str]) -> None:
    typed = typed_after(pressed)
    for _ in range(len(typed.entry)):
        answer = press(typed, BACKSPACE)
        assert answer.act is Act.NOTHING
        typed = answer.typed
    assert press(typed, BACKSPACE).act is Act.TAKE_BACK


@given(keys)
def test_at_most_two_spaces_stock_whatever_was_typed(pressed: list[str]) -> None:
    typed = typed_after(pressed)
    first = press(typed, SPACE)
    assert first.act is Act.STOCK or press(first.typed, SPACE).act is Act.STOCK


@given(st.lists(st.integers(1, 30), unique=True, min_size=1), st.sets(st.integers(1, 30)))
def test_walking_by_next_slot_meets_every_empty_slot_ahead_once_in_order(
    numbers: list[int], empty: set[int]
) -> None:
    order = [SlotId(n) for n in numbers]
    holes = {SlotId(n) for n in empty}
    met = []
    here: SlotId | None = order[0]
    while here is not None and (here := next_slot(order, here, holes)) is not None:
        met.append(here)
    assert met == [s for s in order[1:] if s in holes]
