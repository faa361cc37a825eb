"""Tax by rate, rounded once; nothing shown while not registered; credits as mirror images."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.errors import NotAbove
from costing.sell.sales.tax.rules import (
    Mode,
    PaperLine,
    RateTotal,
    added,
    line_amount,
    line_nets,
    mirrored,
    net_unit_price,
    rest,
    summary,
)
from inventory.errors import Refused
from tests.costing.sell.sales.tax.credited import mirrored_lines
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
FULL, FREE = Mode.REGISTERED, Mode.NOT_REGISTERED
RATES = st.sampled_from([D("25.5"), D("13.5"), D("10"), D("0")])


def line(
    price: str, rate: str | None = "25.5", quantity: str = "1", *, gross: bool = True, what: str = "rug"
) -> PaperLine:
    relief = "export" if rate == "0" else ""
    return PaperLine(what, D(quantity), D(price), None if rate is None else D(rate), gross, relief=relief)


@st.composite
def papers(draw: st.DrawFn, *, gross: bool | None = None) -> list[PaperLine]:
    with_tax = draw(st.booleans()) if gross is None else gross
    count = draw(st.integers(1, 5))
    return [
        PaperLine(
            f"thing {place}",
            Decimal(draw(st.integers(1, 20))),
            Decimal(draw(st.integers(0, 50_000))).scaleb(-2),
            draw(RATES),
            with_tax,
        )
        for place in range(count)
    ]


def test_prices_without_tax_are_added_up_before_the_rate_is_taken() -> None:
    """Three times 0.33 at 25.5 %: 0.99 gives 0.25; line by line it would be 3 × 0.08 = 0.24."""
    found = summary([line("0.33", gross=False)] * 3, FULL)
    assert found.rates == (RateTotal(D("25.5"), D("0.99"), D("0.25"), D("1.24")),)
    assert (found.net, found.tax, found.gross) == (D("0.99"), D("0.25"), D("1.24"))


def test_prices_with_tax_keep_what_the_buyer_pays() -> None:
    found = summary([line("185.00"), line("12.90", what="postage")], FULL)
    assert found.gross == D("197.90")
    assert found.rates == (RateTotal(D("25.5"), D("157.69"), D("40.21"), D("197.90")),)


def test_each_rate_has_its_own_total_highest_first() -> None:
    found = summary([line("10.00", "0"), line("20.00", "13.5"), line("30.00", "25.5"), line("5.00", "13.5")], FULL)
    assert [(rate.rate, rate.gross) for rate in found.rates] == [
        (D("25.5"), D("30.00")),
        (D("13.5"), D("25.00")),
        (D("0"), D("10.00")),
    ]
    assert found.gross == D("65.00")


def test_a_rate_of_nought_is_kept_apart_by_its_reason() -> None:
    rows = [replace(line("10.00", "0"), relief=why) for why in ("export", "small parcel", "export")]
    assert {(rate.relief, rate.gross) for rate in summary(rows, FULL).rates} == {
        ("export", D("20.00")),
        ("small parcel", D("10.00")),
    }


def test_no_tax_is_shown_while_not_registered() -> None:
    found = summary([line("170.00", None), line("12.90", None)], FREE)
    assert (found.rates, found.tax) == ((), None)
    assert (found.net, found.gross) == (D("182.90"), D("182.90"))


@pytest.mark.parametrize("rate", ["25.5", "0"])
def test_a_rate_is_refused_while_not_registered(rate: str) -> None:
    with pytest.raises(Refused, match=f"“rug” carries {rate} % tax, but the workshop is not registered") as caught:
        summary([line("170.00", None), line("12.90", rate)], FREE)
    assert caught.value.field == "rate"


def test_a_line_without_rate_is_refused_while_registered() -> None:
    with pytest.raises(Refused, match="“rug” has no tax rate"):
        summary([line("170.00", None)], FULL)


def test_prices_with_and_without_tax_do_not_stand_on_one_paper() -> None:
    with pytest.raises(Refused, match="“a” is priced with tax and “b” without"):
        summary([line("1.00", what="a"), line("1.00", gross=False, what="b")], FULL)


def test_a_rate_below_nought_is_refused() -> None:
    with pytest.raises(Refused, match="A tax rate of −1 % cannot be"):
        summary([line("1.00", "-1")], FULL)


def test_a_line_rounds_once_after_its_discount() -> None:
    assert line_amount(PaperLine("cord", D("2.5"), D("0.333"), discount=D("0.10")), 2) == D("0.73")
    assert line_amount(PaperLine("cord", D("1"), D("5"), discount=D("5")), 2) == D("0.00")


@pytest.mark.parametrize(("quantity", "discount"), [("1", "-0.01"), ("1", "5.01"), ("-1", "0.01"), ("-1", "-5.01")])
def test_a_discount_takes_off_at_most_the_line(quantity: str, discount: str) -> None:
    with pytest.raises(Refused, match=f"A discount of {discount} on “cord” cannot be; enter 0 up to") as caught:
        line_amount(PaperLine("cord", D(quantity), D(5), discount=D(discount)), 2)
    assert caught.value.field == "discount"


@pytest.mark.parametrize(("quantity", "price"), [("0", "1"), ("1", "-0.01")])
def test_a_line_has_a_quantity_and_no_price_below_nought(quantity: str, price: str) -> None:
    with pytest.raises(NotAbove):
        line_amount(PaperLine("cord", D(quantity), D(price)), 2)


@FEWER
@given(papers())
def test_net_and_tax_always_come_to_what_is_paid(rows: list[PaperLine]) -> None:
    found = summary(rows, FULL)
    assert found.tax is not None
    assert found.net + found.tax == found.gross
    assert all(rate.taxable + rate.tax == rate.gross for rate in found.rates)
    paid = sum(found.amounts)
    assert paid == (found.gross if rows[0].includes_tax else found.net)


@FEWER
@given(papers())
def test_a_rounded_tax_is_within_half_a_coin_of_the_exact_one(rows: list[PaperLine]) -> None:
    found = summary(rows, FULL)
    for rate in found.rates:
        part = Fraction(rate.rate) / 100
        exact = Fraction(rate.gross) * part / (1 + part) if rows[0].includes_tax else Fraction(rate.taxable) * part
        assert abs(Fraction(rate.tax) - exact) <= Fraction(1, 200)


@FEWER
@given(papers())
def test_a_credit_of_all_lines_is_the_mirror_image_of_its_invoice(rows: list[PaperLine]) -> None:
    invoice, credit = summary(rows, FULL), summary(mirrored_lines(rows), FULL)
    assert credit == mirrored(invoice)
    assert mirrored(credit) == invoice
    left = rest(invoice, [credit])
    assert (left.net, left.tax, left.gross) == (0, 0, 0)


def test_a_mirror_image_has_no_negative_nought() -> None:
    found = mirrored(summary([line("0.00"), line("1.00", "0")], FULL))
    assert "-0.00" not in str(found)


def test_a_mirror_image_keeps_the_reason_of_a_rate_of_nought() -> None:
    assert [rate.relief for rate in mirrored(summary([line("1.00", "0")], FULL)).rates] == ["export"]


def test_rates_of_several_papers_stand_highest_first_each_with_its_reason() -> None:
    papers = [summary([line(price, rate)], FULL) for price, rate in (("1.00", "0"), ("2.51", "25.5"), ("3.00", "0"))]
    assert added(rate for paper in papers for rate in paper.rates) == (
        RateTotal(D("25.5"), D("2.00"), D("0.51"), D("2.51")),
        RateTotal(D(0), D("4.00"), D("0.00"), D("4.00"), "export"),
    )


def test_what_is_left_of_a_paper_without_tax_has_none_and_no_rates() -> None:
    left = rest(summary([line("5.00", None)], FREE), [])
    assert (left.tax, left.rates, left.amounts, left.gross) == (None, (), (), D("5.00"))


def test_a_discount_is_credited_with_its_line() -> None:
    row = PaperLine("pouch", D(2), D("38.00"), discount=D("1.00"))
    assert summary(mirrored_lines([row]), FREE) == mirrored(summary([row], FREE))


@FEWER
@given(papers(), st.data())
def test_the_last_credit_takes_exactly_what_single_ones_left(rows: list[PaperLine], data: st.DataObject) -> None:
    invoice = summary(rows, FULL)
    some = data.draw(st.lists(st.sampled_from(rows), unique=True, max_size=len(rows)))
    credits = [summary(mirrored_lines([row]), FULL) for row in some]
    last = mirrored(rest(invoice, credits))
    total = added(rate for paper in [invoice, *credits, last] for rate in paper.rates)
    assert all((rate.taxable, rate.tax, rate.gross) == (0, 0, 0) for rate in total)


def test_an_invoice_and_its_credit_are_of_one_mode() -> None:
    invoice, other = summary([line("1.00")], FULL), summary([line("1.00", None)], FREE)
    with pytest.raises(ValueError, match="one tax mode"):
        rest(invoice, [mirrored(other)])


@FEWER
@given(papers())
def test_lines_without_tax_add_up_to_the_taxable_amount_of_their_rate(rows: list[PaperLine]) -> None:
    found = summary(rows, FULL)
    nets = line_nets(rows, found)
    for rate in found.rates:
        mine = [net for net, row in zip(nets, rows, strict=True) if row.rate == rate.rate]
        assert sum(mine) == rate.taxable


def test_lines_of_a_credit_are_shown_without_tax_as_those_of_its_invoice() -> None:
    rows = [line("1.00", "24", what="a"), line("1.00", "24", what="b"), line("3.00", "10", what="c")]
    back = mirrored_lines(rows)
    nets = line_nets(rows, summary(rows, FULL))
    assert line_nets(back, summary(back, FULL)) == [-net for net in nets]


@FEWER
@given(papers(gross=True), st.data())
def test_lines_sold_and_taken_back_on_one_paper_keep_their_sign(rows: list[PaperLine], data: st.DataObject) -> None:
    signs = data.draw(st.lists(st.booleans(), min_size=len(rows), max_size=len(rows)))
    mixed = [mirrored_lines([row])[0] if back else row for row, back in zip(rows, signs, strict=True)]
    found = summary(mixed, FULL)
    nets = line_nets(mixed, found)
    for rate in found.rates:
        assert sum(net for net, row in zip(nets, mixed, strict=True) if row.rate == rate.rate) == rate.taxable
    for net, amount, row in zip(nets, found.amounts, mixed, strict=True):
        assert net * amount >= 0
        assert row.rate is not None
        assert abs(Fraction(net) - Fraction(amount) / (1 + Fraction(row.rate) / 100)) < Fraction(2, 100)
    assert line_nets(mirrored_lines(mixed), mirrored(found)) == [-net for net in nets]


def test_a_line_given_away_is_nothing_without_tax() -> None:
    rows = [line("0.00", "24"), line("5.00", "10")]
    assert line_nets(rows, summary(rows, FULL)) == [D("0.00"), D("4.55")]


def test_amounts_without_tax_stand_as_they_are() -> None:
    rows = [line("1.10", gross=False), line("2.20", gross=False)]
    assert line_nets(rows, summary(rows, FULL)) == [D("1.10"), D("2.20")]
    plain = [line("1.10", None)]
    assert line_nets(plain, summary(plain, FREE)) == [D("1.10")]


def test_a_unit_price_without_tax_carries_more_places() -> None:
    assert net_unit_price(line("1.00", "24")) == D("0.8065")
    assert net_unit_price(line("1.00", "24", gross=False)) == D("1.0000")
    assert net_unit_price(line("1.00", None)) == D("1.0000")


def test_a_currency_without_coins_is_rounded_to_whole_units() -> None:
    found = summary([line("105", "10", gross=False)], FULL, places=0)
    assert (found.net, found.tax, found.gross) == (D("105"), D("11"), D("116"))
