"""Price breaks: what is typed is kept in one form, and what cannot be is refused with what to do."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from inventory.base.locales import known, style
from inventory.errors import Refused
from inventory.materials.breaks import Break, parse, written


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("", ""),
        (" ; ", ""),
        ("5 6.20; 10 5.80", "5 6.20; 10 5.80"),
        ("  5   6,2 ;10 5.8;", "5 6.20; 10 5.80"),
        ("2 0.01", "2 0.01"),
    ],
)
def test_breaks_are_kept_in_one_form(said: str, kept: str) -> None:
    assert written(parse(said, 2), 2) == kept


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("5", "Write the packs and what a pack costs"),
        ("5:6.20", "Write the packs and what a pack costs"),
        ("6.20 5; 10 5", "whole number of packs"),
        ("0 6.20", "whole number of packs, 2 or more"),
        ("1 6.20", "whole number of packs, 2 or more"),
        ("-5 6.20", "whole number of packs"),
        ("2.5 6.20", "whole number of packs"),
        ("٥ 6.20", "whole number of packs"),
        ("10 5.80; 5 6.20", "Begin with the fewest packs"),
        ("5 6.20; 5 6.10", "name each number once"),
        ("5 6.20; 10 6.20", "must cost less than the 6.20"),
        ("5 6.20; 10 6.30", "must cost less"),
        ("5 0", "more than nothing"),
        ("5 -1", "more than nothing"),
        ("5 6.205", "with 2 decimals"),
        ("5 six", "not a plain figure"),
        ("5 6.20 €", "not a plain figure"),
        ("9999999 1", "whole number of packs"),
        ("5 99999999", "is no price"),
    ],
)
def test_what_is_no_price_break_is_refused_with_what_to_do(said: str, why: str) -> None:
    with pytest.raises(Refused, match=why) as refused:
        parse(said, 2)
    assert refused.value.field == "price_breaks"


def test_more_breaks_than_are_kept_are_refused() -> None:
    with pytest.raises(Refused, match="longer than 200"):
        parse("; ".join(f"{packs} {100 - packs}" for packs in range(2, 40)), 2)


def test_a_currency_without_cents_takes_whole_prices() -> None:
    assert written(parse("5 620", 0), 0) == "5 620"
    with pytest.raises(Refused, match="with 0 decimals"):
        parse("5 6.20", 0)


rising = st.lists(st.integers(2, 9999), min_size=1, max_size=6, unique=True).map(sorted)


@given(rising, st.sampled_from([0, 2, 3]), st.sampled_from(["de-DE", "fi-FI", "en-US", "de-CH"]), st.data())
def test_what_is_kept_and_what_stands_in_a_box_are_read_back(
    packs: list[int], places: int, locale: str, data: st.DataObject
) -> None:
    steps = data.draw(st.lists(st.integers(1, 10**6), min_size=len(packs), max_size=len(packs), unique=True))
    prices = [Decimal(each).scaleb(-places) for each in sorted(steps, reverse=True)]
    found = [Break(count, price) for count, price in zip(packs, prices, strict=True)]
    assert list(parse(written(found, places), places)) == found
    here = style(known(locale))
    assert list(parse(written(found, places, here), places, here)) == found


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_in_words(said: str) -> None:
    try:
        found = parse(said, 2)
    except Refused:
        return
    assert parse(written(found, 2), 2) == found
