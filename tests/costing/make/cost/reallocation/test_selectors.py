"""Losses that the others bear: who bears what, that nothing is lost on the way, and that a change of mind leaves no trace."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.issues import services as issues_services
from costing.make.batches.stays import services as batches
from costing.make.cost import selectors as costs
from costing.make.cost.breakdown import selectors as lines
from costing.make.cost.rates import services as rates
from costing.make.cost.rates.rules import Rates
from costing.make.cost.reallocation import selectors as spread
from costing.make.cost.rules import Share
from costing.make.losses import services as losses
from costing.models import Batch
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from costing.report.year.profit import selectors as results
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Article, Skin
from inventory.money import half_up
from tests import factories
from tests.costing.report import figures
from tests.factories import DAY, batch, days_from, finish, material, piece, put, skin, work

pytestmark = [pytest.mark.django_db, pytest.mark.thorough]
D, F = Decimal, Fraction
SLIPPED = date(2025, 3, 18)
YEAR = 2025


@pytest.fixture(autouse=True)
def _seller() -> None:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7, 99999 Utuharju")


day = days_from(DAY)


def get(tag: str) -> Skin:
    return Skin.objects.get(tag=tag)


def book(tag: str) -> Fraction:
    return costs.skin_shares([get(tag)])[tag].book()


def spoiled(*, spread: bool = False) -> Batch:
    """B2 of the demonstration: 5.47 and 438 min until H05 slipped on 18 March, 15.75 for the other two after."""
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))
    for tag, price, owner in (("H04", 35, "mine"), ("H05", 35, "mine"), ("H06", 0, "customer")):
        skin(tag, price=price, owner=owner, species="reindeer")
    made = batch("B2", tags=["H04", "H05", "H06"])
    put(made, material("SALT", on_hand=1, value="5.47"), 1)
    work(day(1), 438, task="flesh", batch=made)
    losses.lose(skin=get("H05"), on=SLIPPED, reason="slipped", spread=spread)
    put(made, material("ALUMK", on_hand=1, value="15.75"), 1, date(2025, 3, 23))
    return made


def scrap(price: str = "10.00") -> selling.Sale:
    return selling.sell(on=date(2025, 4, 25), items=[Item("scrap", D(price), skin=get("H05"))])


def full(tag: str) -> Fraction:
    return costs.skin_shares([get(tag)])[tag].full(Rates(D(16), D(4), D("1.52")))


def test_the_loss_less_its_salvage_is_borne_in_equal_parts_by_those_that_were_there() -> None:
    spoiled()
    scrap()
    before = {tag: (book(tag), full(tag)) for tag in ("H04", "H06")}
    losses.spread(skin=get("H05"), spread=True)
    for tag, (was, was_full) in before.items():
        assert half_up(book(tag) - was, 2) == D("13.41")
        assert half_up(full(tag) - was_full, 2) == D("37.75")
    assert book("H05") == 10
    assert audit.findings() == []


def test_a_spread_loss_counts_nothing_as_lost_and_its_scrap_as_sold_at_what_it_brought() -> None:
    spoiled(spread=True)
    assert (stock_value.at(SLIPPED).lost, stock_value.at(SLIPPED).gone) == (0, {})
    scrap()
    year = results.year(YEAR)
    assert (year.gone.spoiled, year.gone.sold) == (0, D("10.00"))
    assert year.unaccounted == 0
    (sold,) = figures.pieces(date(YEAR, 1, 1), date(YEAR, 12, 31))
    assert (sold.taken, sold.book, sold.hours) == (10, 10, 0)


def test_written_off_or_spread_the_stock_and_what_left_it_add_up_to_the_same() -> None:
    spoiled()
    scrap()
    written = stock_value.at(date(YEAR, 12, 31))
    losses.spread(skin=get("H05"), spread=True)
    borne = stock_value.at(date(YEAR, 12, 31))
    assert written.lost == D("36.82")
    assert borne.lost == 0
    assert borne.total - written.total == D("26.82")
    assert borne.gone["sold"] == D("10.00")


def test_a_change_of_mind_leaves_no_trace() -> None:
    spoiled()
    finish("H04", on=date(2025, 5, 10))
    scrap()
    value = stock_value.at(date(YEAR, 12, 31))
    cost = list(Article.objects.values_list("book_cost", "cost__late_book", "cost__late_full"))
    losses.spread(skin=get("H05"), spread=True)
    assert Article.objects.get().book_cost == cost[0][0] + D("13.41")
    assert audit.findings() == []
    losses.spread(skin=get("H05"), spread=False)
    assert list(Article.objects.values_list("book_cost", "cost__late_book", "cost__late_full")) == cost
    assert stock_value.at(date(YEAR, 12, 31)) == value


def test_a_finished_piece_bears_it_as_late_cost_in_book_and_in_full() -> None:
    spoiled()
    scrap()
    article = finish("H04", on=date(2025, 5, 10))[0]
    losses.spread(skin=get("H05"), spread=True)
    article.refresh_from_db()
    article.cost.refresh_from_db()
    assert article.cost.late_book == D("13.41")
    assert article.book_cost == article.cost.book + D("13.41")
    # 37.745 more; the whole is rounded once.
    assert article.cost.full + article.cost.late_full == half_up(full("H04"), 2)


def test_scrap_sold_or_credited_later_moves_what_the_others_bear() -> None:
    spoiled(spread=True)
    article = finish("H04", on=date(2025, 3, 30))[0]
    whole = article.book_cost
    sale = scrap()
    article.refresh_from_db()
    assert whole - article.book_cost == D("5.00")
    assert audit.findings() == []
    credits.credit(sale=sale, on=date(2025, 5, 1), reason="sent back")
    article.refresh_from_db()
    assert article.book_cost == whole
    assert audit.findings() == []


def test_scrap_that_brought_more_than_the_skin_had_cost_gives_nobody_a_gain() -> None:
    spoiled(spread=True)
    before = book("H04")
    scrap("90.00")
    assert book("H05") == F(35) + F("5.47") / 3
    assert book("H04") == before - book("H05") / 2
    assert audit.findings() == []


def test_a_batch_that_shares_by_weight_spreads_by_weight() -> None:
    for tag, grams in (("A", 1000), ("B", 3000), ("C", 2000)):
        skin(tag, price=8, green_weight=D(grams))
    work(batch=batch(tags=["A", "B", "C"], share_by="weight"))
    losses.lose(skin=get("C"), on=day(1), reason="torn", spread=True)
    assert (book("A"), book("B"), book("C")) == (10, 14, 0)


def test_who_joined_after_or_left_before_or_was_lost_that_day_bears_nothing() -> None:
    for tag in ("A", "B", "C", "D", "E"):
        skin(tag, price=10)
    made = batch(tags=["A", "B", "C", "D"])
    work(batch=made)
    batches.leave(batch=made, skin=get("A"), on=day(2))
    losses.lose(skin=get("B"), on=day(3), reason="slipped")
    losses.lose(skin=get("C"), on=day(3), reason="slipped", spread=True)
    batches.join(batch=made, tags=["E"], on=day(4))
    assert [book(tag) for tag in "ABCDE"] == [10, 10, 0, 20, 10]
    assert audit.findings() == []


def test_a_later_loss_passes_on_what_it_bore_of_an_earlier_one() -> None:
    for tag in ("A", "B", "C"):
        skin(tag, price=12)
    work(batch=batch(tags=["A", "B", "C"]))
    losses.lose(skin=get("A"), on=day(1), reason="slipped", spread=True)
    assert (book("B"), book("C")) == (18, 18)
    losses.lose(skin=get("B"), on=day(2), reason="slipped", spread=True)
    assert (book("A"), book("B"), book("C")) == (0, 0, 36)
    assert costs.skin_shares([get("B")], day(1))["B"].book() == 18
    assert audit.findings() == []


def test_a_cost_written_late_on_the_lost_skin_reaches_those_who_bear_it_in_another_batch() -> None:
    for tag in ("A", "B", "C"):
        skin(tag, price=0)
    first = batch("B1", tags=["A", "B"])
    work(batch=first)
    batches.leave(batch=first, skin=get("A"), on=day(1))
    work(day(2), batch=batch("B2", tags=["A", "C"], start=day(2)))
    losses.lose(skin=get("A"), on=day(3), reason="slipped", spread=True)
    article = finish("C", on=day(4))[0]
    put(first, material(on_hand=1, value=8), 1, day(0))
    article.refresh_from_db()
    assert article.book_cost == 4
    assert audit.findings() == []


def test_alone_a_loss_can_only_be_written_off() -> None:
    one = skin("A", price=7)
    with pytest.raises(Refused, match="Nothing survived beside A"):
        losses.lose(skin=one, on=day(1), reason="slipped", spread=True)
    assert get("A").stage == "raw"
    losses.lose(skin=one, on=day(1), reason="slipped")
    with pytest.raises(Refused, match="can only be written off"):
        losses.spread(skin=one, spread=True)
    assert stock_value.at(day(1)).lost == 7


def test_a_loss_whose_last_bearer_turns_out_to_have_left_before_is_written_off_again() -> None:
    for tag in ("A", "B"):
        skin(tag, price=10)
    work(batch=batch(tags=["A", "B"]))
    losses.lose(skin=get("A"), on=day(5), reason="slipped", spread=True)
    finish("B", on=day(2))
    assert spread.standing() == []
    assert stock_value.at(day(9)).lost == 10
    assert audit.findings() == []


def test_one_that_finished_before_the_loss_hands_its_part_to_those_who_stayed() -> None:
    for tag in ("A", "B", "C"):
        skin(tag, price=10)
    work(batch=batch(tags=["A", "B", "C"]))
    losses.lose(skin=get("A"), on=day(5), reason="slipped", spread=True)
    late = finish("C", on=day(9))[0]
    assert late.book_cost == 15
    early = finish("B", on=day(2))[0]
    late.refresh_from_db()
    assert (early.book_cost, late.book_cost) == (10, 20)
    assert audit.findings() == []


def test_a_piece_of_a_third_bears_a_third_of_what_its_skin_bears() -> None:
    for tag in ("A", "B"):
        skin(tag, price=9)
    work(batch=batch(tags=["A", "B"]))
    finish("B", pieces=[piece("B-1", "1/3")], on=day(9))
    losses.lose(skin=get("A"), on=day(5), reason="slipped", spread=True)
    assert Article.objects.get().book_cost == 6
    assert audit.findings() == []


def test_the_lines_of_a_skin_with_a_loss_in_it_add_up_to_its_cost() -> None:
    spoiled(spread=True)
    scrap()
    rows = list(Skin.objects.all())
    found = lines.of_skins(rows)
    for row in rows:
        entries = sum((entry.share for entry in found[row.tag]), Share(skin_price=F(row.price)))
        assert entries == costs.skin_shares([row])[row.tag]
    assert "Loss of H05" in [entry.what for entry in found["H04"]]


def test_a_loss_of_a_closed_day_stays_as_it_was_borne() -> None:
    spoiled()
    workshop.close_books(to=SLIPPED)
    for change in (losses.spread, losses.reverse):
        options = {"spread": True} if change is losses.spread else {}
        with pytest.raises(ClosedPeriod):
            change(skin=get("H05"), **options)
    assert not get("H05").loss_spread


def test_a_helper_may_lose_a_skin_and_not_say_who_bears_it() -> None:
    for tag in ("A", "B"):
        skin(tag)
    work(batch=batch(tags=["A", "B"]))
    helper = factories.person("helper")
    with pytest.raises(NotAllowed):
        losses.lose(skin=get("A"), on=day(1), reason="slipped", spread=True, by=helper)
    losses.lose(skin=get("A"), on=day(1), reason="slipped", by=helper)
    with pytest.raises(NotAllowed):
        losses.spread(skin=get("A"), spread=True, by=helper)


def test_a_loss_taken_back_leaves_no_trace() -> None:
    for tag in ("A", "B"):
        skin(tag, price=10)
    made = batch(tags=["A", "B"])
    put(made, material(on_hand=1, value=4), 1)
    article = finish("B", on=day(9))[0]
    before = stock_value.at(day(9))
    losses.lose(skin=get("A"), on=day(5), reason="slipped", step="Bath", spread=True)
    assert Article.objects.get().book_cost == 24
    for _ in range(2):
        losses.reverse(skin=get("A"), request_key="k")
    row = get("A")
    assert (row.stage, row.lost_on, row.lost_reason, row.lost_at_step, row.loss_spread) == (
        "in_work", None, "", "", False,
    )  # fmt: skip
    assert row.stays.get().left_on is None
    article.refresh_from_db()
    assert article.book_cost == 12
    assert stock_value.at(day(9)) == before
    assert audit.findings() == []


def test_a_raw_skin_whose_loss_is_taken_back_is_raw_again() -> None:
    losses.lose(skin=skin("A"), on=day(1), reason="beetle")
    assert losses.reverse(skin=get("A")).stage == "raw"
    with pytest.raises(Refused, match="A is not lost"):
        losses.reverse(skin=get("A"))


def test_a_loss_is_not_taken_back_once_something_followed() -> None:
    made = spoiled()
    with pytest.raises(Refused, match="are written on B2 after 2025-03-18, without H05"):
        losses.reverse(skin=get("H05"))
    for use in made.uses.filter(posting__on__gt=SLIPPED):
        issues_services.reverse(use=use, reason="wrong")
    sale = scrap()
    with pytest.raises(Refused, match=f"H05 was sold by {sale.number}. Credit that sale first"):
        losses.reverse(skin=get("H05"))
    credits.credit(sale=sale, on=date(2025, 4, 26), reason="wrong")
    assert losses.reverse(skin=get("H05")).stage == "in_work"
    assert audit.findings() == []


def test_shares_take_as_many_queries_for_ten_losses_as_for_one() -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as found:
            costs.skin_shares(Skin.objects.all())
        return len(found)

    for number in range(22):
        skin(f"S{number:02}")
    made = batch(tags=[f"S{number:02}" for number in range(22)])
    work(batch=made)
    losses.lose(skin=get("S00"), on=day(1), reason="slipped", spread=True)
    one = counted()
    for number in range(1, 11):
        losses.lose(skin=get(f"S{number:02}"), on=day(1 + number), reason="slipped", spread=True)
    assert counted() == one
