"""Pages of labour: the log, logging minutes, taking a line back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import LabourLine
from inventory.base.accounting import services as workshop
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))
    factories.skin("H01")
    factories.skin("H02")
    factories.batch("B1", tags=["H01", "H02"])


def sent(**more: Any) -> dict[str, Any]:
    return {"on": "2025-03-10", "task": "flesh", "minutes": "90", "batch": "B1", "request_key": "k1"} | more


def test_pages_open_for_the_owner(client: Client) -> None:
    line = factories.work(DAY, 90, tags=["H01"])
    for address in (reverse("labour"), reverse("labour_new"), reverse("labour_reverse", args=[line.pk])):
        assert client.get(address).status_code == 200
    assert client.get(reverse("labour_new"), {"batch": "B9"}).status_code == 404


def test_no_work_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("labour")))
    assert "No work logged yet" in page
    assert reverse("labour_new") in page


def test_work_is_logged_once_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        answer = client.post(reverse("labour_new"), sent(minutes="90,5"))
        assert answer["location"] == reverse("batch", args=["B1"])
    line = LabourLine.objects.get()
    assert (line.on, line.task, line.minutes) == (date(2025, 3, 10), "flesh", Decimal("90.5"))
    assert (line.who, line.paid, line.laced) == ("", Decimal(0), False)
    assert line.written_by == factories.owner()


def test_paid_help_and_lacing_are_kept(client: Client) -> None:
    client.post(reverse("labour_new"), sent(who="Aino", paid="15,00", laced="on", skins=["H01"]))
    line = LabourLine.objects.get()
    assert (line.who, line.paid, line.laced) == ("Aino", Decimal(15), True)
    assert [skin.tag for skin in line.skins.all()] == ["H01"]


def test_lacing_uses_a_frame_without_the_tick(client: Client) -> None:
    client.post(reverse("labour_new"), sent(kind="lace", task=""))
    line = LabourLine.objects.get()
    assert (line.laced, line.task) == (True, "lace on frame")


def test_work_may_be_on_skins_alone(client: Client) -> None:
    answer = client.post(reverse("labour_new"), sent(batch="", skins=["H02"]))
    assert answer["location"] == reverse("skin", args=["H02"])
    assert LabourLine.objects.get().batch is None


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"minutes": "0"}, "minutes", "more than nothing"),
        ({"minutes": "-5"}, "minutes", "more than nothing"),
        ({"minutes": "1500"}, "minutes", "more than a day"),
        ({"minutes": "long"}, "minutes", "is not a figure"),
        ({"kind": "tan"}, "kind", "Select a valid choice"),
        ({"task": "a\x07"}, "task", "control character"),
        ({"paid": "1.0050"}, "paid", "decimals"),
        ({"batch": ""}, "skins", "Name a batch or at least one skin"),
        ({"batch": "B9"}, "batch", "not one of the available"),
        ({"skins": ["H99"]}, "skins", "No skin has the tag H99"),
        ({"on": "2025-03-01", "skins": ["H01"]}, "on", "came in on"),
        ({"on": "2125-03-01"}, "on", "too far in the future"),
    ],
)
def test_a_wrong_line_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, Any], field: str, said: str
) -> None:
    answer = client.post(reverse("labour_new"), sent(**wrong))
    assert said in answer.context["form"].errors[field][0]
    assert not LabourLine.objects.exists()


def test_the_address_chooses_batch_and_skin_beforehand(client: Client) -> None:
    factories.skin("H03")
    page = client.get(reverse("labour_new"), {"batch": "B1", "skin": "H02"}).content.decode()
    assert '<option value="B1" selected' in page
    assert 'value="H03"' not in page
    assert page.count("checked") == 1


def test_tasks_and_helpers_of_before_are_offered(client: Client) -> None:
    factories.work(DAY, 5, task="stake", tags=["H01"], who="Aino")
    page = client.get(reverse("labour_new")).content.decode()
    assert '<option value="stake">' in page
    assert '<option value="Aino">' in page


def test_a_line_is_taken_back_once_though_sent_twice(client: Client) -> None:
    line = factories.work(DAY, 90, tags=["H01"])
    for _ in range(2):
        answer = client.post(reverse("labour_reverse", args=[line.pk]), {"on": str(DAY), "request_key": "k"})
        assert answer["location"] == reverse("labour")
    assert LabourLine.objects.get(reverses=line).minutes == Decimal(-90)
    page = text(client.get(reverse("labour")))
    assert "reversed" in page
    assert reverse("labour_reverse", args=[line.pk]) not in page


def test_a_line_cannot_be_taken_back_before_it_happened(client: Client) -> None:
    line = factories.work(DAY, 90, tags=["H01"])
    answer = client.post(reverse("labour_reverse", args=[line.pk]), {"on": "2025-03-01", "request_key": "k"})
    assert "before it happened" in answer.context["form"].errors["on"][0]
    assert LabourLine.objects.count() == 1


def test_the_log_is_found_by_task_batch_and_who(client: Client) -> None:
    factories.work(DAY, 5, task="stake", tags=["H01"], who="Aino")
    mine = factories.work(DAY, 5, task="flesh", tags=["H01"])
    assert "stake" not in rows(client, words="fle")
    assert "flesh" not in rows(client, who="Aino")
    assert "stake" not in rows(client, who="-")
    assert "flesh" not in rows(client, batch=factories.batch("B2").pk)
    assert mine.task in rows(client)


def rows(client: Client, **asked: Any) -> str:
    """The tasks shown, without the words offered in the filter bar."""
    return " ".join(row.record.task for row in client.get(reverse("labour"), asked).context["table"].rows)


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.work(DAY, 5, tags=["H01", "H02"])
    one = queries(client, reverse("labour"))
    for number in range(29):
        factories.work(DAY, 5, task=f"task {number}", tags=["H01", "H02"])
    assert queries(client, reverse("labour")) == one


def test_450_minutes_in_one_go_are_asked_about_unless_they_are_usual(client: Client) -> None:
    page = text(client.post(reverse("labour_new"), sent(minutes="450")))
    assert "450 min (7 h 30 min) is entered in one go; more than 6 h at one thing is rare." in page
    assert LabourLine.objects.count() == 0
    assert client.post(reverse("labour_new"), sent(minutes="360")).status_code == 302
    for _ in range(3):
        factories.work(DAY, 460, tags=["H01"])
    assert client.post(reverse("labour_new"), sent(minutes="450", request_key="k2")).status_code == 302
