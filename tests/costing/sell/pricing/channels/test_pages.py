"""Pages of the rates and of the channels."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.make.cost.rates.models import EVER
from costing.models import Channel, Rates
from costing.sell.pricing.channels import services as channels
from inventory.base.accounting import services as workshop
from inventory.models import Place
from tests import factories
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db

RATES = {
    "since": "2025-07-01",
    "wage_per_hour": "16",
    "overhead_per_hour": "4,00",
    "frame_wear": "1.52",
    "vat_percent": "25.5",
    "price_step": "5",
    "request_key": "k",
}

CHANNEL = {"name": "Fair, card", "fee_percent": "1,9", "fixed_cost": "0", "request_key": "k"}


def channel(name: str = "Gallery", fee: str = "35", **more: Any) -> Channel:
    return channels.save(name=name, fee_percent=Decimal(fee), fixed_cost=Decimal(0), **more)


def test_pages_open_for_the_owner(client: Client) -> None:
    row = channel()
    names = [("rates", []), ("channels", []), ("channel_new", []), ("channel_edit", [row.pk])]
    for name, args in names:
        address = reverse(name, args=args)
        assert client.get(address).status_code == 200


def test_rates_are_set_and_shown_again(client: Client) -> None:
    for _ in range(2):
        assert client.post(reverse("rates"), RATES)["location"] == reverse("setup")
    row = Rates.objects.get()
    assert row.since == EVER, "the first rates hold for all days before too"
    assert (row.wage_per_hour, row.overhead_per_hour, row.frame_wear) == (Decimal(16), Decimal(4), Decimal("1.52"))
    assert (row.vat_percent, row.price_step) == (Decimal("25.5"), Decimal(5))
    page = client.get(reverse("rates")).content.decode()
    assert 'value="1.52"' in page
    assert 'value="25.5"' in page


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"wage_per_hour": "-1"}, "wage_per_hour", "cannot be negative"),
        ({"frame_wear": "1.5250"}, "frame_wear", "decimals"),
        ({"vat_percent": "101"}, "vat_percent", "not believable"),
        ({"vat_percent": ""}, "vat_percent", "required"),
        ({"price_step": "x"}, "price_step", "is not a figure"),
        ({"since": "2999-01-01"}, "since", "Check the year"),
        ({"since": ""}, "since", "required"),
    ],
)
def test_a_wrong_rate_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = client.post(reverse("rates"), RATES | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not Rates.objects.filter(wage_per_hour__gt=0).exists()


def test_rates_from_a_day_are_shown_with_those_before(client: Client) -> None:
    rates.set_rates(wage_per_hour=Decimal(12))
    answer = client.post(reverse("rates"), RATES, follow=True)
    assert "The rates hold from 1 July 2025." in text(answer)
    page = text(client.get(reverse("rates")))
    assert (
        '<th scope="row">1 Jul 2025</th><td><span class="dim">further on</span></td><td class="num">16.00</td>' in page
    )
    assert '<th scope="row">always</th><td>30 Jun 2025</td><td class="num">12.00</td>' in page


def test_a_closed_day_keeps_its_rates_and_says_so_beside_the_day(client: Client) -> None:
    rates.set_rates(wage_per_hour=Decimal(12))
    workshop.close_books(to=date(2025, 12, 31))
    answer = client.post(reverse("rates"), RATES)
    assert "closed to 2025-12-31" in answer.context["form"].errors["since"][0]


def test_no_channel_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("channels")))
    assert "No way to sell yet" in page
    assert reverse("channel_new") in page


def test_a_channel_is_kept_once_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        assert client.post(reverse("channel_new"), CHANNEL | {"usual": "on"})["location"] == reverse("channels")
    row = Channel.objects.get()
    assert (row.name, row.fee_percent, row.usual) == ("Fair, card", Decimal("1.9"), True)
    page = text(client.get(reverse("channels")))
    assert "1.9 %" in page
    assert "usual" in page


def test_making_one_usual_takes_the_word_from_the_other(client: Client) -> None:
    row = channel(usual=True)
    client.post(reverse("channel_new"), CHANNEL | {"usual": "on"})
    row.refresh_from_db()
    assert not row.usual


def test_a_channel_can_be_changed(client: Client) -> None:
    row = channel()
    address = reverse("channel_edit", args=[row.pk])
    assert 'value="35"' in client.get(address).content.decode()
    client.post(address, CHANNEL | {"name": "Gallery", "fee_percent": "40"})
    assert Channel.objects.get().fee_percent == Decimal(40)


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"name": "gallery"}, "name", "is used already"),
        ({"name": "a\x07"}, "name", "control character"),
        ({"fee_percent": "100"}, "fee_percent", "leaves nothing"),
        ({"fee_percent": "-1"}, "fee_percent", "cannot be negative"),
        ({"fixed_cost": "1.0050"}, "fixed_cost", "decimals"),
    ],
)
def test_a_wrong_channel_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    channel()
    answer = client.post(reverse("channel_new"), CHANNEL | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert Channel.objects.count() == 1


def test_a_helper_may_set_neither_rates_nor_channels() -> None:
    helper = signed_in(factories.person("helper"))
    assert helper.post(reverse("rates"), RATES).status_code == 403
    assert helper.post(reverse("channel_new"), CHANNEL).status_code == 403
    assert not Channel.objects.exists()


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    rates.set_rates(wage_per_hour=Decimal(16))
    channel()
    one = queries(client, reverse("channels"))
    for number in range(29):
        channel(f"Fair {number}")
    assert queries(client, reverse("channels")) == one


def test_a_gallery_is_tied_to_the_one_channel_that_sells_for_it(client: Client) -> None:
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    client.post(reverse("channel_new"), CHANNEL | {"place": place.pk})
    row = Channel.objects.get()
    assert row.place == place
    other = CHANNEL | {"name": "Another", "place": place.pk, "request_key": "k9"}
    answer = client.post(reverse("channel_new"), other)
    assert "sells through" in answer.context["form"].errors["place"][0]
    assert Channel.objects.count() == 1
    assert client.get(reverse("channel_edit", args=[row.pk])).context["form"]["place"].value() == place.pk
    client.post(reverse("channel_edit", args=[row.pk]), CHANNEL | {"place": "", "request_key": "k8"})
    row.refresh_from_db()
    assert row.place is None
