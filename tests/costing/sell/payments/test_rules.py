"""What is left of an invoice, and what may still be credited."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.errors import NotAbove
from costing.sell.payments.rules import Payment, balance, refuse_credit
from costing.sell.sales.tax.rules import Mode, PaperLine, mirrored, rest, summary
from inventory.errors import Refused
from tests.costing.sell.sales.tax.credited import mirrored_lines
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
DAY = date(2025, 9, 20)
CENTS = st.integers(-50_000, 50_000).map(lambda cents: Decimal(cents).scaleb(-2))


def on(days: int) -> date:
    return DAY + timedelta(days)


def test_the_job_of_the_year_leaves_its_balance_after_the_deposit() -> None:
    found = balance(
        D("165.00"), [Payment(date(2025, 3, 2), D("66.00"), "deposit")], due_on=date(2025, 5, 24), on=date(2025, 5, 24)
    )
    assert (found.paid, found.left, found.overpaid) == (D("66.00"), D("99.00"), D("0"))


def test_a_gallery_settles_with_money_and_with_the_fee_it_keeps() -> None:
    parts = [Payment(date(2025, 10, 10), D("91.00")), Payment(date(2025, 10, 10), D("49.00"), "selling fee kept")]
    assert balance(D("140.00"), parts, due_on=date(2025, 10, 10), on=date(2025, 10, 9)).left == D("140.00")
    assert balance(D("140.00"), parts, due_on=date(2025, 10, 10), on=date(2025, 10, 10)).left == 0


def test_what_comes_later_does_not_count_yet() -> None:
    found = balance(D(100), [Payment(on(5), D(40))], [(on(6), D(-60))], due_on=on(3), on=on(4))
    assert (found.paid, found.credited, found.left) == (0, 0, 100)


def test_an_invoice_is_late_from_the_day_after_it_was_due_until_it_is_settled() -> None:
    late = [
        balance(D(100), [Payment(on(20), D(100))], due_on=on(14), on=on(days)).days_late for days in (14, 15, 19, 20)
    ]
    assert late == [0, 1, 5, 0]


def test_too_much_money_is_owed_back() -> None:
    found = balance(D(100), [Payment(on(0), D(100))], [(on(1), D(-30))], due_on=on(0), on=on(2))
    assert (found.left, found.overpaid, found.days_late) == (0, 30, 0)
    returned = [Payment(on(0), D(100)), Payment(on(2), D(-30))]
    assert balance(D(100), returned, [(on(1), D(-30))], due_on=on(0), on=on(2)).overpaid == 0


@FEWER
@given(CENTS, st.lists(st.tuples(st.integers(0, 30), CENTS), max_size=6), st.integers(0, 30))
def test_total_is_always_paid_credited_left_or_overpaid(
    total: Decimal, rows: list[tuple[int, Decimal]], day: int
) -> None:
    half = len(rows) // 2
    payments = [Payment(on(days), amount) for days, amount in rows[:half]]
    credits = [(on(days), -amount) for days, amount in rows[half:]]
    found = balance(total, payments, credits, due_on=on(10), on=on(day))
    assert found.paid + found.credited + found.left - found.overpaid == total
    assert min(found.left, found.overpaid) == 0


ROWS = [PaperLine("rug", D(1), D("185.00"), D("25.5")), PaperLine("book", D(3), D("0.35"), D("13.5"))]
INVOICE = summary(ROWS, Mode.REGISTERED)


def test_a_whole_invoice_may_be_credited_once() -> None:
    refuse_credit("INV-002", INVOICE, [], mirrored(INVOICE))
    with pytest.raises(Refused, match=r"A credit of 186\.05 is more than the 0\.00 that is left of INV-002") as caught:
        refuse_credit("INV-002", INVOICE, [mirrored(INVOICE)], mirrored(INVOICE))
    assert caught.value.field == "amount"


def test_lines_may_be_credited_one_by_one() -> None:
    first, second = (summary(mirrored_lines([row]), Mode.REGISTERED) for row in ROWS)
    refuse_credit("INV-002", INVOICE, [], first)
    refuse_credit("INV-002", INVOICE, [first], second)
    with pytest.raises(Refused, match="that is left of"):
        refuse_credit("INV-002", INVOICE, [first, second], second)


def test_a_credit_at_one_rate_may_not_eat_into_another() -> None:
    dear = summary([PaperLine("book", D(-2), D("0.60"), D("13.5"))], Mode.REGISTERED)
    with pytest.raises(Refused, match=r"at 13\.5 %, with tax"):
        refuse_credit("INV-002", INVOICE, [], dear)


def test_a_rate_that_the_invoice_never_had_cannot_be_credited() -> None:
    with pytest.raises(Refused, match=r"more than the 0.00 that is left"):
        refuse_credit("INV-002", INVOICE, [], summary([PaperLine("x", D(-1), D("1.00"), D(10))], Mode.REGISTERED))


def test_a_credit_takes_no_cent_more_tax_than_is_left_and_the_rest_settles_it() -> None:
    """Two at 0.10 and 25 % net: 0.05 tax together, 0.03 each alone."""
    rows = [PaperLine(name, D(1), D("0.10"), D(25), includes_tax=False) for name in "ab"]
    invoice = summary(rows, Mode.REGISTERED)
    first, second = (summary(mirrored_lines([row]), Mode.REGISTERED) for row in rows)
    refuse_credit("INV-1", invoice, [], first)
    with pytest.raises(Refused, match=r"credit the rest"):
        refuse_credit("INV-1", invoice, [first], second)
    last = mirrored(rest(invoice, [first]))
    refuse_credit("INV-1", invoice, [first], last)
    assert (last.net, last.tax, last.gross) == (D("-0.10"), D("-0.02"), D("-0.12"))


@pytest.mark.parametrize(("price", "rate", "part"), [("1.00", "24", "without tax"), ("0.06", "10", "tax")])
def test_with_tax_in_the_prices_single_credits_fit_in_all_but_may_miss_in_part(
    price: str, rate: str, part: str
) -> None:
    """Twice 1.00 at 24 %: net 1.61 together, 0.81 each. Twice 0.06 at 10 %: tax 0.01 together, 0.01 each."""
    row = PaperLine("pouch", D(1), D(price), D(rate))
    invoice, single = summary([row, row], Mode.REGISTERED), summary(mirrored_lines([row]), Mode.REGISTERED)
    refuse_credit("INV-1", invoice, [], single)
    with pytest.raises(Refused, match=rf"that is left of INV-1 \(at {rate} %, {part}\)"):
        refuse_credit("INV-1", invoice, [single], single)
    refuse_credit("INV-1", invoice, [single], mirrored(rest(invoice, [single])))


def test_a_credit_counts_from_its_own_day() -> None:
    assert balance(D(100), [], [(on(3), D(-60))], due_on=on(0), on=on(3)).left == 40


def test_a_credit_credits_something() -> None:
    nothing = summary([PaperLine("rug", D(-1), D("0.00"), D("25.5"))], Mode.REGISTERED)
    for asked in (INVOICE, nothing):
        with pytest.raises(NotAbove, match=f"The credit must be above zero, not {-asked.gross}:"):
            refuse_credit("INV-002", INVOICE, [], asked)


def test_without_registration_only_the_total_binds() -> None:
    invoice = summary([PaperLine("fur", D(1), D("39.90"))], Mode.NOT_REGISTERED)
    part = summary([PaperLine("fur", D(-1), D("20.00"))], Mode.NOT_REGISTERED)
    refuse_credit("INV-004", invoice, [part], summary([PaperLine("fur", D(-1), D("19.90"))], Mode.NOT_REGISTERED))
    with pytest.raises(Refused, match="that is left of"):
        refuse_credit("INV-004", invoice, [part], summary([PaperLine("fur", D(-1), D("19.91"))], Mode.NOT_REGISTERED))
