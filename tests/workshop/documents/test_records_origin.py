"""The origin pack from records: what stands is told, what was reversed is not, and a buyer only by choice."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Reading
from inventory.errors import Refused
from inventory.models import Skin
from tests.inventory.pages import signed_in
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.documents.records import origin

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")


@pytest.fixture
def client() -> Client:
    return signed_in()


def test_a_pack_tells_what_is_on_record() -> None:
    pack = origin.origin_pack("h03")
    (skin,) = pack.skins
    assert (skin.tag, skin.species, skin.origin) == ("H03", "Sheep (Ovis aries), ram", "Finland")
    assert (skin.came_from, skin.weight) == ("Sammalniitty Sheep Farm", "5.4 kg")
    assert (pack.headline, pack.batches) == ("Sheepskin rug", ("B1: Alum taw bath, hair on",))
    turned = next(step for step in pack.steps if step.step == "Turn")
    assert (turned.times, str(turned.first), str(turned.last)) == (10, "2025-01-21", "2025-01-30")
    weighed = [each for each in pack.readings if each.weight]
    assert {each.of for each in weighed} == {"H03"}, "the weighings of other skins are theirs"
    assert [each.ph for each in pack.readings if each.of == "B1"][:2] == ["3.4", "3.6"]


def test_materials_are_what_is_in_the_skin() -> None:
    """TRADE.md, the demonstration's B1: salt 6 kg and 0.72 kg, alum, soda, bicarbonate, oil; no tags, gloves or cord."""
    found = {each.material: each.amount for each in origin.origin_pack("H03").materials}
    assert set(found.values()) == {"6.72 kg", "1.44 kg", "0.36 kg", "0.15 kg", "0.24 L"}
    assert len(found) == 5


def test_a_reversed_reading_is_not_told() -> None:
    before = len(origin.origin_pack("H03").readings)
    row = Reading.objects.filter(batch__number="B1", ph__isnull=False).first()
    assert row is not None
    Reading.objects.filter(pk=row.pk).update(reversed_at=row.at)
    assert len(origin.origin_pack("H03").readings) == before - 1


def test_a_buyer_is_named_only_by_choice() -> None:
    assert (origin.origin_pack("H02").sale, origin.origin_pack("H02").buyer) == ("INV-002", "")
    assert origin.origin_pack("H02", buyer=True).buyer == "Helka Suvantola"
    assert origin.origin_pack("H03", buyer=True).sale == ""


def test_a_customers_own_skin_names_its_job_and_not_its_owner() -> None:
    pack = origin.origin_pack("H06", buyer=True)
    assert (pack.job, pack.buyer) == ("J-01", "")
    assert "Tuohiköngäs" not in reading.words(printing.paper("origin", "H06"))


def test_two_skins_of_one_piece_are_both_told() -> None:
    Skin.objects.filter(tag="H10").update(origin="")
    assert [(skin.tag, skin.origin) for skin in origin.origin_pack("CUSH1").skins] == [("H10", ""), ("H11", "Finland")]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("number", ["H01", "H03", "H06", "H08-1", "CUSH1", "H09"])
def test_every_kind_of_piece_has_its_pack_on_one_page(number: str) -> None:
    paper = printing.paper("origin", number)
    assert len(reading.pages(paper)) == 1
    reading.assert_printable(paper)


def test_a_pack_is_reached_from_the_pieces_page(client: Client) -> None:
    address = reverse("origin_pdf", args=["H02"])
    assert f'href="{address}"' in client.get(reverse("article", args=["H02"])).content.decode()
    plain = client.get(address)
    assert plain["Content-Type"] == "application/pdf"
    assert "Suvantola" not in reading.words(plain.content)
    assert "Suvantola" in reading.words(client.get(address, {"buyer": "yes"}).content)
    assert "Alkuperäselvitys" in reading.words(client.get(address, {"language": "fi"}).content)


def test_there_is_none_of_what_is_not_there() -> None:
    with pytest.raises(Refused, match="There is no article H99"):
        origin.origin_pack("H99")
