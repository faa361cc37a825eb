"""What was issued or packed before it came here is kept as it stood; numbers are still the next of their series."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from costing.models import Channel, Fair, Sale, Terms
from costing.sell.fairs import services as fairs
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Borne
from costing.sell.sales.services import AsIssued
from costing.sell.sales.terms import services as terms
from inventory.errors import Refused
from inventory.models import Article, Kind, Move, Place
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY, item

pytestmark = pytest.mark.django_db
D = Decimal

OLD = AsIssued(
    seller={"name": "Old", "address": "", "tax_number": ""}, buyer={"name": "B"}, due_on=DAY + timedelta(days=3)
)


def sell(article: Article, *, borne: Borne | None = None, **given: Any) -> Sale:
    return selling.sell(on=DAY, items=[item(article, borne=borne)], **given)


def test_it_says_what_it_said_and_has_the_next_number() -> None:
    first = make.sale(make.article("A1"))
    second = sell(make.article("A2"), as_issued=OLD, borne=Borne(D("1.23"), D("4.56"), D(7)))
    assert (second.seller, second.buyer, second.due_on) == (OLD.seller, OLD.buyer, OLD.due_on)
    assert second.sequence == first.sequence + 1
    line = second.lines.get()
    assert (line.book, line.full, line.own_minutes) == (D("1.23"), D("4.56"), D(7))


def test_what_it_lacks_by_todays_law_is_not_asked_nor_of_its_credit() -> None:
    terms.set_terms(tax_number="XX1", law="UK")
    with pytest.raises(Refused, match="cannot be issued yet"):
        sell(make.article("A1"), as_issued=None, kind="invoice", customer=make.customer("Nobody", postal_address=""))
    taken = sell(make.article("A2"), as_issued=OLD)
    assert not taken.taxed
    note = credits.credit(sale=taken, on=DAY, reason="back", taken_over=True)
    assert note.gross == -taken.gross


def test_the_tax_of_then_is_kept_and_todays_terms_are_not_touched() -> None:
    taxed = AsIssued(seller={"name": "Old", "tax_number": "XX9"}, buyer={}, taxed=True, prices_with_tax=True)
    sale = selling.sell(on=DAY, items=[item(make.article("A1"), asked="124.00", tax_percent=D(24))], as_issued=taxed)
    assert (sale.taxed, sale.net, sale.tax) == (True, D("100.00"), D("24.00"))
    assert not Terms.objects.exclude(tax_number="").exists()


def test_through_which_channel_a_gallery_sells_may_have_been_settled_since() -> None:
    gallery = Place.objects.create(name="Gallery", kind="gallery")
    make.sells_through(Channel.objects.create(name="Gallery"), gallery)
    article = make.article("A1")
    moves.move(thing=article, to=gallery, on=DAY)
    with pytest.raises(Refused, match="on sale or return"):
        sell(article)
    assert sell(article, as_issued=OLD).number


def test_packing_is_what_left_the_shelf_as_sold() -> None:
    box = make.material("BOX", "piece", on_hand=3, value=3)
    with pytest.raises(Refused, match="leaves the shelf as sold"):
        make.sale(make.article("A1"), box=make.take(box, 1, kind=Kind.SPOILED))


def test_a_gallery_sells_through_one_channel() -> None:
    gallery = Place.objects.create(name="Gallery", kind="gallery")
    first, second = Channel.objects.create(name="First"), Channel.objects.create(name="Second")
    make.sells_through(first, gallery)
    with pytest.raises(Refused, match="sells through First already"):
        make.sells_through(second, gallery)
    make.sells_through(first, None)
    assert make.sells_through(second, gallery).place == gallery


def test_a_pack_list_is_taken_over_without_a_move_and_closed_for_good() -> None:
    fair = Fair.objects.create(name="Fair", on=DAY, place=Place.objects.create(name="Van", kind="van"))
    one, two = make.article("A1"), make.article("A2")
    fairs.take_over(fair=fair, packed=[one, two], back=[two], closed_on=DAY)
    assert sorted(fair.pieces.values_list("article__number", "back")) == [("A1", False), ("A2", True)]
    assert not Move.objects.exists()
    with pytest.raises(Refused, match="is closed"):
        fairs.take_over(fair=fair, packed=[])


@pytest.mark.parametrize("wrong", ["stranger", "no day"])
def test_a_pack_list_that_does_not_fit_is_refused(wrong: str) -> None:
    fair = Fair.objects.create(name="Fair", on=DAY)
    one, two = make.article("A1"), make.article("A2")
    given = {"stranger": {"packed": [one], "back": [two], "closed_on": DAY}, "no day": {"packed": [one], "back": [one]}}
    with pytest.raises(Refused, match=r"was not packed|on which day"):
        fairs.take_over(fair=fair, **given[wrong])  # type: ignore[arg-type]  # one of two sets of words
    assert not fair.pieces.exists()
