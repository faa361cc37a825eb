"""Interest on what is overdue, against published examples of simple interest.

Directive 2011/7/EU art. 2(6) calls statutory interest for late payment simple interest; the UK Late Payment of Commercial Debts
(Interest) Act 1998 s. 1 says the same. Formula: I = P × r × t, t in days of a year of 365 (exact days).
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.sell.debts.reminders.rules import interest

D = Decimal


@pytest.mark.parametrize(
    ("owed", "percent", "days", "expected", "source"),
    [
        # Guidance on charging interest on late commercial payments in the UK: 1,000 at 8.5 % is 85 a year, 23p a day.
        ("1000", "8.5", 365, "85.00", "UK late payment guidance, year"),
        ("1000", "8.5", 1, "0.23", "UK late payment guidance, day"),
        # A calculator of UK statutory interest: 5,000 overdue by 30 days at 12.5 % (4.5 % base rate + 8 %).
        ("5000", "12.5", 30, "51.37", "UK statutory interest, 30 days"),
        # Textbook exercises of simple interest with exact days over 365.
        ("1870", "11", (date(2023, 1, 16) - date(2022, 10, 5)).days, "58.05", "loan from 5 Oct to 16 Jan"),
        ("5380", "6.2", (date(2022, 12, 28) - date(2022, 7, 15)).days, "151.70", "note from 15 Jul to 28 Dec"),
    ],
)
def test_simple_interest_agrees_with_published_examples(
    owed: str, percent: str, days: int, expected: str, source: str
) -> None:
    assert interest(D(owed), D(percent), days) == D(expected), source
