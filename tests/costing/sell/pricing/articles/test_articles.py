from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.cost.rates import services as rates
from costing.sell.pricing import rules as pricing, selectors as prices
from costing.sell.pricing.articles import selectors as articles
from costing.sell.pricing.channels import services as channels
from inventory.errors import Refused
from inventory.models import Article
from tests.factories import DAY, finish, material, piece, put, registered, skin, work

pytestmark = pytest.mark.django_db
D = Decimal
CARD = pricing.Channel("Card", D("1.9"))
GALLERY = pricing.Channel("Gallery", D(35))


@pytest.fixture
def rug() -> str:
    """H03 of the demo year: 20.23 book, 9.25 h, 1 lacing; 16.00, 4.00 and 1.52."""
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))
    skin("H03", price=12, dry_area=D(10100))
    put(None, material(on_hand=1, value="8.23"), 1, tags=["H03"])
    work(minutes=555, task="lace", tags=["H03"])
    return "H03"


def test_floors_of_the_demo_rug_on_a_card_fair_and_in_the_gallery(rug: str) -> None:
    price = prices.find(rug, CARD)
    assert (price.book, price.full) == (D("20.23"), D("206.75"))
    assert price.floors == pricing.Floors(cash=D("20.63"), wage=D("171.49"), full=D("210.76"))
    assert prices.find(rug, GALLERY).floors.full == D("318.08")


def test_a_finished_piece_has_the_floors_that_its_skin_had(rug: str) -> None:
    before = prices.find(rug, CARD)
    finish(rug, pieces=[piece("A3", area=D(10100))])
    after = prices.find("a3", CARD)
    assert (after.floors, after.cost, after.number) == (before.floors, before.cost, "A3")


def test_cost_is_shown_per_square_foot_and_per_square_decimetre(rug: str) -> None:
    price = prices.find(rug, CARD)
    # 20.23 over 101 dm2: 0.2003 a dm2; 929.0304 / 10100 sq ft of it: 1.8608
    assert (price.per("dm2")["book"], price.per("sq_ft")["book"]) == (D("0.20"), D("1.86"))


def test_without_an_area_there_is_no_cost_per_area() -> None:
    skin("H01")
    price = prices.find("H01", CARD)
    assert price.per("dm2") == price.per("sq_ft") == {"book": None, "full": None}


def test_a_skin_in_work_has_its_dry_area_or_else_its_wet_one() -> None:
    skin("H01", wet_area=D(12000), dry_area=D(10000))
    skin("H02", wet_area=D(12000))
    assert [prices.find(tag, CARD).area for tag in ("H01", "H02")] == [D(10000), D(12000)]


def test_a_channel_named_in_full_is_found_though_another_holds_its_name() -> None:
    for name in ("Card", "Card reader", "Gallery"):
        channels.save(name=name, fee_percent=D(2), fixed_cost=D(0))
    assert [prices.channel(name).name for name in ("card", "reader")] == ["Card", "Card reader"]
    with pytest.raises(Refused, match='"Card", "Card reader"'):
        prices.channel("car")


def test_a_list_price_says_what_an_hour_earns(rug: str) -> None:
    assert prices.find(rug, CARD).earned_per_hour is None
    finish(rug, pieces=[piece("A3", list_price=D("185.00"))])
    assert prices.find("A3", CARD).earned_per_hour == D("17.43")


def test_a_piece_without_own_hours_earns_by_no_hour() -> None:
    skin("H01")
    finish("H01", pieces=[piece("A1", list_price=D(20))])
    assert prices.find("A1", CARD).earned_per_hour is None


def test_a_skin_in_work_is_priced_at_the_rates_of_today_and_a_piece_at_those_of_its_day(rug: str) -> None:
    skin("H04", price=0)
    work(minutes=60, tags=["H04"])
    finish("H03")
    rates.set_rates(wage_per_hour=D(20))
    assert prices.find("H04", CARD).cost.own_time == D(20)
    assert prices.find("A-H03", CARD).cost.own_time == D(148)


def test_what_is_neither_article_nor_skin_is_refused() -> None:
    with pytest.raises(Refused, match="There is no article X9 and no skin with that tag"):
        prices.find("X9", CARD)


def test_an_article_comes_before_a_skin_of_the_same_name(rug: str) -> None:
    finish(rug, pieces=[piece("H03", "1/2")])
    assert prices.find("H03", CARD).book == D("10.12")


def test_pieces_of_one_skin_show_the_cents_they_stand_for_in_the_books() -> None:
    skin("H08", price="37.85")
    finish("H08", pieces=[piece(f"P{n}", "1/3") for n in range(3)])
    assert [prices.find(f"P{n}", CARD).book for n in range(3)] == [D("12.61"), D("12.62"), D("12.62")]


def test_every_channel_has_its_floors(rug: str) -> None:
    channels.save(name="Card", fee_percent=D("1.9"), fixed_cost=D(0), usual=True)
    channels.save(name="Gallery", fee_percent=D(35), fixed_cost=D(0))
    finish(rug)
    number = Article.objects.get().number
    found = [prices.find(number, channel) for channel in prices.channels()]
    assert [(floor.channel.name, floor.floors.full) for floor in found] == [
        ("Card", D("210.76")),
        ("Gallery", D("318.08")),
    ]


def test_a_price_for_an_hours_pay_carries_the_tax_and_steps_up(rug: str) -> None:
    registered()
    rates.set_rates(vat_percent=D("25.5"), price_step=D(5))
    found = articles.ask(prices.find(rug, prices.NO_CHANNEL), hourly=D(16))
    # 20.23 + 9.25 x 16 = 168.23, tax 42.90
    assert (found.least.net, found.least.tax, found.least.pays, found.ask.typed) == (
        D("168.23"),
        D("42.90"),
        D("211.13"),
        D(215),
    )
    # 215.00 without tax is 171.31; (171.31 - 20.23) / 9.25
    assert found.earned == D("16.33")


def test_a_price_for_a_margin_leaves_it_after_the_fee(rug: str) -> None:
    found = articles.ask(prices.find(rug, GALLERY), margin_percent=D(10))
    # 206.75 / (1 - 0.35 - 0.10), rounded up
    assert (found.least.typed, found.ask.typed) == (D("375.91"), D("375.91"))


def test_a_margin_out_of_reach_is_refused(rug: str) -> None:
    with pytest.raises(Refused, match="cannot be had"):
        articles.ask(prices.find(rug, GALLERY), margin_percent=D(65))


def test_a_customers_piece_is_priced_by_the_work_in_it() -> None:
    rates.set_rates(wage_per_hour=D(16))
    skin("H06", owner="customer", price=0)
    work(DAY, 60, tags=["H06"])
    finish("H06")
    assert (prices.find("A-H06", CARD).book, prices.find("A-H06", CARD).full) == (0, D(16))
