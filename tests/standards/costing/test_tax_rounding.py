"""Rounding of tax against the laws that say how: level and direction differ by country.

Rows are named as in the list of figures they were read in; `derived` ones follow from the words of the law beside them.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from costing.sell.rounding.rules import USUAL, Level, Rounding, Way, rounded
from costing.sell.sales.tax.lines import lines_taxed
from costing.sell.sales.tax.rules import Mode, PaperLine, Summary, mirrored, rest, summary

US_ITEM, US_INVOICE = Rounding(Level.LINE, Way.THIRD), Rounding(Level.RATE, Way.THIRD)
NZ, UK = Rounding(way=Way.HALF_DOWN), Rounding(way=Way.DOWN)


def paper(prices: str, rate: str, rounding: Rounding = USUAL, *, with_tax: bool = False) -> Summary:
    lines = [PaperLine("piece", Decimal(1), Decimal(price), Decimal(rate), with_tax) for price in prices.split()]
    return summary(lines, Mode.REGISTERED, 2, rounding)


# Streamlined Sales and Use Tax Agreement sec. 324, as Rhode Island Gen. Laws 44-18.1-25 and North Dakota Century Code
# 57-39.4-25 give it: (A)(1) carried to the third place, (A)(2) up when that is greater than four, (B) item or invoice.
@pytest.mark.parametrize(
    ("row", "exact", "tax"),
    [
        ("sst.1-2: the third place decides, what is beyond does not", "0.00499", "0.00"),
        ("sst.2: greater than four goes up", "0.005", "0.01"),
        ("sst.ex2: 6.25 % of 19.99", "1.249375", "1.25"),
        ("sst.ex3: 5.5 % of 0.99", "0.05445", "0.05"),
        ("sst.ex5: 4 % and 1.5 % of 10.30 together, sec. 324 (B)", "0.5665", "0.57"),
        ("sst.ex5: 4 % of it apart", "0.412", "0.41"),
        ("sst.ex5: 1.5 % of it apart", "0.1545", "0.15"),
    ],
)
def test_third_place_is_kept_and_then_half_goes_up(row: str, exact: str, tax: str) -> None:
    assert rounded(Fraction(exact), 2, Way.THIRD) == Decimal(tax), row


def test_seller_chooses_item_or_invoice() -> None:
    """sst.3 and sst.ex1: 7 % on three items of 0.50."""
    assert paper("0.50 0.50 0.50", "7", US_ITEM).tax == Decimal("0.12")
    assert paper("0.50 0.50 0.50", "7", US_INVOICE).tax == Decimal("0.11")


# A New Tax System (Goods and Services Tax) Act 1999 s 9-90.
def test_half_a_cent_goes_up_in_australia() -> None:
    assert rounded(Fraction("0.125"), 2, Way.HALF_UP) == Decimal("0.13")  # au.1, subsection (1)
    assert paper("0.25 0.25", "10").tax == Decimal("0.05")  # au.2, (2)(a): the sum, once
    assert paper("0.25 0.25", "10", Rounding(Level.LINE)).tax == Decimal(
        "0.06"
    )  # au.3, (2)(b): each line, then their sum


# Goods and Services Tax Act 1985 s 19O (nz.1, nz.2); Inland Revenue's example of the change of rate in 2010 (nz.3, nz.4).
def test_half_a_cent_is_left_away_in_new_zealand() -> None:
    assert rounded(Fraction("0.125"), 2, Way.HALF_DOWN) == Decimal("0.12")
    assert rounded(Fraction("0.12500001"), 2, Way.HALF_DOWN) == Decimal("0.13")
    assert paper("0.50", "15", NZ).tax == Decimal("0.07")
    found = paper("1725.00", "15", NZ, with_tax=True)
    assert (found.net, found.tax) == (Decimal("1500.00"), Decimal("225.00"))  # 3/23 of it, and no rounded divisor


# HMRC manual VATREC12010 on Notice 700 para 17.5 (uk.1); fractions of 20 % and 17.5 % (uk.4, uk.6).
def test_invoice_of_net_prices_may_be_rounded_down_in_the_united_kingdom() -> None:
    assert paper("0.99", "20", UK).tax == Decimal("0.19")
    assert paper("0.49 0.49", "20", UK).tax == Decimal("0.19")  # 0.196, and not twice 0.098 cut off
    assert paper("60.00", "20", with_tax=True).tax == Decimal("10.00")
    assert paper("24.00", "17.5", with_tax=True).tax == Decimal("3.57")


# EN 16931-1 by the rules of its validation artefacts: BR-CO-10, 13 to 15, BR-S-08, BR-DEC-19, 20 and 23.
@given(
    st.lists(st.tuples(st.integers(1, 99_999), st.sampled_from(["25.5", "14", "0"])), min_size=1, max_size=6),
    st.sampled_from([Rounding(level, way) for level in Level for way in Way]),
    st.booleans(),
)
def test_any_paper_adds_up_as_en_16931_asks(rows: list[tuple[int, str]], rounding: Rounding, with_tax: bool) -> None:
    lines = [PaperLine("piece", Decimal(1), Decimal(cents).scaleb(-2), Decimal(rate), with_tax) for cents, rate in rows]
    found = summary(lines, Mode.REGISTERED, 2, rounding)
    each = lines_taxed(lines, found)
    assert found.tax == sum(rate.tax for rate in found.rates)  # BR-CO-14
    assert found.gross == found.net + (found.tax or 0)  # BR-CO-15
    assert found.net == sum(line.net for line in each)  # BR-CO-10 and 13
    for rate in found.rates:
        of_it = [line for line, said in zip(each, lines, strict=True) if said.rate == rate.rate]
        assert rate.taxable == sum(line.net for line in of_it)  # BR-S-08
        assert rate.tax == sum(line.vat for line in of_it)
        assert abs(rate.tax - rate.taxable * rate.rate / 100) < 1
        assert {int(part.as_tuple().exponent) for part in (rate.taxable, rate.tax, rate.gross)} == {-2}  # BR-DEC
    assert [line.gross for line in each] == [line.net + line.vat for line in each]
    if with_tax:
        assert found.gross == sum(line.unit_price for line in lines)
    left = rest(found, [mirrored(found)])
    assert (left.net, left.tax, left.gross) == (0, 0, 0)


def test_level_decides_between_line_and_category() -> None:
    """en.ex1: three lines of 0.99 at 25.5 %; EN 16931 rounds the category."""
    assert paper("0.99 0.99 0.99", "25.5").tax == Decimal("0.76")
    assert paper("0.99 0.99 0.99", "25.5", Rounding(Level.LINE)).tax == Decimal("0.75")


@pytest.mark.parametrize("way", list(Way))
def test_tax_in_a_price_is_the_fraction_of_the_rate(way: Way) -> None:
    """incl.ex: 25.5 % in 100.00 is 51/251 of it, 20.318…, whatever happens to half a cent; down cuts it to 20.31."""
    found = paper("100.00", "25.5", Rounding(way=way), with_tax=True)
    assert (found.tax, found.gross) == (Decimal("20.31") if way is Way.DOWN else Decimal("20.32"), Decimal("100.00"))
