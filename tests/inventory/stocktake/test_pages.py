"""The page of the count sheet: blind first, then the differences, then the posting; each step safe to send twice."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.models import Kind, Material, Posting
from tests import factories
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db
TODAY = date(2025, 12, 31)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=TODAY)


@pytest.fixture
def alum() -> Material:
    return factories.material("ALUMK", on_hand=2, value="10.00", place=factories.place("Cellar"))


def address() -> str:
    return reverse("count_sheet")


def entered(material: Material, amount: str, unit: str = "kg", **more: Any) -> dict[str, Any]:
    return {
        "on": "2025-12-31",
        "request_key": "k1",
        "step": "look",
        f"count_{material.pk}": amount,
        f"unit_{material.pk}": unit,
        **more,
    }


def posted(material: Material, amount: str, difference: str, reason: str = "spilled") -> dict[str, Any]:
    more = {"step": "post", f"seen_{material.pk}": difference, f"reason_{material.pk}": reason}
    return entered(material, amount, **more)


def counts() -> int:
    return Posting.objects.filter(kind=Kind.COUNT).count()


def test_the_sheet_opens_for_the_owner(client: Client, alum: Material) -> None:
    page = text(client.get(address()))
    assert "Stocktake" in page
    assert "Cellar" in page
    assert "Material ALUMK" in page


def test_the_sheet_is_blind(client: Client, alum: Material) -> None:
    page = client.get(address()).content.decode()
    main = page.split("<main")[1]
    assert "10.00" not in main
    assert not re.search(rf'name="count_{alum.pk}"[^>]*value=', main)


def test_an_empty_shelf_says_what_to_do_first(client: Client) -> None:
    assert "Nothing to count yet" in text(client.get(address()))


def test_the_differences_are_shown_with_their_value_and_nothing_is_written(client: Client, alum: Material) -> None:
    page = text(client.post(address(), entered(alum, "1500", "g")))
    for words in ("In the books", "2 kg", "1.5 kg", "−0.5 kg", "−2.50", "Why Material ALUMK differs"):
        assert words in page
    assert counts() == 0


def test_units_as_typed_are_kept_also_cups_of_a_known_density(client: Client) -> None:
    salt = factories.material("SALT", on_hand=1, value="1.00", density_g_per_ml=Decimal("1.2"))
    page = text(client.post(address(), entered(salt, "2", "us_cup")))
    assert "0.567812 kg" in page or "0.568 kg" in page
    answer = client.post(
        address(), {**posted(salt, "2", difference(page_of(client, salt))), f"unit_{salt.pk}": "us_cup"}
    )
    assert answer.status_code == 302
    assert Posting.objects.get(kind=Kind.COUNT).movements.get().typed == "2 us_cup"


def page_of(client: Client, material: Material) -> str:
    return client.post(address(), entered(material, "2", "us_cup")).content.decode()


def difference(page: str) -> str:
    found = re.search(r'name="seen_\d+" value="([^"]+)"', page)
    assert found is not None
    return found[1]


def test_the_second_step_posts_with_the_reason_and_says_so(client: Client, alum: Material) -> None:
    answer = client.post(address(), posted(alum, "1,5", "-500.000"), follow=True)
    assert "The stocktake is posted: 1 difference, each with its reason." in text(answer)
    posting = Posting.objects.get(kind=Kind.COUNT)
    assert (posting.reason, posting.movements.get().typed) == ("spilled", "1.5 kg")


def test_the_second_step_sent_twice_posts_once(client: Client, alum: Material) -> None:
    for _ in range(2):
        assert client.post(address(), posted(alum, "1.5", "-500.000")).status_code == 302
    assert counts() == 1


def test_a_missing_reason_is_asked_for_beside_its_difference(client: Client, alum: Material) -> None:
    page = text(client.post(address(), posted(alum, "1.5", "-500.000", reason=" ")))
    assert "The reason for Material ALUMK is missing" in page
    assert "Post the differences" in page
    assert counts() == 0


def test_what_moved_meanwhile_is_shown_anew(client: Client, alum: Material) -> None:
    factories.take(alum, 1)
    page = client.post(address(), posted(alum, "0.5", "-1500.000")).content.decode()
    assert "moved in the books since the differences were shown" in page
    assert difference(page) == "-500.000"
    assert counts() == 0


@pytest.mark.parametrize("difference", ["half", "NaN", "sNaN", "-Infinity"])
def test_a_tampered_difference_is_refused(client: Client, alum: Material, difference: str) -> None:
    page = text(client.post(address(), posted(alum, "1.5", difference)))
    assert "The page came back changed" in page
    assert counts() == 0


@pytest.mark.parametrize("step", ["look", "post"])
def test_a_negative_count_is_refused_beside_its_box(client: Client, alum: Material, step: str) -> None:
    page = text(client.post(address(), entered(alum, "-1", step=step)))
    assert "The count of Material ALUMK cannot be negative; -1 was given." in page
    assert "Show the differences" in page
    assert counts() == 0


@pytest.mark.parametrize(
    ("amount", "said"), [("x", "“x” is not a figure."), ("1e40", "“1e40” is not a figure."), ("9" * 40, "digits")]
)
def test_what_is_no_figure_is_refused(client: Client, alum: Material, amount: str, said: str) -> None:
    page = text(client.post(address(), entered(alum, amount)))
    assert said in page
    assert "Show the differences" in page


def test_a_unit_that_does_not_fit_is_refused(client: Client, alum: Material) -> None:
    page = text(client.post(address(), entered(alum, "1", "us_cup")))
    assert "Select a valid choice" in page


def test_an_empty_sheet_is_refused(client: Client, alum: Material) -> None:
    assert "Nothing was counted" in text(client.post(address(), entered(alum, "")))


def test_a_sheet_that_agrees_says_so_and_offers_nothing_to_post(client: Client, alum: Material) -> None:
    page = text(client.post(address(), entered(alum, "2")))
    assert "Everything that was counted agrees with the books" in page
    assert "Post the differences" not in page


def test_the_counts_can_be_changed_again_as_they_were_typed(client: Client, alum: Material) -> None:
    page = client.post(address(), entered(alum, "1,25", "lb", step="change")).content.decode()
    assert 'value="1,25"' in page
    assert re.search(r'<option value="lb" selected', page)
    assert 'name="request_key" value="k1"' in page


@pytest.mark.thorough
def test_the_page_takes_the_same_number_of_queries_for_one_material_and_for_thirty(
    client: Client, alum: Material
) -> None:
    one = queries(client, address())
    for number in range(30):
        factories.material(f"X{number:02d}", on_hand=1, value="1.00", place=factories.place(f"Place {number}"))
    assert queries(client, address()) == one


def test_the_shelf_leads_to_the_sheet(client: Client, alum: Material) -> None:
    assert address() in text(client.get(reverse("shelf")))
