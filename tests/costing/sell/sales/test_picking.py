"""What there is to sell heaps up: the last of each kind are offered, all others are found by words, a gallery's own come first."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client

from costing.sell.pricing.channels import services as channels
from costing.sell.sales.offers.picking.selectors import MOST
from inventory.models import Article, Skin
from tests import factories as make
from tests.factories import DAY
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _many() -> None:
    make.skin("S1", species="Reindeer")
    pieces = [make.piece(f"P{number:02d}", f"1/{MOST + 2}") for number in range(MOST + 2)]
    for row in make.finish("S1", pieces=pieces):
        Article.objects.filter(pk=row.pk).update(finished_on=DAY + timedelta(days=int(row.number[1:])))


def offered(client: Client, query: str = "", kind: str = "piece") -> list[str]:
    page = client.get(f"/sales/new/?{query}").content.decode()
    return re.findall(rf'name="{kind}"\s+value="([^"]*)"', page)


def test_the_last_are_offered_in_the_order_of_their_numbers_and_the_page_says_that_there_are_others(
    client: Client,
) -> None:
    assert offered(client) == [f"P{number:02d}" for number in range(2, MOST + 2)]
    assert f"The last {MOST}. Type a word above" in text(client.get("/sales/new/"))
    Article.objects.filter(number__in=("P25", "P26")).update(gone_on=DAY, gone_why="gift")
    assert offered(client) == [f"P{number:02d}" for number in range(MOST)]
    assert "Type a word above and go on" not in text(client.get("/sales/new/"))


def test_every_piece_is_found_by_words_and_by_its_number(client: Client) -> None:
    make.skin("W1", species="Wolf")
    old = make.finish("W1", pieces=[make.piece("OLD", kind="rug")])[0]
    Article.objects.filter(pk=old.pk).update(finished_on=DAY - timedelta(days=900))
    assert "OLD" not in offered(client)
    assert offered(client, "find=wolf") == ["OLD"]
    assert "Not found" not in text(client.get("/sales/new/?find=wolf"))
    assert 'value="article:OLD"' in client.get("/sales/new/?find=old").content.decode()
    assert "Nothing is numbered or tagged 'bear'" in text(client.get("/sales/new/?find=bear"))
    assert len(offered(client, "find=bear")) == MOST


def test_what_a_gallery_holds_comes_first(client: Client) -> None:
    gallery = make.place("Gallery", "gallery")
    channel = channels.save(name="Gallery", fee_percent=Decimal(40), fixed_cost=Decimal(0), place=gallery)
    Article.objects.filter(number="P00").update(place=gallery)
    assert "P00" not in offered(client)
    assert "P00" in offered(client, f"channel={channel.pk}")


def test_spoiled_skins_of_long_ago_are_found_by_words(client: Client) -> None:
    for number in range(MOST + 1):
        make.skin(f"L{number:02d}", species="Bear" if number == 0 else "Hare")
        Skin.objects.filter(tag=f"L{number:02d}").update(stage="lost", lost_on=DAY + timedelta(days=number))
    assert "L00" not in offered(client, kind="skin")
    assert len(offered(client, kind="skin")) == MOST
    assert offered(client, "find=bear", kind="skin") == ["L00"]
