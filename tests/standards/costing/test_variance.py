"""Standard-cost variances against published worked examples.

Source of all figures: OpenStax, Principles of Accounting, Volume 2: Managerial Accounting (Rice University, 2019), read in
the book's source text, sec. 8.2 (materials) and sec. 8.3 (labour). Figures only. The book calls the labour efficiency
variance the time variance, and writes a favourable figure with F where here it is below nought.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.batches.variance.rules import variance

D = Decimal


@pytest.mark.parametrize(
    ("standard_price", "used", "paid_each", "planned", "price", "usage", "total"),
    [
        # Sec. 8.2: 20 lb bought at 6.00 and at 9.00 against 7.00, all as planned: -20 and +40.
        ("7.00", "20", "6.00", "20", "-20", "0", "-20"),
        ("7.00", "20", "9.00", "20", "40", "0", "40"),
        # Sec. 8.2: a box took 0.20 and 0.50 lb against 0.25 at 7.00: -0.35 and +1.75.
        ("7.00", "0.20", "7.00", "0.25", "0", "-0.35", "-0.35"),
        ("7.00", "0.50", "7.00", "0.25", "0", "1.75", "1.75"),
        # Sec. 8.2, both at once: 1.00 and 1.75, together 2.75.
        ("7.00", "0.50", "9.00", "0.25", "1.00", "1.75", "2.75"),
        # Sec. 8.3: an hour at 7.50 and 9.50 against 8.00, 0.10 h a box: -0.05 and +0.15.
        ("8.00", "0.10", "7.50", "0.10", "-0.05", "0", "-0.05"),
        ("8.00", "0.10", "9.50", "0.10", "0.15", "0", "0.15"),
        # Sec. 8.3: 0.05 and 0.20 h against 0.10 at 8.00: -0.40 and +0.80.
        ("8.00", "0.05", "8.00", "0.10", "0", "-0.40", "-0.40"),
        ("8.00", "0.20", "8.00", "0.10", "0", "0.80", "0.80"),
        # Sec. 8.3, both at once: 0.30 and 0.80, together 1.10.
        ("8.00", "0.20", "9.50", "0.10", "0.30", "0.80", "1.10"),
    ],
)
def test_the_candy_box_of_sec_8_2_and_8_3(
    standard_price: str, used: str, paid_each: str, planned: str, price: str, usage: str, total: str
) -> None:
    found = variance(planned=D(planned), price=D(standard_price), used=D(used), cost=D(used) * D(paid_each))
    assert (found.price, found.usage, found.total) == (D(price), D(usage), D(total))


def test_the_shampoo_of_sec_8_2_where_only_the_total_paid_is_given() -> None:
    # 11,000 bottles at 8 oz and 0.85; 89,000 oz for 74,760: price 890 favourable, quantity 850 unfavourable, 40 in all.
    found = variance(planned=D(88_000), price=D("0.85"), used=D(89_000), cost=D(74_760))
    assert (found.price, found.usage, found.total) == (-890, 850, -40)


def test_the_shampoo_of_sec_8_3() -> None:
    # 11,000 bottles at 1.5 h and 35.00; 16,000 h for 565,600: rate 5,600 unfavourable, time 17,500 favourable. The two
    # come to 11,900 favourable; the text beside the book's drawing prints that total as unfavourable and the rate once as
    # 5,650, both against its own figures.
    found = variance(planned=D("16500"), price=D("35.00"), used=D(16_000), cost=D(565_600))
    assert (found.price, found.usage) == (5_600, -17_500)
    assert found.total == -11_900
