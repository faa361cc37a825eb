"""The order of letters on a line, by the worked cases of Unicode's algorithm (UAX #9) and names as they are written."""

import pytest

from workshop.documents.type import order


def seen(text: str) -> str:
    return "".join(order.seen(text, order.levels(text)))


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Ram rug 12", "Ram rug 12"),
        ("אבג", "גבא"),
        ("INV-004 אבג דה", "INV-004 הד גבא"),
        ("אבג 123 דה", "הד 123 גבא"),  # figures keep their order
        ("אבג Mr. Smith דה", "הד Mr. Smith גבא"),
        ("אב 12-34", "12-34 בא"),
        ("٢٠٢٦ ab", "٢٠٢٦ ab"),
    ],
)
def test_parts_that_run_to_the_left_are_turned_and_others_are_not(text: str, shown: str) -> None:
    assert seen(text) == shown


def test_both_brackets_of_a_pair_turn_together() -> None:
    """Rule N0, by the algorithm's own kind of case: a bracketed word of the other direction, then a figure."""
    assert seen("אבג (Ltd) 12") == "12 )Ltd( גבא"  # each bracket is mirrored when it is drawn
    assert seen("a (אב) b") == "a (בא) b"
    assert seen("a (אב [ג]) 1") == "a (]ג[ בא) 1"
    assert order.mirrored("(א") == "א)"


def test_a_bracket_without_its_other_is_left_alone() -> None:
    assert seen("ab) אב") == "ab) בא"


def test_a_paragraph_starts_where_its_first_letter_does() -> None:
    assert order.right_to_left("12. אבג abc")
    assert not order.right_to_left("abc אבג")
    assert not order.right_to_left("12")


def test_a_joiner_turns_with_the_letter_before_it() -> None:
    assert order.levels("ab\u200dאב\u200dג") == [0, 0, 0, 1, 1, 1, 1]
