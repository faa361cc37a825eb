"""The sales of the demonstration year with the exact costs behind them, for tests of results, fairs and losses."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.cost.rules import Share
from costing.report.year.profit.rules import Selling, Stock, grouped
from costing.report.year.profit.selectors import GROUPS
from costing.sell.sales.lines.rules import PieceResult, Sold
from costing.sell.sales.lines.selectors import lines
from costing.sell.sales.models import Sale
from tests.costing.make.cost.test_rules import RATES, demo_share

D = Decimal
YEAR = Stock(opening=D("42.89"), materials=D("236.00"), skins=D("146.00"), closing=D("205.82"))
SELLING = Selling(fees=D("70.82"), postage=D("16.60"), pitches=D("125.00"), fuel=D("42.00"))
OVERHEADS = D("384.00")
MAKING_MINUTES = 4233
OTHER_HOURS = 24 + 22


def share_of(what: dict[str, Fraction]) -> Share:
    return sum((demo_share(skin).times(part) for skin, part in what.items()), Share())


def sold(
    what: str, skins: dict[str, Fraction], taken: str, selling: str = "0", *, channel: str, species: str, fair: str = ""
) -> Sold:
    share = share_of(skins)
    return Sold(
        what=what,
        taken=D(taken),
        selling=D(selling),
        book=share.book(),
        full=share.full(RATES),
        hours=share.hours(),
        species=species,
        channel=channel,
        fair=fair,
    )


ONE = Fraction(1)

SALES: dict[str, tuple[date, Sold]] = {
    "S-001": (date(2025, 4, 12), sold("rug", {"H01": ONE}, "170.00", channel="cash", species="sheep", fair="spring")),
    "S-002": (date(2025, 4, 25), sold("rawhide", {"H05": ONE}, "10.00", channel="cash", species="reindeer")),
    "INV-001": (date(2025, 5, 24), sold("work on J-01", {"H06": ONE}, "165.00", channel="job", species="reindeer")),
    "INV-002": (date(2025, 6, 14), sold("rug", {"H02": ONE}, "197.90", "26.86", channel="online", species="sheep")),
    "S-003": (
        date(2025, 7, 5),
        sold("rug", {"H04": ONE}, "240.00", "4.56", channel="card", species="reindeer", fair="midsummer"),
    ),
    "INV-003": (date(2025, 9, 20), sold("leather", {"H07": ONE}, "140.00", "51.60", channel="gallery", species="goat")),
    "S-004": (
        date(2025, 11, 29),
        sold("fur", {"H09": ONE}, "32.00", channel="cash", species="rabbit", fair="christmas"),
    ),
    "S-005": (
        date(2025, 11, 29),
        sold("cushion", {"H10": ONE, "H11": ONE}, "95.00", "1.81", channel="card", species="rabbit", fair="christmas"),
    ),
    "S-006": (
        date(2025, 11, 29),
        sold("2 pouches", {"H08": Fraction(2, 3)}, "76.00", channel="cash", species="goat", fair="christmas"),
    ),
    # Sold, sent back and credited: the fur is in stock again at its cost, the selling costs are gone.
    "INV-004": (date(2025, 12, 6), Sold("fur", D("39.90"), D("10.56"), species="rabbit", channel="online")),
    "CN-001": (date(2025, 12, 16), Sold("fur", D("-39.90"), species="rabbit", channel="online")),
}


def pieces(first: date, last: date) -> list[Sold]:
    """Every piece, job and spoiled skin sold or credited in the time."""
    return [row.sold for row in lines(Sale.objects.filter(on__range=(first, last)))]


def by(group: str, first: date, last: date) -> dict[str, PieceResult]:
    """What the time brought by species, method, channel, fair or piece, the best paid hour first."""
    return grouped(pieces(first, last), GROUPS[group], 2)
