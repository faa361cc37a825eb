"""The page of one skin: cost so far with every line, stays, articles; and writing it off."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.issues import services as issues_services
from costing.make.batches.stays import services as batches
from costing.make.cost import selectors as costs
from costing.make.cost.breakdown import selectors as lines
from costing.make.cost.rates import services as rates
from costing.make.cost.rules import Share
from costing.make.labour import services as labour
from inventory.base.accounting import services as workshop
from inventory.models import Skin
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


def worked() -> Skin:
    """H01 at 12.00, with half of 2.00 of salt in B1, 1.00 of salt of its own, half of 90 min, and 15.00 of paid help."""
    skin = factories.skin("H01", supplier=factories.supplier("Sammalniitty Sheep Farm"))
    factories.skin("H02")
    salt = factories.material("SALT", on_hand=12, value=24)
    made = factories.batch("B1", tags=["H01", "H02"])
    factories.put(made, salt, 1)
    factories.put(None, salt, "0.5", tags=["H01"])
    factories.work(DAY, 90, batch=made)
    factories.work(DAY, 60, task="stake", tags=["H01"], who="Aino", paid=Decimal(15))
    return skin


def test_pages_open_for_the_owner(client: Client) -> None:
    factories.skin("H01")
    for name in ("skin", "skin_lose"):
        address = reverse(name, args=["H01"])
        assert client.get(address).status_code == 200
        assert client.get(reverse(name, args=["H99"])).status_code == 404


def test_cost_so_far_stands_with_its_parts_and_their_sources(client: Client) -> None:
    """Book 12 + 1 + 1 + 15 = 29; full adds 0.75 h × 16 and 1.75 h × 4: 48.00."""
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), frame_wear=Decimal(0))
    worked()
    page = text(client.get(reverse("skin", args=["H01"])))
    assert "29.00 €" in page
    assert "48.00 €" in page
    assert "H01 from Sammalniitty Sheep Farm, 4 Mar 2025" in page
    assert "its share of 2 lines: batch B1, straight on the skin" in page
    assert "0.75 h at 16.00 an hour" in page
    assert "1.75 h at 4.00 an hour" in page


def test_every_entry_leads_back_to_where_it_was_written(client: Client) -> None:
    worked()
    page = text(client.get(reverse("skin", args=["H01"])))
    entries = lines.of_skins([Skin.objects.get(tag="H01")])["H01"]
    assert len(entries) == 4
    for entry in entries:
        if entry.labour:
            assert reverse("labour_reverse", args=[entry.labour.pk]) in page
        else:
            assert reverse("posting", args=[entry.posting]) in page
    assert reverse("batch", args=["B1"]) in page


@pytest.mark.thorough
def test_the_lines_add_up_to_the_cost() -> None:
    """What the page lists and what the roll-up says are the same cost, exactly."""
    skin = worked()
    batches.leave(batch=skin.stays.get().batch, skin=skin, on=date(2025, 3, 10))
    factories.work(date(2025, 3, 12), 45, batch=skin.stays.get().batch)
    both = [skin, Skin.objects.get(tag="H02")]
    found = lines.of_skins(both)
    for tag, whole in costs.skin_shares(both).items():
        entries = sum((entry.share for entry in found[tag]), Share(skin_price=Fraction(12)))
        assert entries == whole


@pytest.mark.thorough
def test_what_was_taken_back_is_no_line_of_the_cost() -> None:
    skin = worked()
    use = factories.put(None, factories.material("TAG", "piece", on_hand=9, value=9), 1, tags=["H01"])
    line = factories.work(DAY, 30, tags=["H01"])
    before = len(lines.of_skins([skin])["H01"])
    issues_services.reverse(use=use, reason="wrong skin")
    labour.reverse(line=line)
    assert len(lines.of_skins([skin])["H01"]) == before - 2


def test_a_customers_skin_is_said_to_be_no_stock(client: Client) -> None:
    factories.skin("H06", owner="customer", customer="Mrs Tuohiköngäs", price=0)
    page = text(client.get(reverse("skin", args=["H06"])))
    assert "Mrs Tuohiköngäs's own skin: not stock" in page


@pytest.mark.thorough
def test_the_page_shows_its_batch_and_the_pieces_made_of_it(client: Client) -> None:
    factories.skin("H08")
    factories.finish("H08", pieces=[factories.piece("H08-1", "1/3")])
    page = text(client.get(reverse("skin", args=["H08"])))
    assert reverse("article", args=["H08-1"]) in page
    assert "is allocated 1/3 of it" in page


def test_a_skin_is_written_off_once_though_sent_twice(client: Client) -> None:
    factories.skin("H05")
    form = {"on": "2025-03-18", "reason": "slipped", "request_key": "k"}
    for _ in range(2):
        answer = client.post(reverse("skin_lose", args=["H05"]), form)
        assert answer["location"] == reverse("skin", args=["H05"])
    skin = Skin.objects.get()
    assert (skin.stage, skin.lost_on, skin.lost_reason) == ("lost", date(2025, 3, 18), "slipped")
    page = text(client.get(reverse("skin", args=["H05"])))
    assert "What it cost until it was lost" in page
    assert reverse("skin_lose", args=["H05"]) not in page


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"reason": ""}, "reason", "required"),
        ({"reason": "a\x07"}, "reason", "control character"),
        ({"on": "2025-03-01"}, "on", "came in on"),
        ({"on": ""}, "on", "required"),
    ],
)
def test_a_wrong_loss_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    factories.skin("H05")
    form = {"on": "2025-03-18", "reason": "slipped", "request_key": "k"} | wrong
    answer = client.post(reverse("skin_lose", args=["H05"]), form)
    assert said in answer.context["form"].errors[field][0]
    assert Skin.objects.get().lost_on is None


def test_a_helper_is_not_shown_the_way_to_finish() -> None:
    factories.skin("H01")
    page = text(signed_in(factories.person("helper")).get(reverse("skin", args=["H01"])))
    assert reverse("article_finish") not in page


@pytest.mark.thorough
def test_a_skin_takes_as_many_queries_for_thirty_lines_as_for_one(client: Client) -> None:
    skin = factories.skin("H01")
    salt = factories.material("SALT", on_hand=120, value=24)
    made = factories.batch("B1", tags=["H01"])
    factories.put(made, salt, 1, tags=["H01"])
    factories.work(DAY, 5, batch=made, tags=["H01"])
    factories.put(None, salt, 1, tags=["H01"])
    one = queries(client, reverse("skin", args=["H01"]))
    for _ in range(10):
        factories.put(made, salt, 1, tags=["H01"])
        factories.put(None, salt, 1, tags=[skin.tag])
        factories.work(DAY, 5, batch=made, tags=["H01"])
    assert queries(client, reverse("skin", args=["H01"])) == one
