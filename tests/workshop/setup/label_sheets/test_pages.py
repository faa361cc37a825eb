"""Label sheets in Setup: the list, one as it is measured and drawn, calibration, and what two pages at once do."""

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
from tests.factories import person
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
NEW = "/setup/label-sheets/new/"
SAID = {"name": "Bench", "paper": "a4", "columns": "2", "rows": "7", "width": "99.1", "height": "38.1", "left": "4.65"}
SAID |= {"top": "15.15", "gap_x": "2.5", "gap_y": "", "offset_x": "", "offset_y": ""}


@pytest.fixture
def client() -> Client:
    return signed_in()


def enter(client: Client, address: str = NEW, **changed: str) -> HttpResponse:
    return client.post(address, {"request_key": "k", **SAID, **changed})


def made(name: str = "Bench", **changed: Any) -> LabelSheet:
    measured = {name: Decimal(SAID[name]) for name in ("width", "height", "left", "top", "gap_x")}
    return services.create(**{"name": name, "paper": "a4", "columns": 2, "rows": 7, **measured, **changed})


def page_of(row: LabelSheet, rest: str = "") -> str:
    return f"{reverse('label_sheet', args=[row.pk])}{rest}"


def test_a_sheet_is_added_and_listed_with_what_it_is(client: Client) -> None:
    assert reverse("label_sheets") in text(client.get(reverse("setup")))
    answer = client.post(NEW, {"request_key": "k", **SAID, "offset_x": "0.5", "offset_y": "-1.25"}, follow=True)
    page = text(answer)
    assert "Bench is kept" in page
    assert "99.1 × 38.1 mm" in page
    assert "2 × 7 on A4" in page
    assert "0.5 mm further right and 1.25 mm further up" in page
    row = LabelSheet.objects.get()
    assert (row.left, row.gap_y, row.offset_y) == (Decimal("4.65"), 0, Decimal("-1.25"))
    assert client.post(NEW, {"request_key": "k", **SAID, "offset_x": "0.5", "offset_y": "-1.25"}).status_code == 302
    assert LabelSheet.objects.count() == 1


@pytest.mark.parametrize("name", rules.COMMON)
def test_a_common_sheet_is_made_ones_own_with_its_geometry(client: Client, name: str) -> None:
    form = client.get(NEW, {"from": name}).context["form"]
    said = {field: form[field].value() for field in form.fields}
    assert client.post(NEW, said).status_code == 302
    row = LabelSheet.objects.get()
    assert row.sheet == rules.COMMON[name]
    assert row.name == f"{name}, my printer"


def test_a_new_sheet_begins_with_the_workshops_own_paper(client: Client) -> None:
    accounting.set_up(paper="letter")
    for asked in ("", "nonsense"):
        form = client.get(NEW, {"from": asked}).context["form"]
        assert form["paper"].value() == "letter"
        assert not form["width"].value()


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"width": "wide"}, "“wide” is not a figure"),
        ({"width": "-5"}, "its width is \N{MINUS SIGN}5 mm"),
        ({"height": "9.9"}, "A label is 10 to 420 mm each way"),
        ({"width": "106", "gap_x": "0"}, "take 216.65 mm, and the paper has 210 mm"),
        ({"width": "500"}, "A label is 10 to 420 mm each way"),
        ({"left": "-1"}, "Margins and gaps are nothing or more"),
        ({"gap_y": "-0.5"}, "Margins and gaps are nothing or more"),
        ({"left": "999999999999"}, "the paper has 210 mm"),
        ({"left": "1.23456"}, "no more than 3 decimal places"),
        ({"left": "NaN"}, "is not a figure"),
        ({"columns": "two"}, "whole number"),
        ({"columns": "0"}, "greater than or equal to 1"),
        ({"rows": "51"}, "less than or equal to 50"),
        ({"paper": "a3"}, "not one of the available choices"),
        ({"paper": "roll"}, "A roll has one label a page"),
        ({"offset_x": "10.5"}, "off by 10 mm at most"),
        ({"name": ""}, "required"),
        ({"name": "a4"}, "itself a way to say a sheet"),
        ({"name": "3x7"}, "itself a way to say a sheet"),
        ({"name": "3 × 7 on A4"}, "used already"),
        ({"name": "STALL"}, "used already"),
        ({"name": "x" * 300}, "at most 40 characters"),
        ({"name": "a\x07b"}, "control character"),
    ],
)
def test_what_makes_no_sheet_is_refused_and_stays_typed(client: Client, changed: dict[str, str], says: str) -> None:
    made("Stall")
    answer = enter(client, **changed)
    assert says in text(answer)
    for field, typed in changed.items():
        assert answer.context["form"][field].value() == typed
    assert LabelSheet.objects.count() == 1


def test_figures_are_read_as_the_workshop_writes_them(client: Client) -> None:
    accounting.set_up(locale="de-DE")
    typed = {"width": "99,1", "height": "38,1", "left": "4,65", "top": "15,15", "gap_x": "2,5"}
    assert enter(client, **typed).status_code == 302
    row = LabelSheet.objects.get()
    assert (row.width, row.left) == (Decimal("99.1"), Decimal("4.65"))
    page = text(client.get(page_of(row)))
    assert 'value="4,65"' in page
    assert "edge 4,65 mm" in page
    assert "99,1 × 38,1 mm" in text(client.get(reverse("label_sheets")))
    too_wide = {**typed, "name": "Other", "width": "106", "gap_x": "0", "request_key": "k2"}
    assert "take 216,65 mm" in text(enter(client, **too_wide))
    accounting.set_up(locale="en-US")
    assert "is not a figure as en-US writes them" in text(enter(client, name="Other", left="1,5"))


def test_a_picture_or_markup_in_a_name_is_text_and_no_label_prints_it(client: Client) -> None:
    enter(client, name="<b>Bench</b> 🐑")
    row = LabelSheet.objects.get()
    page = text(client.get(reverse("label_sheets")))
    assert "&lt;b&gt;Bench&lt;/b&gt; 🐑" in page
    assert client.get(page_of(row, "calibration.pdf")).status_code == 200


def test_the_sheet_is_drawn_from_what_is_kept_and_from_what_is_typed(client: Client) -> None:
    row = made()
    kept = text(client.get(page_of(row)))
    assert "edge 4.65 mm" in kept
    assert kept.count("<rect") == 1 + 14
    typed = text(enter(client, page_of(row), seen=row.seen, rows="6", left="5", draw="1"))
    assert "edge 5 mm" in typed
    assert typed.count("<rect") == 1 + 12
    row.refresh_from_db()
    assert row.rows == 7


def test_what_makes_no_sheet_is_not_drawn_and_says_why(client: Client) -> None:
    for changed in ({"rows": "8"}, {"rows": "eight"}, {"width": ""}):
        answer = enter(client, draw="1", **changed)
        page = text(answer)
        assert "<rect" not in page.partition('id="drawing"')[2]
        assert "correct what stands beside them" in page
        assert answer.context["form"].errors.keys() == changed.keys()
    assert "Draw it" in text(client.get(NEW))
    assert not LabelSheet.objects.exists()


def test_a_sheet_is_changed(client: Client) -> None:
    row = made()
    form = client.get(page_of(row)).context["form"]
    said = {field: form[field].value() for field in form.fields}
    assert "Fair is changed" in text(client.post(page_of(row), {**said, "name": "Fair"}, follow=True))
    row.refresh_from_db()
    assert row.name == "Fair"
    assert row.sheet == made("Same").sheet


def test_of_two_pages_the_second_does_not_undo_the_first_unasked(client: Client) -> None:
    row = made()
    opened = row.seen
    assert enter(client, page_of(row), seen=opened, rows="6").status_code == 302
    answer = enter(client, page_of(row), seen=opened, left="3")
    page = text(answer)
    assert "was changed since you opened it" in page
    assert "rows 6" in page
    assert 'value="3"' in page
    row.refresh_from_db()
    assert (row.rows, row.left) == (6, Decimal("4.65"))
    again = answer.context["form"]["seen"].value()
    assert enter(client, page_of(row), seen=again, left="3").status_code == 302
    row.refresh_from_db()
    assert (row.rows, row.left) == (7, 3)


def test_a_change_that_does_not_say_what_it_saw_is_refused(client: Client) -> None:
    row = made()
    assert enter(client, page_of(row), rows="6").status_code == 200
    row.refresh_from_db()
    assert row.rows == 7


def test_a_sheet_is_deleted_after_a_question_and_a_second_time_is_told_so(client: Client) -> None:
    row = made()
    gone = reverse("label_sheet_drop", args=[row.pk])
    assert "Delete Bench?" in text(client.get(gone))
    assert LabelSheet.objects.exists()
    assert "The sheet is deleted" in text(client.post(gone, {"request_key": "k"}, follow=True))
    assert not LabelSheet.objects.exists()
    for address in (gone, page_of(row), page_of(row, "calibration/")):
        assert "That sheet is gone" in text(client.post(address, {"request_key": "k2", **SAID}, follow=True))
        assert client.get(address).status_code == 404
    assert client.get(page_of(row, "calibration.pdf")).status_code == 404


def measure(client: Client, row: LabelSheet, right: str, low: str, **more: str) -> str:
    form = client.get(page_of(row, "calibration/")).context["form"]
    said = {"request_key": form["request_key"].value(), "seen": form["seen"].value(), "right": right, "low": low}
    return text(client.post(page_of(row, "calibration/"), {**said, **more}, follow=True))


def test_what_is_measured_is_kept_the_other_way_round_and_adds_up(client: Client) -> None:
    row = made()
    page = text(client.get(page_of(row, "calibration/")))
    assert "no offset" in page
    assert "a tick is 1 mm" in page
    assert "Kept: 1.5 mm further left and 0.5 mm further down" in measure(client, row, "1.5", "-0.5")
    assert "Kept: 1.25 mm further left and 0.5 mm further down" in measure(client, row, "-0.25", "")
    row.refresh_from_db()
    assert (row.offset_x, row.offset_y) == (Decimal("-1.25"), Decimal("0.5"))
    assert "1.25 mm further left and 0.5 mm further down" in text(client.get(reverse("label_sheets")))


@pytest.mark.parametrize(
    ("right", "low", "says"),
    [
        ("11", "0", "off by 10 mm at most"),
        ("0", "-10.5", "off by 10 mm at most"),
        ("3", "0", "With the \N{MINUS SIGN}8 mm that are kept this makes \N{MINUS SIGN}11 mm"),
        ("much", "0", "“much” is not a figure"),
    ],
)
def test_a_miss_that_cannot_be_is_refused(client: Client, right: str, low: str, says: str) -> None:
    row = made(offset_x=Decimal(-8))
    assert says in measure(client, row, right, low)
    row.refresh_from_db()
    assert (row.offset_x, row.offset_y) == (-8, 0)


def test_a_measurement_is_of_the_page_as_it_was_printed_and_counts_once(client: Client) -> None:
    row = made()
    sent = {"request_key": "k", "seen": row.seen, "right": "1", "low": ""}
    for _ in range(2):
        assert client.post(page_of(row, "calibration/"), sent).status_code == 302
    row.refresh_from_db()
    assert row.offset_x == -1
    answer = client.post(page_of(row, "calibration/"), {**sent, "request_key": "k2"})
    assert "Print the calibration page again" in text(answer)
    row.refresh_from_db()
    assert row.offset_x == -1
    form = answer.context["form"]
    assert [form[name].value() for name in ("right", "low", "seen")] == ["", "", row.seen]


def test_the_calibration_page_is_printed_with_the_offset_of_now_and_never_kept_by_a_browser(client: Client) -> None:
    answer = client.get(page_of(made(), "calibration.pdf"))
    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    assert b"/PrintScaling /None" in answer.content


def test_a_roll_is_measured_with_a_ruler_alone(client: Client) -> None:
    row = made("Roll", paper="roll", columns=1, rows=1, width=Decimal(57), height=Decimal(32), left=0, top=0, gap_x=0)
    page = text(client.get(page_of(row, "calibration/")))
    assert "28.5 mm from the label’s left edge and 16 mm from its upper edge" in page
    assert "plain paper" not in page
    assert "a roll" in text(client.get(reverse("label_sheets")))


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_sees_and_changes_sheets(role: str) -> None:
    row, hand = made(), signed_in(person(role))
    pages = [page_of(row, rest) for rest in ("", "delete/", "calibration/")]
    for address in (reverse("label_sheets"), NEW, page_of(row, "calibration.pdf"), *pages):
        assert hand.get(address).status_code == 403
    for address in (NEW, *pages):
        assert enter(hand, address, name="Other", right="1", seen=row.seen).status_code == 403
    assert [each.sheet for each in LabelSheet.objects.all()] == [row.sheet]


@pytest.mark.thorough
def test_pages_ask_as_much_of_the_database_whatever_is_kept(client: Client) -> None:
    row = made()
    addresses = [reverse("label_sheets"), NEW, page_of(row), page_of(row, "calibration/")]
    before = [queries(client, address) for address in addresses]
    for number in range(30):
        made(f"Sheet {number}")
    assert [queries(client, address) for address in addresses] == before


def test_each_page_has_one_heading_and_names_no_id_twice(client: Client) -> None:
    row = made()
    for address in (reverse("label_sheets"), NEW, *(page_of(row, rest) for rest in ("", "delete/", "calibration/"))):
        page = client.get(address).content.decode()
        assert page.count("<h1") == 1
        ids = re.findall(r'\sid="([^"]+)"', page)
        assert len(ids) == len(set(ids))
