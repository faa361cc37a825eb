from __future__ import annotations

import pytest
from hypothesis import given, settings, strategies as st

from tests.workshop.documents.examples import UNBROKEN
from workshop.documents.kit import stack
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import TextTooLong
from workshop.documents.type import fonts


@settings(max_examples=40, deadline=None)
@given(
    words=st.lists(st.text(st.sampled_from("aäöÅMilW -/@. "), max_size=80), max_size=5),
    width=st.floats(60, 300),
    height=st.floats(30, 300),
    before=st.floats(0, 6),
)
def test_a_stack_fits_its_box_or_is_refused(words: list[str], width: float, height: float, before: float) -> None:
    paras = [Para(one, before=before, bullet=index % 2 == 0) for index, one in enumerate(words)]
    try:
        made = stack.fit(tuple(paras), width, height, size=12, smallest=6, whole="words")
    except TextTooLong:
        assert stack.at(paras, width, 6).height > height
        return
    assert made.height <= height + 0.01
    assert all(fonts.width(line, block.font, block.size) <= width for block in made.blocks for line in block.lines)


def test_the_largest_size_that_fits_is_taken() -> None:
    paras = [Para("word " * 20)]
    made = stack.fit(tuple(paras), 120, 80, size=12, smallest=6, whole="words")
    assert 6 < made.size < 12
    assert stack.at(paras, 120, made.size + 0.25).height > 80


def test_an_empty_paragraph_takes_no_room() -> None:
    assert (
        stack.at([Para("", before=9, ruled=True), Para("a")], 100, 10).height == stack.at([Para("a")], 100, 10).height
    )


def test_words_keep_clear_of_the_figure_at_the_end_of_their_line() -> None:
    made = stack.at([Para(UNBROKEN, right="1,234.5 g/L")], 200, 10)
    (block,) = made.blocks
    figure = fonts.width("1,234.5 g/L", fonts.REGULAR, 10)
    assert all(fonts.width(line, block.font, 10) <= 200 - figure for line in block.lines)


def test_a_figure_that_leaves_its_words_no_room_is_refused_and_never_runs_outside() -> None:
    with pytest.raises(TextTooLong, match="list"):
        stack.fit((Para("Salt", right="9" * 60),), 100, 100, size=10, smallest=6, whole="list")
