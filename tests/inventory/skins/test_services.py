from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused, Taken
from inventory.models import Skin
from inventory.skins import services as skins
from tests.factories import DAY, place, skin, supplier

pytestmark = pytest.mark.django_db
D = Decimal
KNOWN = skins.Details(species="Sheep", date_in=DAY, price=D(12), green_weight=D(4600))


def test_a_skin_is_taken_in_raw_with_what_is_known() -> None:
    made = skins.take_in(tag="H01", details=replace(KNOWN, supplier=supplier(), place=place(), defects="2 holes"))
    assert (made.tag, made.stage, made.owner, made.price) == ("H01", Skin.Stage.RAW, Skin.Owner.MINE, D(12))


def test_a_tag_is_taken_in_any_spelling() -> None:
    skin("H01")
    with pytest.raises(Taken, match="The tag h01 is used already"):
        skin("h01")


def test_a_customers_skin_has_no_price() -> None:
    with pytest.raises(Refused, match="A customer's skin is not stock") as refusal:
        skin(owner="customer", price="0.01")
    assert refusal.value.field == "price"
    assert skin(owner="customer", customer="Mrs Tuohiköngäs", price=0).price == 0


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"species": ""}, "species"),
        ({"species": "a\x07"}, "species"),
        ({"owner": "nobody"}, "owner"),
        ({"green_weight": D(0)}, "green_weight"),
        ({"green_weight": D("4600.0001")}, "green_weight"),
        ({"wet_area": D(-1)}, "wet_area"),
        ({"dry_area": D("NaN")}, "dry_area"),
        ({"price": D("12.001")}, "price"),
        ({"price": D(-1)}, "price"),
        ({"source": "x" * 201}, "source"),
        ({"defects": "a\x00b"}, "defects"),
    ],
)
def test_what_cannot_be_kept_is_refused_beside_its_field(given: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        skins.take_in(tag="H01", details=replace(KNOWN, **given))
    assert refusal.value.field == field
    assert not Skin.objects.exists()


def test_a_skin_does_not_come_in_on_a_closed_day() -> None:
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        skins.take_in(tag="H01", details=KNOWN)
    assert skins.take_in(tag="H01", details=replace(KNOWN, date_in=DAY + timedelta(days=1)))


def test_the_same_form_twice_takes_in_one_skin() -> None:
    first, second = (skins.take_in(tag="H01", details=KNOWN, request_key="k") for _ in range(2))
    assert first == second


def test_a_skin_may_be_described_better() -> None:
    made = skins.take_in(tag="H01", details=KNOWN)
    better = skins.describe(skin=made, details=replace(KNOWN, sex_age="ewe", wet_area=D(9100)))
    assert (better.sex_age, better.wet_area) == ("ewe", D(9100))


@pytest.mark.parametrize(
    "given", [{"price": D(13)}, {"owner": "customer", "price": D(0)}, {"date_in": DAY + timedelta(days=1)}]
)
def test_price_owner_and_day_of_arrival_stay(given: dict[str, Any]) -> None:
    made = skins.take_in(tag="H01", details=KNOWN)
    with pytest.raises(Refused, match="stay as they were written"):
        skins.describe(skin=made, details=replace(KNOWN, **given))


def test_where_a_skin_is_changes_by_a_move_and_never_by_a_description() -> None:
    here, there = place("Freezer", "freezer"), place("Salt crate")
    made = skins.take_in(tag="H01", details=replace(KNOWN, place=here))
    with pytest.raises(Refused, match=r"H01 is at Freezer\. To put it at Salt crate, move it") as refused:
        skins.describe(skin=made, details=replace(KNOWN, place=there, sex_age="ram"))
    assert refused.value.field == "place"
    for told in (None, here):
        assert skins.describe(skin=made, details=replace(KNOWN, place=told, sex_age="ewe")).place == here


def test_skins_are_locked_in_the_order_asked_and_strangers_are_named() -> None:
    skin("H01")
    skin("H02")
    assert [found.tag for found in skins.lock(["H02", "H01"])] == ["H02", "H01"]
    with pytest.raises(Refused, match="No skin has the tag H09, H08"):
        skins.lock(["H09", "H01", "H08"])
