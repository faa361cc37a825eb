from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import given, settings, strategies as st

from inventory.base import checks
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused
from tests.factories import DAY

D = Decimal


@pytest.mark.parametrize("text", ["+358 40 123 4567", "=1+1", "@home", "- from a friend", "|x", "＝1"])
def test_text_may_begin_as_a_formula_does(text: str) -> None:
    """A file for a spreadsheet marks it; see `inventory.base.spreadsheets`."""
    assert checks.text(f" {text} ", "The note", field="note", longest=20) == text


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x1b", "\x7f", "\x85", "\ud800", "\u2028", "\u2029"])
def test_control_signs_are_refused(sign: str) -> None:
    with pytest.raises(Refused, match="control character"):
        checks.text(f"a{sign}b", "The note", field="note", longest=20)


@pytest.mark.parametrize("sign", ["\u202e", "\u202a", "\u2066", "\u2069"])
def test_signs_that_turn_the_reading_direction_are_refused(sign: str) -> None:
    with pytest.raises(Refused, match="control character"):
        checks.text(f"Rug{sign}00.51", "The note", field="note", longest=20)


@pytest.mark.parametrize("words", ["פרוות כבש", "a\u200db", "\u200fפרווה", "羊皮", "👩\u200d🌾 Anna"])
def test_words_of_every_script_are_taken_as_they_stand(words: str) -> None:
    assert checks.text(words, "The name", field="name", longest=20) == words


def test_a_mark_of_byte_order_is_left_out() -> None:
    assert checks.text("\ufeffAnna", "The name", field="name", longest=20) == "Anna"


def test_text_is_trimmed_and_composed() -> None:
    assert checks.text("  Po\u0308llo\u0308puro ", "The name", field="name", longest=10) == "Pöllöpuro"


def test_text_may_be_as_long_as_its_column_and_no_longer() -> None:
    assert checks.text("x" * 10, "The note", field="note", longest=10)
    with pytest.raises(Refused, match="longer than 10"):
        checks.text("x" * 11, "The note", field="note", longest=10)


def test_needed_text_must_be_there() -> None:
    assert checks.text("", "The note", field="note", longest=10) == ""
    with pytest.raises(Refused, match="The note is missing") as refusal:
        checks.text(" ", "The note", field="note", longest=10, needed=True)
    assert refusal.value.field == "note"


@pytest.mark.parametrize("value", ["H01", "2025/1", "a.b_c-d", "x" * 20, " H01 "])
def test_a_code_of_plain_letters_figures_and_marks_is_kept(value: str) -> None:
    assert checks.code(value, "The tag", field="tag") == value.strip()


@pytest.mark.parametrize(
    "value", ["", " ", "x" * 21, "-1", "=1", ".a", "/a", "a b", "ä1", "a\nb", "a\x00", "٣", "a;b", "a<b"]
)
def test_a_code_that_would_not_print_or_file_is_refused(value: str) -> None:
    with pytest.raises(Refused, match="cannot be used"):
        checks.code(value, "The tag", field="tag")


@settings(max_examples=50)
@given(st.text(st.characters(max_codepoint=0x250), max_size=25))
def test_a_code_that_passes_starts_with_a_letter_or_figure_and_is_ascii(value: str) -> None:
    try:
        kept = checks.code(value, "The tag", field="tag")
    except Refused:
        return
    assert kept.isascii()
    assert kept[0].isalnum()
    assert 0 < len(kept) <= 20


@pytest.mark.parametrize("value", ["0", "-0.001", "NaN", "sNaN", "Infinity", "-Infinity"])
def test_what_is_not_more_than_nothing_is_not_positive(value: str) -> None:
    with pytest.raises(Refused, match="more than nothing"):
        checks.positive(D(value), "The amount", field="amount")


@pytest.mark.parametrize("value", ["-0.001", "NaN", "Infinity"])
def test_what_is_below_nothing_or_no_number_is_refused(value: str) -> None:
    with pytest.raises(Refused, match="cannot be negative"):
        checks.not_negative(D(value), "The amount", field="amount")


def test_what_no_workshop_holds_is_refused() -> None:
    assert checks.positive(D("1e12"), "The amount", field="amount")
    with pytest.raises(Refused, match="Check the unit"):
        checks.not_negative(D("1000000000000.001"), "The amount", field="amount")


def test_three_decimals_are_held_and_no_more() -> None:
    assert checks.held(D("1.2340"), field="minutes") == D("1.234")
    with pytest.raises(Refused, match="more than 3 decimals"):
        checks.held(D("1.2345"), field="minutes")


@pytest.mark.django_db
def test_a_plan_may_lie_further_ahead_than_an_event() -> None:
    ahead = timezone.localdate() + timedelta(days=400)
    assert checks.day(ahead, plan=True, posts=False) == ahead
    with pytest.raises(Refused, match="too far in the future"):
        checks.day(ahead)
    with pytest.raises(Refused, match="too far in the future"):
        checks.day(ahead + timedelta(days=1500), plan=True, posts=False)


@pytest.mark.django_db
def test_a_demonstration_in_a_later_year_reckons_from_its_own_day() -> None:
    pinned = timezone.localdate() + timedelta(days=300)
    workshop.pin_today(on=pinned)
    assert checks.day(pinned + timedelta(days=366))


@pytest.mark.django_db
@pytest.mark.parametrize("on", [date.min, date(1969, 12, 31)])
def test_a_day_before_anybody_kept_books_here_is_refused(on: date) -> None:
    with pytest.raises(Refused, match="before 1970"):
        checks.day(on)


@pytest.mark.django_db
def test_a_closed_day_refuses_what_posts_and_lets_the_rest_pass() -> None:
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod) as refusal:
        checks.day(DAY)
    assert refusal.value.field == "on"
    assert checks.day(DAY, posts=False) == DAY
    assert checks.day(DAY + timedelta(days=1))
