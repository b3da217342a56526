"""IDs of one kind have one width: what one of them settles, and what is asked where none does."""

from __future__ import annotations

from functools import reduce

from hypothesis import given
from hypothesis import strategies as st

from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sensor.kind import WidthQuestion, one_kind
from wheelside.sensor.reading import read_id


def asked(*texts: str) -> tuple[tuple[int, ...], WidthQuestion | None]:
    found = one_kind([read_id(text) for text in texts])
    return found.widths, found.ask


def test_a_decimal_of_ten_digits_settles_the_width_of_its_kind() -> None:
    assert asked("2C41A7F3", "2742500339") == ((32,), WidthQuestion.ONE_KIND)
    assert one_kind([read_id("2C41A7F3"), read_id("2742500339")]).by == "2742500339"


def test_two_that_are_open_alike_settle_nothing() -> None:
    assert asked("2C41A7F3", "2C41A841") == ((28, 32), WidthQuestion.BITS)


def test_two_that_leave_one_width_between_them_settle_it_together() -> None:
    """Eight hex digits have 28 or 32 bits; six letters have 24 at the least, so that nothing is settled by them."""
    assert asked("2C41A7F3", "2C41A7") == ((28, 32), WidthQuestion.BITS)
    assert asked("2742500339", "2742500341") == ((32,), None)


def test_empty_slots_say_nothing() -> None:
    assert asked("FFFFFFFF", "2742500339", "00000000") == ((32,), None)
    assert asked("FFFFFFFF") == ((), None)


def test_stated_widths_that_differ_are_not_one_kind() -> None:
    found = one_kind([read_id("2C41A7", widths=(24,)), read_id("2C41A7F3", widths=(32,))])
    assert (found.widths, found.ask) == ((), WidthQuestion.NOT_ONE_KIND)


@given(
    st.sampled_from([24, 28, 32]),
    st.lists(st.tuples(st.sampled_from(PrintForm), st.integers(1, 2**24 - 2)), min_size=1, max_size=5),
    st.data(),
)
def test_the_true_width_is_never_ruled_out_and_asked_for_just_where_it_is_open(
    bits: int, drawn: list[tuple[PrintForm, int]], data: st.DataObject
) -> None:
    numbers = [n << data.draw(st.integers(0, bits - 24)) for _, n in drawn]
    texts = [SensorId("", bits, n).printed(form) for (form, _), n in zip(drawn, numbers, strict=True)]
    found = [one for one in map(read_id, texts) if not one.empty]
    if not found:
        return
    kind = one_kind(found)
    each = [{r.id.bits for r in one.all} for one in found]
    assert bits in kind.widths
    assert set(kind.widths) == reduce(set.__and__, each)
    assert (kind.ask is None) == all(len(widths) == 1 for widths in each)
    assert (kind.ask is WidthQuestion.ONE_KIND) == (len(kind.widths) == 1 and any(len(w) > 1 for w in each))
