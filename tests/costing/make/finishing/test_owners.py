"""One piece is one owner's: skins of two are not joined by any way, and what is cut from a customer's skin stays theirs."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.finishing import services as articles
from costing.sell.jobs import services as jobs
from costing.sell.jobs.intake import services as intake
from inventory.errors import Refused
from inventory.models import Article, ArticleSkin, Skin
from inventory.skins import services as skins
from inventory.skins.services import Details
from tests.factories import DAY, customer, finish, owner, piece, skin
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db


def theirs(tag: str, whose: str = "Ann Hill") -> Skin:
    return skin(tag, owner="customer", price=0, customer=whose)


def test_skins_of_two_customers_are_not_joined() -> None:
    theirs("H01")
    theirs("H02", "Bo Dale")
    with pytest.raises(Refused, match=r"H01 is Ann Hill's, H02 is Bo Dale's: .* Finish each into a piece of its own"):
        finish("H01", "H02")
    assert not Article.objects.exists()
    assert set(Skin.objects.values_list("stage", flat=True)) == {"raw"}


def test_skins_of_one_customer_are_joined_however_the_name_is_spelled() -> None:
    theirs("H01")
    theirs("H02", "ann  hill ")
    assert finish("H01", "H02")[0].customers


def test_the_job_says_whose_a_skin_is_before_the_words_on_it() -> None:
    for tag, whose in (("H01", ""), ("H02", "Bo Dale")):
        jobs.take(
            number=f"J-{tag}", customer=customer(), skin=theirs(tag, whose), work="taw", price=Decimal(1), taken_on=DAY
        )
    theirs("H03", "Bo Dale")
    with pytest.raises(Refused, match="H02 is Ann Hill's, H03 is Bo Dale's"):
        finish("H02", "H03")
    assert finish("H01", "H02")[0].customers


def test_customers_that_nobody_named_are_asked_for_first() -> None:
    theirs("H01", "")
    theirs("H02", "")
    with pytest.raises(Refused, match=r"Whose H01 and H02 are was never written\. Describe both"):
        finish("H01", "H02")


def test_a_loaded_folder_joins_no_two_owners_either() -> None:
    """The command line writes without a person; whose a skin is holds for it too."""
    theirs("H01")
    skin("H02")
    for by in (None, owner()):
        with pytest.raises(Refused, match="H02 is your own"):
            articles.finish(on=DAY, tags=["H01", "H02"], pieces=[piece("P1")], by=by)


def test_what_is_cut_from_a_customers_skin_is_theirs_piece_by_piece() -> None:
    theirs("H01")
    first = finish("H01", pieces=[piece("P1", "1/3"), piece("P2", "1/3")])
    last = finish("H01", pieces=[piece("P3", "1/3")])
    assert [each.customers for each in (*first, *last)] == [True, True, True]
    assert sum(Fraction(part.share_of, part.share_in) for part in ArticleSkin.objects.all()) == 1


def test_the_rest_of_a_cut_skin_is_not_joined_with_somebody_elses() -> None:
    theirs("H01")
    finish("H01", pieces=[piece("P1", "1/2")])
    skin("H02")
    with pytest.raises(Refused, match="one piece cannot be made of both"):
        finish("H01", "H02", pieces=[piece("P2", "1/2")])


def test_a_job_for_somebody_else_is_not_taken_on_a_skin_that_is_joined() -> None:
    first, _ = theirs("H01"), theirs("H02")
    finish("H01", "H02")
    with pytest.raises(Refused, match="H01 is Bo Dale's, H02 is Ann Hill's") as refused:
        jobs.take(number="J-01", customer=customer("Bo Dale"), skin=first, work="taw", price=Decimal(1), taken_on=DAY)
    assert refused.value.field == "customer"
    with pytest.raises(Refused, match="H01 is Bo Dale's"):
        intake.take(number="J-01", customer="Bo Dale", skin=first, work="taw", price=Decimal(1), taken_on=DAY)
    jobs.take(number="J-01", customer=customer(), skin=first, work="taw", price=Decimal(1), taken_on=DAY)


def test_a_joined_skin_keeps_its_customer_when_it_is_described() -> None:
    first, _ = theirs("H01"), theirs("H02")
    finish("H01", "H02")
    told = {"species": "Sheep", "date_in": DAY, "owner": "customer"}
    with pytest.raises(Refused, match="H01 is Bo Dale's") as refused:
        skins.describe(skin=first, details=Details(**told, customer="Bo Dale"))
    assert refused.value.field == "customer"
    first.refresh_from_db()
    assert first.customer == "Ann Hill"
    skins.describe(skin=first, details=Details(**told, customer="Ann Hill", defects="two holes"))


@pytest.mark.parametrize("sent", ["get", "post"])
def test_the_page_says_so_before_anything_is_typed(sent: str) -> None:
    theirs("H01")
    skin("H02")
    client: Client = signed_in()
    address = f"{reverse('article_finish')}?skin=H01&skin=H02"
    row = {"kind": "rug", "number": "P1", "area_unit": "dm2"}
    form = {"on": DAY, "method": "alum_tawed", "request_key": "k", "rows-TOTAL_FORMS": 1, "rows-INITIAL_FORMS": 0}
    given = form | {f"rows-0-{name}": value for name, value in row.items()}
    page = text(client.get(address) if sent == "get" else client.post(address, given))
    assert "H01 is Ann Hill's, H02 is your own: one piece cannot be made of both." in page
    assert ("Which skins is it made of?" in page) is (sent == "get")
    assert not Article.objects.exists()
