"""Label sheets of a workshop in the United States: every length typed, drawn, told and refused in inches, and kept in mm."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as accounting
from inventory.base.labels import rules, services
from inventory.models import LabelSheet
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
NEW = "/setup/label-sheets/new/"
LENGTHS = ("width", "height", "left", "top", "gap_x", "gap_y", "offset_x", "offset_y")
TYPED = {"width": "2.625", "height": "1", "left": "0.1875", "top": "0.5", "gap_x": "0.125", "gap_y": ""}
TYPED |= {"offset_x": "0.0625", "offset_y": "-0.03125"}
SAID = {"name": "Bench", "paper": "letter", "columns": "3", "rows": "10", **TYPED}


@pytest.fixture
def client() -> Client:
    accounting.set_up(units="us", paper="letter", locale="en-US")
    return signed_in()


def enter(client: Client, address: str = NEW, **changed: str) -> HttpResponse:
    return client.post(address, {"request_key": "k", **SAID, **changed}, follow=True)


def metric(**changed: Any) -> LabelSheet:
    size = {"width": Decimal("99.1"), "height": Decimal("38.1"), "left": Decimal("4.65")}
    return services.create(**{"name": "Metric", "paper": "a4", "columns": 2, "rows": 7, **size, **changed})


def of(row: LabelSheet, rest: str = "") -> str:
    return f"{reverse('label_sheet', args=[row.pk])}{rest}"


def test_what_is_typed_in_inches_is_kept_in_millimetres_and_comes_back_as_typed(client: Client) -> None:
    page = text(enter(client))
    assert "2.625 × 1 in" in page
    assert "0.0625 in further right and 0.03125 in further up" in page
    row = LabelSheet.objects.get()
    assert [getattr(row, name) for name in LENGTHS] == [
        Decimal(mm) for mm in ("66.675", "25.4", "4.763", "12.7", "3.175", "0", "1.588", "-0.794")
    ]
    boxes = dict(re.findall(r'<input [^>]*name="(\w+)"[^>]* value="([^"]*)"', text(client.get(of(row)))))
    assert {name: boxes[name] for name in LENGTHS} == {name: TYPED[name] or "0" for name in LENGTHS}


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("name", rules.COMMON)
def test_a_common_sheet_keeps_its_geometry_through_inches(client: Client, name: str) -> None:
    form = client.get(NEW, {"from": name}).context["form"]
    assert client.post(NEW, {field: form[field].value() for field in form.fields}).status_code == 302
    assert LabelSheet.objects.get().sheet == rules.COMMON[name]


def test_a_sheet_that_was_measured_in_millimetres_is_saved_as_it_stands(client: Client) -> None:
    row = metric(gap_x=Decimal("0.001"), offset_y=Decimal("-1.234"))
    form = client.get(of(row)).context["form"]
    assert client.post(of(row), {field: form[field].value() for field in form.fields}).status_code == 302
    assert LabelSheet.objects.get().seen == row.seen


def test_the_pages_speak_inches_alone(client: Client) -> None:
    enter(client)
    row = LabelSheet.objects.get()
    for address in (reverse("label_sheets"), NEW, of(row), of(row, "calibration/")):
        assert re.findall(r"\b(?:mm|millimet\w+)\b", text(client.get(address))) == []
    drawn = text(client.get(of(row)))
    assert "in inches. What is not there is 0" in drawn
    assert "At most 0.39 in" in drawn
    assert "edge 0.1875 in" in drawn
    assert "gap 0.125 in, width" not in drawn
    assert "Across: edge 0.1875 in, width 2.625 in, gap 0.125 in. Down: edge 0.5 in, height 1 in, gap 0 in." in drawn
    calibration = " ".join(text(client.get(of(row, "calibration/"))).split())
    assert "a tick is 0.02 in" in calibration
    assert "belongs 1.3125 in from the label’s left edge and 0.5 in from its upper edge" in calibration


def test_sheets_on_letter_come_first(client: Client) -> None:
    page = text(client.get(reverse("label_sheets")))
    assert page.index("2 × 5 on Letter") < page.index("3 × 7 on A4")
    printing = client.get("/print/care/").content.decode()
    assert printing.index("2 × 5 on Letter") < printing.index("3 × 7 on A4")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"width": "0.25"}, "A label is 0.4 to 16.53 in each way, and its width is 0.25 in"),
        ({"width": "2.75"}, "take 8.6875 in, and the paper has 8.5 in"),
        ({"offset_x": "0.4"}, "off by 0.39 in at most"),
        ({"left": "1.234567"}, "no more than 5 decimal places"),
        ({"left": "1 1/2"}, "is not a figure"),
    ],
)
def test_what_makes_no_sheet_is_refused_in_inches_and_stays_typed(
    client: Client, changed: dict[str, str], says: str
) -> None:
    answer = enter(client, **changed)
    assert says in text(answer)
    for field, typed in changed.items():
        assert answer.context["form"][field].value() == typed
    assert not LabelSheet.objects.exists()


def test_what_is_measured_in_inches_is_taken_off_what_is_kept(client: Client) -> None:
    enter(client, offset_x="", offset_y="")
    row = LabelSheet.objects.get()
    address = of(row, "calibration/")

    def measure(right: str, low: str) -> str:
        form = client.get(address).context["form"]
        said = {name: form[name].value() for name in ("request_key", "seen")}
        return text(client.post(address, {**said, "right": right, "low": low}, follow=True))

    assert "Kept: 0.06 in further left and 0.02 in further down" in measure("0.06", "-0.02")
    row.refresh_from_db()
    assert (row.offset_x, row.offset_y) == (Decimal("-1.524"), Decimal("0.508"))
    assert "off by 0.39 in at most" in measure("0.4", "")
    assert "With the \N{MINUS SIGN}0.06 in that are kept this makes \N{MINUS SIGN}0.4 in" in measure("0.34", "")


def test_a_british_workshop_measures_its_a4_sheets_in_millimetres(client: Client) -> None:
    accounting.set_up(units="imperial", paper="a4", locale="en-GB")
    row = metric()
    page = text(client.get(of(row)))
    assert "in millimetres" in page
    assert "width 99.1 mm" in page
