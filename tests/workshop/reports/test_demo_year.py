"""The demonstration's year of selling, as its folder is loaded: papers, money, places, and the answers of the commands."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from costing.make.cost import selectors as costs
from costing.make.cost.rates import selectors as rates
from costing.make.losses import rules as loss, services as losses
from costing.models import Fair, Job, Payment, Sale
from costing.sell.payments import selectors as money
from inventory.models import Article, Place, Skin
from inventory.places.moves import selectors as moves

pytestmark = [pytest.mark.usefixtures("demo"), pytest.mark.slow]
D = Decimal


def on(month: int, day: int) -> date:
    return date(2025, month, day)


def ask(*words: str) -> dict[str, Any]:
    out = StringIO()
    call_command(*words, "--json", stdout=out)
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


# Number, day, what a buyer owed for it, the pieces on it.
PAPERS = [
    ("S-001", on(4, 12), "170.00", ["H01"]),
    ("S-002", on(4, 25), "10.00", ["H05"]),
    ("INV-001", on(5, 24), "165.00", ["J-01"]),
    ("INV-002", on(6, 14), "197.90", ["H02", ""]),
    ("S-003", on(7, 5), "240.00", ["H04"]),
    ("INV-003", on(9, 20), "140.00", ["H07"]),
    ("S-004", on(11, 29), "32.00", ["H09"]),
    ("S-005", on(11, 29), "95.00", ["CUSH1"]),
    ("S-006", on(11, 29), "76.00", ["H08-1", "H08-2"]),
    ("INV-004", on(12, 6), "39.90", ["H12", ""]),
    ("CN-001", on(12, 16), "-39.90", ["H12", ""]),
]


def test_every_paper_of_the_year_has_its_number_day_sum_and_things() -> None:
    found = [
        (
            sale.number,
            sale.on,
            f"{sale.gross:f}",
            [str(line.article or line.job or line.skin or "") for line in sale.lines.all()],
        )
        for sale in Sale.objects.order_by("on", "pk")
    ]
    assert [(number, day, D(gross), things) for number, day, gross, things in found] == [
        (number, day, D(gross), things) for number, day, gross, things in PAPERS
    ]


def test_receipts_follow_each_other_and_the_last_one_pays_back() -> None:
    found = list(Payment.objects.order_by("sequence").values_list("number", "amount"))
    assert [number for number, _ in found] == [f"R-{count:03d}" for count in range(1, 13)]
    assert found[0][1] == D("66.00")
    assert found[-1][1] == D("-39.90")


def test_a_deposit_is_held_until_its_job_is_handed_over_and_settles_its_invoice() -> None:
    assert [money.deposits_held(day) for day in (on(3, 1), on(3, 2), on(4, 1), on(5, 23), on(5, 24))] == [
        D(held) for held in ("0", "66.00", "66.00", "66.00", "0")
    ]
    assert Job.objects.get(number="J-01").handed_over_on == on(5, 24)
    assert Article.objects.get(number="H06").gone_why == "delivered"
    assert money.balance(Sale.objects.get(number="INV-001"), on(5, 24)).left == 0


def test_the_gallery_owed_its_part_for_twenty_days_and_kept_its_own() -> None:
    invoice = Sale.objects.get(number="INV-003")
    assert [money.balance(invoice, day).left for day in (on(9, 20), on(10, 9), on(10, 10))] == [D(91), D(91), D(0)]
    assert [owed.sale.number for owed in money.open_sales(on(10, 1))] == ["INV-003"]
    assert money.open_sales(on(12, 31)) == []


def test_what_went_to_the_gallery_is_there_until_it_is_sold() -> None:
    gallery = Place.objects.get(name="Savupirtti Craft Room")
    assert gallery.channel.name == "Savupirtti Craft Room"
    there = gallery.articles.values_list("number", flat=True)
    assert list(there) == ["H03"]
    held = {
        day: set(moves.held_on(day).values_list("number", flat=True)) for day in (on(8, 31), on(12, 15), on(12, 31))
    }
    assert {"H03", "H07"} <= held[on(8, 31)]
    assert held[on(12, 15)] == {"H03", "H08-3"}
    assert held[on(12, 31)] == {"H03", "H08-3", "H12"}


def test_each_box_went_with_its_sale() -> None:
    packed = Sale.objects.exclude(packing=None).order_by("pk").values_list("number", "packing__on")
    assert list(packed) == [("INV-002", on(6, 14)), ("INV-003", on(8, 5)), ("INV-004", on(12, 6))]


def test_what_was_packed_for_a_fair_was_sold_there_or_came_back() -> None:
    for fair in Fair.objects.all():
        sold = {line.article_id for sale in fair.sales.all() for line in sale.lines.all()}
        assert {piece.article_id for piece in fair.pieces.all()} == sold | {
            piece.article_id for piece in fair.pieces.filter(back=True)
        }
        assert fair.closed_on == fair.on


def test_the_results_command_answers_what_the_worked_year_says() -> None:
    found = ask("results", "2025")
    assert found["profit"] == {"stock_basis": "268.41", "cash_basis": "105.48"}
    assert found["bridge"]["difference"] == found["bridge"]["stock"] == "162.93"
    assert found["turnover"]["net"] == "1125.90"
    assert found["selling"] == {
        "fees": "70.82",
        "postage": "16.60",
        "pitches": "125.00",
        "fuel": "42.00",
        "other": "0.00",
        "total": "254.42",
    }
    assert found["overheads"]["spent"] == "384.00"
    assert (found["overheads"]["recovered"], found["overheads"]["short"]) == ("282.20", "101.80")
    assert (found["earned"]["per_hour"], found["earned"]["per_making_hour"]) == ("2.30", "3.80")
    assert (found["hours"]["making"], found["hours"]["total"]) == ("70.55", "116.55")
    assert found["holds"] is True


def test_what_was_there_and_came_in_less_what_is_left_is_what_went() -> None:
    found = ask("results", "2025")
    stock, gone = found["stock"], found["conservation"]
    names = ("opening", "materials", "skins", "closing", "used")
    assert [stock[name] for name in names] == ["42.89", "236.00", "146.00", "205.82", "219.07"]
    assert [gone[name] for name in ("sold", "spoiled", "boxes", "differences")] == ["171.89", "36.82", "7.97", "2.39"]
    assert D("171.89") + D("36.82") + D("7.97") + D("2.39") == D(gone["used"])
    assert ask("stock_value")["total"] == stock["closing"]


# Piece: taken, selling costs, left for the hours, hours, per hour, against full cost.
PIECES = {
    "H01": ("170.00", "0.00", "149.77", "8.25", "18.15", "-16.75"),
    "H02": ("197.90", "26.86", "150.81", "8.00", "18.85", "-10.71"),
    "H04": ("240.00", "4.56", "190.74", "9.31", "20.49", "3.06"),
    "J-01": ("165.00", "0.00", "155.30", "8.98", "17.30", "-25.72"),
    "H07": ("140.00", "51.60", "50.55", "6.50", "7.78", "-80.98"),
    "H09": ("32.00", "0.00", "27.36", "1.58", "17.28", "-4.31"),
    "CUSH1": ("95.00", "1.81", "83.90", "5.50", "15.25", "-26.10"),
}


@pytest.mark.thorough
def test_each_piece_left_for_its_hours_what_the_worked_year_says() -> None:
    rows = {row["piece"]: row for row in ask("results", "2025")["pieces"]}
    names = ("taken", "selling", "left", "hours", "per_hour", "against_full")
    assert {piece: tuple(rows[piece][name] for name in names) for piece in PIECES} == PIECES
    assert (rows["H05"]["left"], rows["H05"]["against_full"]) == ("-26.82", "-75.49")
    assert (rows["H12"]["taken"], rows["H12"]["selling"], rows["H12"]["left"]) == ("0.00", "10.56", "-10.56")


@pytest.mark.thorough
def test_each_fair_left_what_the_worked_year_says() -> None:
    names = ("takings", "goods", "costs", "left", "stall_hours", "per_stall_hour")
    assert [tuple(row[name] for name in names) for row in ask("results", "2025")["fairs"]] == [
        ("170.00", "20.23", "47.00", "102.77", "7.00", "14.68"),
        ("240.00", "44.70", "72.56", "122.74", "9.00", "13.64"),
        ("203.00", "39.17", "53.81", "110.02", "8.00", "13.75"),
    ]


def test_the_slipped_skin_spread_falls_on_the_two_that_were_with_it() -> None:
    before = {skin: costs.skin_shares([Skin.objects.get(tag=skin)])[skin] for skin in ("H04", "H06")}
    lost = Skin.objects.get(tag="H05")
    assert not lost.loss_spread
    losses.spread(skin=lost, spread=True)
    after = costs.skin_shares(Skin.objects.filter(tag__in=before))
    rate = rates.plain()
    for tag, share in before.items():
        assert round(after[tag].book() - share.book(), 2) == Fraction("13.41")
        assert abs(after[tag].full(rate) - share.full(rate) - Fraction("37.745")) < Fraction("0.005")
    assert Article.objects.get(number="H04").book_cost == D("58.11")


@pytest.mark.parametrize(
    ("chance", "most"), [(Fraction(0), "38.06"), (Fraction(1, 10), "29.20"), (Fraction(1, 3), "8.54")]
)
def test_the_most_to_pay_for_a_raw_reindeer_skin(chance: Fraction, most: str) -> None:
    """From the year itself: what one had cost when H05 slipped, what H04 cost after that day, and what its sale left."""
    shares = costs.skin_shares(Skin.objects.filter(tag__in=["H04", "H05"]))
    before = loss.Leg(shares["H05"].materials, shares["H05"].own_hours())
    rate = rates.plain()
    after = loss.Leg(
        shares["H04"].materials - shares["H05"].materials + shares["H04"].wear(rate),
        shares["H04"].own_hours() - shares["H05"].own_hours(),
    )
    sale = Sale.objects.get(number="S-003")
    net = sale.gross - sum(expense.amount for expense in sale.expenses.all())
    assert net == D("235.44")
    hourly = rate.wage_per_hour + rate.overhead_per_hour
    assert loss.most_to_pay(net, before, after, hourly, chance) == D(most)
