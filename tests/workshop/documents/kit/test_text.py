from __future__ import annotations

import pytest
from hypothesis import given, settings, strategies as st

from tests.workshop.documents.examples import UNBROKEN
from workshop.documents.kit.text import Block, TextTooLong, fit, tidy, wrap
from workshop.documents.type import fonts


def _inside(block: Block, width: float, height: float) -> bool:
    return block.height <= height + 0.01 and all(
        fonts.width(line, block.font, block.size) <= width for line in block.lines
    )


@settings(max_examples=40, deadline=None)
@given(
    text=st.text(st.sampled_from("aäöåÅÖMilW -/@.\u00ade\u0301 "), max_size=150),
    width=st.floats(20, 200),
    height=st.floats(10, 60),
)
def test_text_never_runs_outside_its_box(text: str, width: float, height: float) -> None:
    assert _inside(fit(text, width=width, height=height, size=12, smallest=6), width, height)


def test_a_line_for_which_a_hair_of_height_is_missing_is_left_out() -> None:
    """Three lines of 6 points want 22.5."""
    assert len(fit("@@@@@@@", width=20, height=22.4375, size=12, smallest=6).lines) == 2
    assert len(fit("@@@@@@@", width=20, height=22.495, size=12, smallest=6).lines) == 3


def test_a_text_that_nearly_fits_is_shrunk_before_it_is_wrapped() -> None:
    block = fit("Reindeer hide, summer coat", width=110, height=60, size=10, smallest=6)
    assert len(block.lines) == 1
    assert block.size < 10


def test_a_long_text_is_wrapped_at_words_before_words_are_broken() -> None:
    block = fit("Reindeer hide with a late-season coat", width=75, height=60, size=12, smallest=6)
    assert len(block.lines) > 1
    assert " ".join(block.lines) == "Reindeer hide with a late-season coat"


def test_a_sixty_letter_word_is_broken_with_hyphens_and_loses_no_letter() -> None:
    assert len(UNBROKEN) == 60
    block = fit(UNBROKEN, width=90, height=90, size=12, smallest=8)
    assert len(block.lines) > 1
    assert all(line.endswith("-") for line in block.lines[:-1])
    assert "".join(line.removesuffix("-") for line in block.lines) == UNBROKEN
    assert len(block.lines[-1]) >= 3


def test_an_address_breaks_after_its_own_marks_without_a_hyphen() -> None:
    lines = wrap("workshop@routamo-skins.example.org", fonts.REGULAR, 10, 110)
    assert "".join(lines) == "workshop@routamo-skins.example.org"
    assert len(lines) > 1


def test_a_soft_hyphen_says_where_a_word_may_break_and_is_not_printed_elsewhere() -> None:
    assert wrap("lammas\u00adtalja", fonts.REGULAR, 10, 45) == ["lammas-", "talja"]
    assert wrap("lammas\u00adtalja", fonts.REGULAR, 10, 100) == ["lammastalja"]


def test_an_amount_and_its_sign_stay_on_one_line_where_a_line_holds_them() -> None:
    """A figure's own spaces are no-break spaces; a French colon has one before it."""
    for whole in ("12\u202f450.00\u00a0€", "peau\u00a0:"):
        text = tidy(f"it costs {whole} a day")
        for width in range(80, 130):
            assert any(whole in line for line in wrap(text, fonts.REGULAR, 10, width)), width


def test_a_figure_wider_than_the_line_is_parted_at_its_own_spaces_without_a_hyphen() -> None:
    assert wrap("12\u202f450.00\u00a0€", fonts.REGULAR, 10, 48) == ["12\u202f450.00\u00a0", "€"]


def test_a_text_that_may_be_cut_ends_in_an_ellipsis() -> None:
    block = fit("word " * 60, width=60, height=20, size=10, smallest=8)
    assert block.lines[-1].endswith("…")


def test_a_text_that_must_stay_whole_is_refused_when_it_has_no_room() -> None:
    with pytest.raises(TextTooLong, match=r"The price “12,450,000\.00 EUR”") as refused:
        fit("12,450,000.00 EUR", width=20, height=10, size=20, smallest=8, whole="price", one_line=True)
    assert (refused.value.what, refused.value.field) == ("price", "price")
    assert refused.value.width_mm == pytest.approx(7.06, abs=0.01)


def test_letters_are_composed_and_control_characters_dropped() -> None:
    assert tidy("Po\u0308llo\u0308puro\x00  Oy\n\n next\tline ") == "Pöllöpuro Oy\nnext line"
