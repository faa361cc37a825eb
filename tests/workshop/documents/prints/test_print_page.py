"""The page that prints labels: what is chosen, the sheet, the place to begin, copies; the preview; refusals at their field."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.base.labels import services as own_sheets
from inventory.models import LabelSheet
from tests import factories as make
from tests.workshop.documents import reading
from workshop.documents import labelling
from workshop.documents.labelling import Run

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")

SHEET = "3 × 7 on A4"
NAMES = {
    "article": ("H03", "CUSH1"),
    "skin": ("H03", "H13"),
    "batch": ("B1",),
    "material": ("ALUMK", "SALT"),
    "frame": ("F1", "F2"),
    "place": ("Chemical shelf", "Finished shelf"),
}


def shown(client: Client, kind: str, **query: object) -> HttpResponse:
    answer = client.get(reverse("print_labels", args=[kind]), query)
    assert answer.status_code == 200
    return answer


def errors(answer: HttpResponse) -> dict[str, str]:
    return {name: " ".join(found) for name, found in answer.context["form"].errors.items()}


def chosen(answer: HttpResponse) -> list[str]:
    return [thing.name for thing in answer.context["asked"].chosen]


def text(answer: HttpResponse) -> str:
    return " ".join(answer.content.decode().split())


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("kind", labelling.KINDS)
def test_each_kind_has_its_page_and_its_pdf_is_that_of_the_command(client: Client, kind: str) -> None:
    names = NAMES[labelling.KINDS[kind].of]
    answer = shown(client, kind, name=names)
    assert errors(answer) == {}
    assert chosen(answer) == list(names)
    assert answer.context["asked"].told.startswith(("1 label", "2 labels"))
    made = client.get(reverse("labels_pdf", args=[kind]), {"name": names})
    assert made["Content-Type"] == "application/pdf"
    assert made.content == labelling.lay(Run(kind, names)).print()


@pytest.mark.thorough
def test_a_part_used_sheet_is_told_shown_and_printed_from_its_first_free_place(client: Client) -> None:
    asked = {"name": ["H03", "H04", "CUSH1"], "sheet": SHEET, "start": "8", "copies": "7"}
    answer = shown(client, "care", **asked)
    page = text(answer)
    assert "21 labels on 2 pages, places 8 to 21 of the first sheet." in page
    assert "Print at 100 %, “actual size”, not “fit to page”." in page
    spots = answer.context["asked"].picture.spots
    assert [spot.state for spot in spots] == ["used"] * 7 + ["label"] * 14
    assert [spot.name for spot in spots[7:]] == ["H03"] * 7 + ["H04"] * 7
    assert re.findall(r'name="start" value="(\d+)" checked', page) == ["8"]
    assert len(re.findall(r'type="radio" name="start"', page)) == 21
    made = client.get(reverse("labels_pdf", args=["care"]), asked)
    assert made["Content-Disposition"] == 'inline; filename="care-H03-to-CUSH1.pdf"'
    assert len(reading.pages(made.content)) == 2
    assert made.content == labelling.lay(Run("care", asked["name"], copies=7, sheet="3x7", start=8)).print()


def test_a_roll_and_a_paper_to_cut_apart_say_what_they_come_to(client: Client) -> None:
    roll = shown(client, "ticket", name="H03", other="57x32mm", copies="3")
    assert roll.context["asked"].told == "3 labels, each on a page of its own."
    assert (roll.context["asked"].picture.width, roll.context["asked"].picture.height) == ("57", "32")
    cut = shown(client, "tag", name=["H03", "H13"], sheet="own")
    assert cut.context["asked"].told == "2 labels on 1 page, places 1 to 2, to be cut apart."
    assert [spot.state for spot in cut.context["asked"].picture.spots][:3] == ["label", "label", "free"]


def test_the_tags_of_a_batch_are_chosen_by_its_number_and_then_stand_as_ticks(client: Client) -> None:
    answer = shown(client, "tag", batch="b3")
    assert chosen(answer) == ["H07", "H08"]
    assert "Tags of its skins" in text(client.get(reverse("batch", args=["B3"])))
    assert chosen(shown(client, "frame", batch="B1")) == ["B1"]
    assert chosen(shown(client, "care", batch="B3")) == ["H07", "H08-1", "H08-2", "H08-3"]
    assert "There is no batch B99" in errors(shown(client, "tag", batch="B99"))["name"]
    assert "No material is of a batch" in errors(shown(client, "jar", batch="B3"))["name"]


def test_a_name_is_taken_however_it_is_typed_each_once_and_the_box_is_empty_again(client: Client) -> None:
    answer = shown(client, "care", name="H03", also="h03, cush1; H12")
    assert chosen(answer) == ["H03", "CUSH1", "H12"]
    assert not re.search(r'id="id_also"[^>]*value=', text(answer))


def test_what_may_be_chosen_is_what_is_there_or_what_was_searched(client: Client) -> None:
    offered = [thing.name for thing in shown(client, "care").context["asked"].offered]
    assert "H03" in offered
    assert "H04" not in offered  # sold
    found = shown(client, "care", words="h04").context["asked"]
    assert [thing.name for thing in found.offered] == ["H04"]
    assert chosen(shown(client, "care", words="h04", all="yes")) == ["H04"]
    assert "GLOVE" not in [thing.name for thing in shown(client, "jar", words="glove").context["asked"].offered]


def test_choosing_does_not_grow_with_the_workshop(client: Client) -> None:
    for number in range(30):
        make.skin(f"N{number:02}")
    asked = shown(client, "tag").context["asked"]
    assert (len(asked.offered), asked.more) == (12, True)


def test_a_page_that_only_begins_has_no_fault_and_one_that_was_sent_says_what_is_missing(client: Client) -> None:
    assert errors(shown(client, "care")) == {}
    assert errors(shown(client, "care", sheet=SHEET)) == {}
    assert "Choose the article" in errors(shown(client, "care", copies="1"))["name"]


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize(
    ("kind", "asked", "field", "words"),
    [
        ("care", {"name": "H99"}, "name", "There is no article H99"),
        ("care", {"also": "H03, H99"}, "also", "There is no article H99"),
        ("care", {"name": "x" * 6_000}, "name", "is no name"),
        ("care", {"also": "x" * 6_000}, "also", "at most 2000 characters"),
        ("care", {"also": ",".join(f"X{number}" for number in range(201))}, "also", "prints 200 at once"),
        ("care", {"name": "H03", "sheet": SHEET, "start": "22"}, "start", "Begin at 1 to 21"),
        ("care", {"name": "H03", "sheet": SHEET, "start": "0"}, "start", "counted from 1"),
        ("care", {"name": "H03", "sheet": SHEET, "start": "9" * 5000}, "start", "whole number"),
        ("care", {"name": "H03", "copies": "0"}, "copies", "1 copy or more"),
        ("care", {"name": "H03", "copies": str(10**9)}, "copies", "3000 labels at most"),
        ("care", {"name": ["H03", "H12"], "copies": "1501"}, "copies", "3002 labels were asked for"),
        ("care", {"name": "H03", "copies": "many"}, "copies", "whole number"),
        ("care", {"name": "H03", "sheet": "nobody's"}, "other", "There is no sheet"),
        ("care", {"name": "H03", "other": "0x7"}, "other", "1 to 50 columns"),
        ("care", {"name": "H03", "other": "x" * 6_000}, "other", "at most 40 characters"),
        ("care", {"name": "H03", "other": "12x12mm"}, "other", "does not fit"),
        ("care", {"name": "H03", "sheet": "3 × 10 on Letter", "language": "xx"}, "language", "xx"),
        ("care", {"name": "H03", "language": "fi", "second": "fi"}, "second", "the first language already"),
        ("ticket", {"name": "H06"}, "name", "not for sale"),
        ("bath", {"name": "B2"}, "name", "is in no bath"),
        ("bath", {"name": "B5"}, "name", "Nothing was added"),
        ("jar", {"name": "SALT", "litres": "-1"}, "litres", "is no volume"),
        ("jar", {"name": "SALT", "litres": "much"}, "litres", "is not a figure"),
    ],
)
def test_what_cannot_be_printed_is_said_at_its_field_and_so_by_its_pdf(
    client: Client, kind: str, asked: dict[str, object], field: str, words: str
) -> None:
    answer = shown(client, kind, **asked)
    assert words in errors(answer)[field]
    assert answer.context["asked"].laid is None
    assert "Open PDF" not in text(answer)
    made = client.get(reverse("labels_pdf", args=[kind]), asked)
    assert words in errors(made)[field]
    assert f'action="{reverse("print_labels", args=[kind])}#preview"' in text(made)


def test_what_is_wrong_is_read_where_preview_leads_and_each_leads_to_its_field(client: Client) -> None:
    page = text(shown(client, "care", name="H99", sheet=SHEET, copies="0"))
    below = page[page.index('id="preview"') :]
    assert '<a href="#id_copies">Print 1 copy or more.</a>' in below
    assert '<a href="#things">There is no article H99.' in below
    assert 'id="things"' in page
    assert 'id="id_copies"' in page


def test_no_names_and_no_such_kind(client: Client) -> None:
    assert "Choose the article" in errors(client.get(reverse("labels_pdf", args=["care"])))["name"]
    assert client.get(reverse("print_labels", args=["poster"])).status_code == 404
    assert client.get(reverse("labels_pdf", args=["poster"])).status_code == 404
    assert client.post(reverse("print_labels", args=["care"])).status_code == 405


def test_a_start_belongs_to_the_sheet_that_it_was_chosen_on(client: Client) -> None:
    asked = {"name": "H03", "sheet": "2 × 4 on A4", "start": "9"}
    assert "start" in errors(shown(client, "care", **asked))
    assert "places 1 to" not in errors(shown(client, "care", **asked, start_on="2 × 4 on A4"))
    answer = shown(client, "care", **asked, start_on=SHEET)
    assert errors(answer) == {}
    assert answer.context["asked"].told == "1 label on 1 page, place 1."


def test_a_sheet_with_too_many_places_to_be_hit_has_no_buttons(client: Client) -> None:
    answer = shown(client, "number", name="F1", other="12x17", start="205")
    assert "Begin at 1 to 204" in errors(answer)["start"]
    assert answer.context["asked"].places == []
    assert 'name="start" value="205"' in text(answer)


def test_an_own_sheet_can_be_chosen(client: Client) -> None:
    own_sheets.create(name="Stall", paper="a4", columns=2, rows=2, width=90, height=60, left=10, top=20)
    assert LabelSheet.objects.count() == 1
    answer = shown(client, "care", name="H03", sheet="Stall", start="4")
    assert '<option value="Stall" selected>' in text(answer)
    assert answer.context["asked"].told == "1 label on 1 page, place 4."


def test_two_languages_and_the_litres_are_printed(client: Client) -> None:
    made = client.get(reverse("labels_pdf", args=["care"]), {"name": "H03", "second": "fi"})
    assert made.content == labelling.lay(Run("care", ["H03"], languages=["en", "fi"])).print()
    jar = client.get(reverse("labels_pdf", args=["jar"]), {"name": "SALT", "litres": "0.5"})
    assert jar.content == labelling.lay(Run("jar", ["SALT"], litres=Decimal("0.5"))).print()
    page = text(shown(client, "bath", name="B1"))
    assert 'name="second"' not in page
    assert 'name="litres"' not in page


def test_a_long_run_says_how_long_it_takes_and_a_short_one_nothing(client: Client) -> None:
    assert "about 15 seconds" in text(shown(client, "ticket", name="H03", sheet=SHEET, copies="3000"))
    assert "seconds" not in text(shown(client, "ticket", name="H03", sheet=SHEET, copies="300"))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("kind", ["tag", "care", "number", "jar", "shelf"])
def test_thirty_things_are_read_as_often_as_one(client: Client, kind: str) -> None:
    names = many(kind)
    url = reverse("print_labels", args=[kind])
    client.get(url, {"name": names[:1]})
    with CaptureQueriesContext(connection) as one:
        client.get(url, {"name": names[:1]})
    with CaptureQueriesContext(connection) as thirty:
        answer = client.get(url, {"name": names})
    assert errors(answer) == {}
    assert answer.context["asked"].laid.labels == len(names) >= 30
    assert len(thirty) == len(one)


def many(kind: str) -> list[str]:
    """Thirty more of what a kind of label names."""
    if kind == "tag":
        return [make.skin(f"N{number:02}").tag for number in range(30)]
    if kind == "care":
        return [make.article(f"N{number:02}").number for number in range(30)]
    if kind == "jar":
        return [make.material(f"N{number:02}", name=f"Salt {number}").code for number in range(30)]
    if kind == "shelf":
        return [make.place(f"Shelf {number}").name for number in range(30)]
    from costing.models import Frame

    first = Frame.objects.get(number="F1")
    rows = [Frame(number=f"N{number:02}", made_on=first.made_on, lacings=9, place=first.place) for number in range(30)]
    return [row.number for row in Frame.objects.bulk_create(rows)]


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_everybody_prints_what_everybody_may_read(role: str) -> None:
    person = Client()
    person.force_login(make.person(role))
    assert shown(person, "tag", name="H03").context["asked"].laid is not None
    assert person.get(reverse("labels_pdf", args=["tag"]), {"name": "H03"})["Content-Type"] == "application/pdf"


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("page", "given", "link"),
    [
        ("articles", [], "/print/care/"),
        ("skins", [], "/print/tag/"),
        ("shelf", [], "/print/jar/"),
        ("places", [], "/print/shelf/"),
        ("article", ["H03"], "/print/care/?name=H03"),
        ("batch", ["B3"], "/print/tag/?batch=B3"),
        ("material", ["ALUMK"], "/print/jar/?name=ALUMK"),
        ("frame", ["F1"], "/print/number/?name=F1"),
    ],
)
def test_pages_lead_to_it(client: Client, page: str, given: list[str], link: str) -> None:
    assert f'href="{link}"' in text(client.get(reverse(page, args=given)))


def test_a_list_that_is_searched_leads_to_what_it_shows(client: Client) -> None:
    assert 'href="/print/care/?words=rug+h0"' in text(client.get(reverse("articles"), {"words": "rug h0"}))


def test_the_other_labels_of_the_same_things_keep_them(client: Client) -> None:
    page = text(shown(client, "care", name=["H03", "CUSH1"]))
    assert 'href="/print/ticket/?name=H03&amp;name=CUSH1"' in page
    assert 'href="/print/shelf/"' in page
    of_batch = text(shown(client, "tag", batch="B3"))
    assert 'href="/print/bath/?batch=B3"' in of_batch
    assert 'href="/print/jar/"' in of_batch
