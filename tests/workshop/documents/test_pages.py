"""The shed's papers by their addresses: shown in the browser, linked where one looks for them, refused in words."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from costing.models import Batch
from inventory.base.accounting import services as workshop
from inventory.models import Material, Place
from tests import factories as make
from tests.workshop.documents import reading
from workshop.documents import printing

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")


def place() -> Place:
    return Place.objects.get(name="Chemical shelf")


PAPERS = {
    "skin_tag": (["H03"], "/skins/H03/tag.pdf", "tag-H03.pdf", "H03"),
    "bath_label": (["B1"], "/batches/B1/bath.pdf", "bath-B1.pdf", "Taw tub"),
    "frame_tag": (["B1"], "/batches/B1/frame.pdf", "frame-B1.pdf", "Up 3 Feb 2025"),
    "batch_card": (["B5"], "/batches/B5/card.pdf", "card-B5.pdf", "Batch card"),
    "jar_label": (["ALUMK"], "/shelf/ALUMK/jar.pdf", "jar-ALUMK.pdf", "Potash alum"),
    "grid_sheet": ([], "/grid-sheet.pdf", "grid-sheet.pdf", "a cord every 100 mm: one square is 1 dm²"),
    "sick_day": ([], "/sick-day.pdf", "sick-day-2025-12-31.pdf", "Stand-in sheet"),
}


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_opens_in_the_browser_under_a_name_to_keep(client: Client, name: str) -> None:
    given, path, file, words = PAPERS[name]
    assert reverse(name, args=given) == path
    answer = client.get(path)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == f'inline; filename="{file}"'
    assert words in reading.words(answer.content)


def test_a_shelf_is_labelled_by_its_row(client: Client) -> None:
    answer = client.get(reverse("shelf_label", args=[place().pk]))
    assert answer["Content-Disposition"] == f'inline; filename="shelf-{place().pk}.pdf"'
    assert answer.content == printing.label("shelf", "Chemical shelf")
    assert client.get(reverse("shelf_label", args=[0])).status_code == 404


def test_a_sick_day_is_printed_as_of_the_day_asked_for(client: Client) -> None:
    answer = client.get("/sick-day.pdf", {"on": "2025-01-20"})
    assert answer.content == printing.paper("stand-in", date(2025, 1, 20))
    assert "193.52" in reading.words(answer.content)
    assert "H13" not in reading.words(answer.content)


def test_an_address_may_ask_for_copies_a_sheet_and_the_jars_litres(client: Client) -> None:
    asked = client.get("/shelf/SALT/jar.pdf", {"copies": "4", "sheet": "a4", "litres": "0,5"})
    assert asked.content == printing.label("jar", "SALT", copies=4, sheet="a4", litres=Decimal("0.5"))


@pytest.mark.parametrize(
    ("path", "query", "refusal"),
    [
        ("/skins/H99/tag.pdf", {}, "There is no skin H99"),
        ("/batches/B2/bath.pdf", {}, "B2 is in no bath"),
        ("/batches/B99/card.pdf", {}, "There is no batch B99"),
        ("/shelf/NONE/jar.pdf", {}, "There is no material NONE"),
        ("/skins/H03/tag.pdf", {"copies": "0"}, "0 copies were asked for"),
        ("/skins/H03/tag.pdf", {"copies": "many"}, "copies 'many' is not a number"),
        ("/skins/H03/tag.pdf", {"sheet": "a3"}, "There is no sheet 'a3'"),
        ("/skins/H03/tag.pdf", {"litres": "2"}, "Only a jar is asked for its litres"),
        ("/shelf/SALT/jar.pdf", {"litres": "-1"}, "-1 L is no volume"),
        ("/grid-sheet.pdf", {"frame": "large"}, "“large” is no frame. Write its inside"),
        ("/grid-sheet.pdf", {"frame": "1200x1500x800"}, "Cords every 800 mm do not fit this frame"),
        ("/sick-day.pdf", {"on": "soon"}, "'soon' is not a day"),
    ],
)
def test_what_cannot_be_printed_is_said_on_the_page_it_was_asked_from(
    client: Client, path: str, query: dict[str, str], refusal: str
) -> None:
    answer = client.get(path, query)
    assert (answer.status_code, answer["Location"]) == (302, "http://testserver/")
    assert any(refusal in str(message) for message in get_messages(answer.wsgi_request))


def test_pages_lead_to_the_papers_of_what_they_show(client: Client) -> None:
    skin = client.get(reverse("skin", args=["H03"])).content.decode()
    assert reverse("skin_tag", args=["H03"]) in skin
    batch = client.get(reverse("batch", args=["B1"])).content.decode()
    for name in ("batch_card", "bath_label", "frame_tag"):
        assert reverse(name, args=["B1"]) in batch
    assert reverse("jar_label", args=["ALUMK"]) in client.get(reverse("material", args=["ALUMK"])).content.decode()
    assert reverse("shelf_label", args=[place().pk]) in client.get(reverse("places")).content.decode()
    today = client.get("/").content.decode()
    assert reverse("sick_day") in today
    assert reverse("grid_sheet") in today
    assert reverse("calendar_links") in today
    assert reverse("calendar_links") in client.get(reverse("setup")).content.decode()


def test_a_plan_offers_no_label_of_a_bath_that_is_not_made_nor_a_tag_for_nobody(client: Client) -> None:
    page = client.get(reverse("batch", args=["B5"])).content.decode()
    assert reverse("batch_card", args=["B5"]) in page
    assert reverse("bath_label", args=["B5"]) not in page
    assert reverse("frame_tag", args=["B5"]) not in page


def test_a_piece_has_no_jar(client: Client) -> None:
    assert reverse("jar_label", args=["GLOVE"]) not in client.get(reverse("material", args=["GLOVE"])).content.decode()


@pytest.mark.thorough
def test_a_helper_prints_what_the_shed_needs(demo: None) -> None:
    helper = Client()
    helper.force_login(make.person("helper"))
    for _, path, _, _ in PAPERS.values():
        assert helper.get(path)["Content-Type"] == "application/pdf"


def test_a_number_with_a_slash_makes_a_file_name_without_one(client: Client) -> None:
    workshop.pin_today(on=date(2026, 1, 12))
    make.batch("B7/2", version=Batch.objects.get(number="B5").version, start=date(2026, 1, 12))
    answer = client.get(reverse("batch_card", args=["B7/2"]))
    assert answer["Content-Disposition"] == 'inline; filename="card-B7-2.pdf"'


@pytest.mark.parametrize("path", ["/shelf/ALUMK/jar.pdf", "/batches/B5/card.pdf"])
def test_a_paper_with_a_letter_that_cannot_be_printed_is_refused_by_name(client: Client, path: str) -> None:
    Material.objects.filter(code="ALUMK").update(name="Alum 🐑")
    answer = client.get(path)
    assert answer.status_code == 302
    assert any("has the picture “🐑” (U+1F411, sheep)" in str(each) for each in get_messages(answer.wsgi_request))


def test_a_page_shows_what_no_paper_prints(client: Client) -> None:
    Material.objects.filter(code="ALUMK").update(name="Alum 🐑")
    answer = client.get("/shelf/ALUMK/")
    assert answer.status_code == 200
    assert "Alum 🐑" in answer.content.decode()
