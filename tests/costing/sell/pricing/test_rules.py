"""Prices: floors that really cover, margins and hourly pay that are really left, tax that adds up."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.sell.pricing.rules import (
    Channel,
    Floors,
    Footing,
    earned_per_hour,
    floor,
    floors,
    meaning,
    on_net,
    price_for_margin,
    price_for_markup,
    round_to_step,
    typed,
)
from costing.sell.rounding.rules import Rounding, Way
from inventory.errors import Refused
from inventory.money import half_up

CARD = Channel("card fair", Decimal("1.9"))
GALLERY = Channel("gallery", Decimal(35))
ONLINE = Channel("online", Decimal("6.5"), Decimal("14.00"))
CASH = Channel("cash")
WAGE = Decimal("16.00")
CENT = Decimal("0.01")


def money(low: int = 0, high: int = 2_000_00) -> st.SearchStrategy[Decimal]:
    return st.integers(low, high).map(lambda cents: Decimal(cents).scaleb(-2))


CHANNELS = st.builds(
    Channel,
    name=st.just("any"),
    fee_percent=st.integers(0, 999).map(lambda tenths: Decimal(tenths).scaleb(-1)),
    fixed_cost=money(0, 40_00),
    fee_fixed=money(0, 5_00),
    resells=st.booleans(),
    relief=st.sampled_from(["", "", "Sale for resale"]),
)
FOOTINGS = st.builds(
    Footing,
    percent=st.integers(0, 3000).map(lambda hundredths: Decimal(hundredths).scaleb(-2)),
    included=st.booleans(),
    rounding=st.sampled_from([Rounding(way=way) for way in Way if way is not Way.DOWN]),
)


def left_after_selling(price: Decimal, channel: Channel) -> Fraction:
    """Without tax and exactly, beside the rule that rounds a fee to coins."""
    each = Fraction(channel.fixed_cost) + Fraction(channel.fee_fixed)
    return Fraction(price) * (1 - Fraction(channel.fee_percent) / 100) - each


def an_hour(price: Decimal, book: Decimal, hours: Decimal | Fraction, channel: Channel) -> Decimal | None:
    return earned_per_hour(meaning(price, Footing(), channel, 2), book, hours, 2)


def test_floors_of_the_ram_skin_at_a_card_fair() -> None:
    got = floors(Decimal("20.23"), Decimal("9.25"), WAGE, Decimal("206.75"), CARD, 2)
    assert got == Floors(cash=Decimal("20.63"), wage=Decimal("171.49"), full=Decimal("210.76"))


def test_floors_are_the_same_from_exact_costs_as_from_shown_ones() -> None:
    book, full = Fraction("24.70") / 3 + 12, Fraction("24.70") / 3 + 12 + 185 + Fraction("1.52")
    exact = floors(book, Fraction(37, 4), WAGE, full, CARD, 2)
    assert exact == Floors(cash=Decimal("20.63"), wage=Decimal("171.49"), full=Decimal("210.76"))


def test_gallery_price_for_full_cost() -> None:
    assert floor(Decimal("206.75"), GALLERY, 2) == Decimal("318.08")


def test_a_free_channel_asks_for_the_cost_itself() -> None:
    assert floor(Decimal("206.75"), CASH, 2) == Decimal("206.75")


def test_fixed_cost_is_part_of_the_floor() -> None:
    assert floor(Decimal("79.50"), ONLINE, 2) == Decimal("100.00")


def test_a_floor_in_a_currency_without_coins_is_whole() -> None:
    assert floor(Decimal(1000), CARD, 0) == Decimal(1020)


def test_a_cost_below_zero_has_a_floor_of_nothing() -> None:
    assert floor(Decimal("-5.00"), CARD, 2) == 0


@pytest.mark.parametrize("fee", ["100", "100.1", "−0.1"])
def test_an_impossible_fee_is_refused_with_what_to_do(fee: str) -> None:
    with pytest.raises(Refused, match=f"gallery: a selling fee of {fee} % .* at least 0 and less than 100") as caught:
        floor(Decimal(10), Channel("gallery", Decimal(fee.replace("−", "-"))), 2)
    assert caught.value.field == "fee_percent"


def test_a_negative_fixed_cost_is_refused() -> None:
    with pytest.raises(Refused, match=r"post: a fixed selling cost of -1\.00 cannot be") as caught:
        floor(Decimal(10), Channel("post", Decimal(0), Decimal("-1.00")), 2)
    assert caught.value.field == "fixed_cost"


def test_the_ram_skin_at_185_by_card_earns_17_43_an_hour() -> None:
    assert an_hour(Decimal(185), Decimal("20.23"), Decimal("9.25"), CARD) == Decimal("17.43")


def test_reindeer_rug_at_240_by_card_earns_20_49_an_hour() -> None:
    minutes = Fraction(300 + 48 + 90, 3) + Fraction(80 + 45 + 60 + 90 + 50, 2) + 250
    assert an_hour(Decimal(240), Decimal("44.70"), minutes / 60, CARD) == Decimal("20.49")


def test_without_hours_there_is_no_hourly_figure() -> None:
    assert an_hour(Decimal(185), Decimal("20.23"), Decimal(0), CARD) is None


def test_a_sale_below_book_earns_less_than_nothing_an_hour() -> None:
    assert an_hour(Decimal(10), Decimal(20), Decimal(4), CASH) == Decimal("-2.50")


def test_margin_is_of_the_price() -> None:
    assert price_for_margin(Decimal(60), Decimal(40), CASH, 2) == Decimal("100.00")
    assert price_for_margin(Decimal(46), Decimal("33.5"), ONLINE, 2) == Decimal("100.00")


@pytest.mark.parametrize("margin", ["65", "90", "−1"])
def test_a_margin_that_no_price_leaves_is_refused(margin: str) -> None:
    with pytest.raises(
        Refused, match=f"takes 35 % .* a margin of {margin} % cannot be had; .* less than 65 %"
    ) as caught:
        price_for_margin(Decimal(10), Decimal(margin.replace("−", "-")), GALLERY, 2)
    assert caught.value.field == "margin_percent"


def test_a_channel_on_a_price_without_tax_keeps_its_name_and_fixed_cost() -> None:
    assert on_net(ONLINE, Decimal(20)) == Channel("online", Decimal("7.8"), Decimal("14.00"))


def test_a_cost_below_zero_has_no_price_below_nothing_for_a_margin() -> None:
    assert price_for_margin(Decimal("-20.00"), Decimal(30), ONLINE, 2) == 0


@pytest.mark.parametrize(
    ("price", "step", "ticket"),
    [("171.49", "5", "175"), ("175.00", "5", "175"), ("171.49", "0.50", "171.50"), ("171.50", "0.05", "171.50")],
)
def test_a_ticket_price_goes_up_to_the_step(price: str, step: str, ticket: str) -> None:
    got = round_to_step(Decimal(price), Decimal(step), 2)
    assert got == Decimal(ticket)
    assert got.as_tuple().exponent == -2


@pytest.mark.parametrize("step", ["0", "-1", "0.005"])
def test_a_step_that_coins_cannot_make_is_refused(step: str) -> None:
    with pytest.raises(Refused, match=rf"in steps of {step}; .* whole multiple of 0\.01") as caught:
        round_to_step(Decimal(10), Decimal(step), 2)
    assert caught.value.field == "step"


@settings(max_examples=100, deadline=None)
@given(money(), CHANNELS)
def test_the_floor_covers_its_cost_and_one_cent_less_does_not(cost: Decimal, channel: Channel) -> None:
    price = floor(cost, channel, 2)
    assert price >= cost
    assert left_after_selling(price, channel) >= cost
    assert left_after_selling(price - CENT, channel) < cost


@settings(max_examples=100, deadline=None)
@given(money(), CHANNELS)
def test_the_floor_still_covers_when_the_fee_is_charged_in_whole_cents(cost: Decimal, channel: Channel) -> None:
    price = floor(cost, channel, 2)
    assert not price or meaning(price, Footing(), channel, 2).left >= cost


@settings(max_examples=300, deadline=None)
@given(money(), FOOTINGS, CHANNELS, st.sampled_from([0, 2, 3]))
def test_the_buyer_pays_what_is_kept_and_the_fee_and_the_tax(
    price: Decimal, footing: Footing, channel: Channel, places: int
) -> None:
    sums = meaning(price, footing, channel, places)
    assert sums.pays == sums.kept + sums.fee + sums.tax
    assert sums.left == sums.kept - sums.own_cost
    assert all(half_up(each, places) == each for each in (sums.pays, sums.net, sums.tax, sums.fee, sums.kept))
    assert (sums.pays if footing.included else sums.net) == sums.typed == half_up(price, places)
    if channel.relief or not footing.percent:
        assert (sums.tax, sums.pays) == (0, sums.typed)


@settings(max_examples=200, deadline=None)
@given(money(), FOOTINGS, CHANNELS)
def test_a_floor_as_it_is_typed_covers_its_cost_after_tax_and_fee(
    cost: Decimal, footing: Footing, channel: Channel
) -> None:
    footing = footing.through(channel)
    where = on_net(channel, footing.percent)
    if where.fee_percent >= 100:
        return
    net = floor(cost, where, 2)
    price = typed(net, footing, 2)
    sums = meaning(price, footing, channel, 2)
    assert sums.net == net
    assert not price or sums.left >= cost


def test_a_fee_has_a_fixed_part_and_a_resellers_is_of_the_price_without_tax() -> None:
    """A US maker: 6.25 % on top of 185.00. Card 2.6 % + 0.10 of 196.56; a gallery that sells itself keeps 40 % of 185.00."""
    on_top = Footing(Decimal("6.25"), included=False)
    card = meaning(Decimal(185), on_top, Channel("card", Decimal("2.6"), fee_fixed=Decimal("0.10")), 2)
    assert (card.pays, card.tax, card.fee, card.kept) == (
        Decimal("196.56"),
        Decimal("11.56"),
        Decimal("5.21"),
        Decimal("179.79"),
    )
    resold = meaning(Decimal(185), on_top, Channel("gallery", Decimal(40), resells=True, relief="Sale for resale"), 2)
    assert (resold.pays, resold.tax, resold.fee, resold.kept) == (185, 0, 74, 111)
    # The maker's VAT inside 185.00 is no part of what a retailer's percent is of: 185.00 / 1.255 = 147.41, 40 % of it.
    taxed = meaning(Decimal(185), Footing(Decimal("25.5")), Channel("gallery", Decimal(40), resells=True), 2)
    assert (taxed.net, taxed.tax, taxed.fee, taxed.kept) == (
        Decimal("147.41"),
        Decimal("37.59"),
        Decimal("58.96"),
        Decimal("88.45"),
    )


def test_nothing_is_kept_of_a_sale_for_nothing() -> None:
    assert meaning(Decimal(0), Footing(), Channel("card", Decimal("2.6"), fee_fixed=Decimal("0.10")), 2).fee == 0


def test_a_markup_is_of_the_cost_and_a_margin_of_the_price() -> None:
    assert price_for_markup(Decimal("206.75"), Decimal(20), CASH, 2) == Decimal("248.10")
    assert price_for_margin(Decimal("206.75"), Decimal(20), CASH, 2) == Decimal("258.44")
    with pytest.raises(Refused, match="markup of −1 %") as caught:
        price_for_markup(Decimal(1), Decimal(-1), CASH, 2)
    assert caught.value.field == "markup_percent"


@settings(max_examples=60, deadline=None)
@given(money(), st.integers(0, 3000), money(0, 60_00), money(0, 500_00), CHANNELS)
def test_floors_are_ordered(book: Decimal, minutes: int, wage: Decimal, above: Decimal, channel: Channel) -> None:
    hours = Fraction(minutes, 60)
    full = Fraction(book) + hours * Fraction(wage) + Fraction(above)
    got = floors(book, hours, wage, full, channel, 2)
    assert got.cash <= got.wage <= got.full


@settings(max_examples=60, deadline=None)
@given(money(), st.integers(1, 3000), money(0, 60_00), CHANNELS)
def test_the_price_for_an_hourly_wish_earns_it_and_a_cent_less_does_not(
    book: Decimal, minutes: int, hourly: Decimal, channel: Channel
) -> None:
    hours = Fraction(minutes, 60)
    price = floor(Fraction(book) + hours * Fraction(hourly), channel, 2)
    assert (left_after_selling(price, channel) - Fraction(book)) / hours >= hourly
    assert (left_after_selling(price - CENT, channel) - Fraction(book)) / hours < hourly


@settings(max_examples=60, deadline=None)
@given(money(), st.integers(0, 99), CHANNELS)
def test_the_price_for_a_margin_leaves_it_and_a_cent_less_does_not(
    cost: Decimal, margin: int, channel: Channel
) -> None:
    if channel.fee_percent + margin >= 100:
        with pytest.raises(Refused, match="cannot be had"):
            price_for_margin(cost, Decimal(margin), channel, 2)
        return
    price = price_for_margin(cost, Decimal(margin), channel, 2)
    short = price - CENT
    assert left_after_selling(price, channel) - Fraction(cost) >= Fraction(price) * margin / 100
    assert left_after_selling(short, channel) - Fraction(cost) < Fraction(short) * margin / 100


@settings(max_examples=60, deadline=None)
@given(money(), st.integers(1, 2000))
def test_a_step_price_is_the_next_whole_step(price: Decimal, cents: int) -> None:
    step = Decimal(cents).scaleb(-2)
    got = round_to_step(price, step, 2)
    assert price <= got < price + step
    assert Fraction(got) % Fraction(step) == 0
