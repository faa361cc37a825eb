from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from costing.models import Channel
from costing.sell.pricing import selectors as prices
from costing.sell.pricing.channels import services as channels
from inventory.errors import Refused, Taken

pytestmark = pytest.mark.django_db
D = Decimal


def save(name: str = "Gallery", fee: str = "35", fixed: str = "0", **given: Any) -> Channel:
    return channels.save(name=name, fee_percent=D(fee), fixed_cost=D(fixed), **given)


def test_a_channel_keeps_its_fee_and_fixed_cost() -> None:
    made = save("Online", "6.5", "11.40")
    assert (made.fee_percent, made.fixed_cost, made.usual) == (D("6.5"), D("11.40"), False)


def test_a_channel_may_be_changed() -> None:
    made = save()
    assert save("Craft room", "40", channel=made) == made
    assert Channel.objects.get().name == "Craft room"


def test_a_name_is_taken_in_any_spelling_but_by_itself() -> None:
    made = save()
    with pytest.raises(Taken, match="The channel gallery"):
        save("gallery")
    assert save("gallery", channel=made).name == "gallery"


def test_one_channel_is_the_usual_one() -> None:
    first = save("Fair", "1.9", usual=True)
    second = save(usual=True)
    assert list(Channel.objects.filter(usual=True)) == [second]
    save("Fair", "1.9", channel=first, usual=True)
    assert list(Channel.objects.filter(usual=True)) == [first]


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "a\x07"}, "name"),
        ({"fee": "-1"}, "fee_percent"),
        ({"fee": "100"}, "fee_percent"),
        ({"fee": "NaN"}, "fee_percent"),
        ({"fee": "1.2345"}, "fee_percent"),
        ({"fixed": "-0.01"}, "fixed_cost"),
        ({"fixed": "0.001"}, "fixed_cost"),
    ],
)
def test_a_channel_that_cannot_be_is_refused_beside_its_field(given: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        save(**given)
    assert refusal.value.field == field
    assert not Channel.objects.exists()


def test_a_channel_is_found_by_its_name_by_a_part_of_it_or_as_the_usual_one() -> None:
    save("Spring fair", "1.9", usual=True)
    save("Gallery")
    save("Gallery in town", "40")
    assert prices.channel("gallery").fee_percent == D(35)
    assert prices.channel("town").fee_percent == D(40)
    assert prices.channel().name == "Spring fair"
    assert [each.name for each in prices.channels()] == ["Spring fair", "Gallery", "Gallery in town"]


def test_a_name_that_fits_none_or_several_is_refused_with_the_choices() -> None:
    with pytest.raises(Refused, match="none is set up yet"):
        prices.channel("fair")
    save("Spring fair")
    save("Summer fair")
    with pytest.raises(Refused, match='"Spring fair", "Summer fair"'):
        prices.channel("fair")


def test_without_a_usual_channel_selling_costs_nothing() -> None:
    save()
    assert prices.channel() == prices.NO_CHANNEL
