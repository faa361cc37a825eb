"""Where you work: one page for how figures, days and measures are written, and what they then look like everywhere."""

from __future__ import annotations

import html
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.sell.sales.terms import selectors as terms_read
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import Refused
from inventory.models import Material, Posting, Skin
from tests.factories import material, owner, person
from workshop.documents import printing
from workshop.documents.kit import page
from workshop.setup import suggestions

pytestmark = pytest.mark.django_db
D = Decimal
PAGE = "/setup/where/"
AMERICAN = {
    "locale": "en-US",
    "country": "US",
    "units": "us",
    "paper": "letter",
    "paper_language": "es",
    "bath_unit": "us_gallon",
    "degrees": "F",
    "time_zone": "America/Chicago",
    "tax_name": "sales tax",
    "law": "US",
}


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(owner())
    return client


def text(answer: object) -> str:
    return html.unescape(answer.content.decode())  # type: ignore[attr-defined]


def test_the_page_keeps_all_of_it(client: Client) -> None:
    assert client.post(PAGE, AMERICAN | {"request_key": "k"}).status_code == 302
    workshop.forget()
    row = workshop.current()
    assert {name: getattr(row, name) for name in AMERICAN if name != "law"} | {
        "law": terms_read.terms().law
    } == AMERICAN


def test_a_locale_fills_the_page_in_and_keeps_nothing(client: Client) -> None:
    answer = text(client.post(PAGE, {"locale": "en_us", "propose": "1", "units": "metric", "time_zone": "UTC"}))
    assert "This is what is usual for" in answer
    assert 'value="us" selected' in answer
    assert 'value="letter" selected' in answer
    assert 'value="UTC"' in answer  # the country has several zones: what stood there stays
    workshop.forget()
    assert workshop.current().locale == ""


def test_a_country_with_one_time_zone_suggests_it() -> None:
    found = suggestions.of("de-DE")
    assert (found["paper"], found["units"], found["law"], found["tax_name"]) == ("a4", "metric", "EU", "VAT")
    assert suggestions.of("fi-FI")["time_zone"] == "Europe/Helsinki"
    assert suggestions.of("fi-FI")["country"] == "FI"
    assert "tax_name" not in suggestions.of("ja-JP")


def test_a_country_that_there_is_not_is_refused_beside_its_box(client: Client) -> None:
    answer = text(client.post(PAGE, AMERICAN | {"country": "XX", "request_key": "k"}))
    assert "“XX” is not a country's code; write the two letters of its ISO code" in answer
    assert 'value="XX"' in answer


@pytest.mark.parametrize("propose", [{}, {"propose": "1"}])
def test_a_locale_that_does_not_exist_is_refused_beside_its_box(client: Client, propose: dict[str, str]) -> None:
    answer = text(client.post(PAGE, AMERICAN | {"locale": "de-XX", "request_key": "k"} | propose))
    assert "“de-XX” is not a locale known here; did you mean de-" in answer
    workshop.forget()
    assert workshop.current().locale == ""


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_opens_it(role: str) -> None:
    client = Client()
    client.force_login(person(role))
    assert client.get(PAGE).status_code == 403


@pytest.mark.parametrize(("name", "value"), [("units", "x"), ("paper", "a5"), ("locale", "x-Y")])
def test_what_is_not_known_is_refused_by_the_service(name: str, value: str) -> None:
    with pytest.raises(Refused) as refusal:
        accounting.set_up(**{name: value})
    assert refusal.value.field == name


OPENING = {"unit": "kg", "on": "2025-01-01", "request_key": "k"}


@pytest.mark.parametrize(
    ("locale", "quantity", "value", "kept"),
    [
        ("", "1,5", "12.50", ("1500", "12.5")),
        ("", "1,200.00", "12,50", ("1200000", "12.5")),
        ("en-US", "1,250", "1,250.00", ("1250000", "1250")),
        ("de-DE", "1,250", "1.250", ("1250", "1250")),
        ("fr-FR", "1 250,5", "12,5", ("1250500", "12.5")),
    ],
)
def test_a_price_and_a_quantity_are_read_as_the_workshop_writes_them(
    client: Client, locale: str, quantity: str, value: str, kept: tuple[str, str]
) -> None:
    alum = material("ALUMK")
    accounting.set_up(locale=locale)
    address = reverse("material_open", args=[alum.code])
    answer = client.post(address, OPENING | {"quantity": quantity, "value": value})
    assert answer.status_code == 302, text(answer)
    alum = Material.objects.get()
    assert (alum.on_hand, alum.value) == (D(kept[0]), D(kept[1]))


@pytest.mark.parametrize(
    ("locale", "quantity", "value", "said"),
    [
        ("", "1", "1,250", "“1,250” may be 1250 or 1.25. Write 1250, or 1.25"),
        ("", "1.250", "1", "“1.250” may be 1250 or 1.25. Write 1250, or 1.25"),
        ("de-DE", "1", "1.5", "“1.5” is not a figure as de-DE writes them: 1.250,5. Write 1,5."),
        ("en-US", "1", "1'250", "“1'250” is not a figure as en-US writes them: 1,250.5."),
    ],
)
def test_what_may_be_two_figures_is_refused_with_both(
    client: Client, locale: str, quantity: str, value: str, said: str
) -> None:
    alum = material("ALUMK")
    accounting.set_up(locale=locale)
    address = reverse("material_open", args=[alum.code])
    assert said in text(client.post(address, OPENING | {"quantity": quantity, "value": value}))
    assert not Posting.objects.exists()


def test_forms_begin_with_the_units_and_pages_with_the_areas_of_the_workshop(client: Client) -> None:
    accounting.set_up(units="us", locale="en-US")
    answer = text(client.get("/skins/new/"))
    assert answer.index('<option value="lb"') < answer.index('<option value="kg"')
    assert answer.index('<option value="sq_ft"') < answer.index('<option value="dm2"')
    sent = {
        "tag": "R1",
        "species": "Rabbit",
        "owner": "mine",
        "date_in": "2025-01-11",
        "green_weight": "2.5",
        "weight_unit": "lb",
        "dry_area": "3.2",
        "area_unit": "sq_ft",
        "request_key": "k",
    }
    client.post("/skins/new/", sent)
    assert Skin.objects.get().green_weight == D("1133.981")
    shown = text(client.get("/skins/R1/"))
    assert "2.5 lb" in shown
    assert "3.2 sq ft (" in shown
    assert "Jan 11, 2025" in shown


def test_every_paper_is_printed_on_the_workshops_own_and_another_is_asked_for() -> None:
    assert printing.own_sheet() == page.A4
    accounting.set_up(paper="letter")
    assert printing.own_sheet() == page.LETTER
    assert b"612 792" in printing.paper("stocktake")
    assert b"595.27" in printing.paper("stocktake", sheet="a4")
