"""The page that names the frames of a lacing: the form asks after the work is logged, and the batch leads there."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.frames.making import services as making
from costing.models import Batch, LabourLine, Lacing
from inventory.base.accounting import services as workshop
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _laced() -> None:
    workshop.pin_today(on=DAY)
    for tag in ("H01", "H02"):
        factories.skin(tag)
    factories.batch("B1", tags=["H01", "H02"])
    for number in ("F1", "F2"):
        making.build(number=number, on=DAY, lacings=12, cost=Decimal("18.24"))


def line() -> LabourLine:
    return factories.work(task="lace", tags=["H01", "H02"])


def test_logging_a_lacing_leads_to_its_frames(client: Client) -> None:
    said = {"on": "2025-03-04", "kind": "lace", "minutes": "90", "batch": "B1", "request_key": "k1"}
    answer = client.post(reverse("labour_new"), said)
    assert answer["location"] == reverse("line_frames", args=[LabourLine.objects.get().pk])
    assert "Name the frames" in text(client.get(reverse("batch", args=["B1"])))


def test_frames_are_named_and_shown(client: Client) -> None:
    made = line()
    address = reverse("line_frames", args=[made.pk])
    client.post(address, {"H01": "F1", "H02": "F2", "request_key": "k"})
    assert sorted(Lacing.objects.values_list("skin__tag", "frame__number")) == [("H01", "F1"), ("H02", "F2")]
    page = text(client.get(address))
    assert "F1 (holds H01)" in page
    client.post(address, {"H01": "", "H02": "F2", "request_key": "k2"})
    assert Lacing.objects.count() == 1


@pytest.mark.thorough
def test_a_refusal_stands_beside_its_skin(client: Client) -> None:
    address = reverse("line_frames", args=[line().pk])
    client.post(address, {"H01": "F1", "H02": "", "request_key": "k"})
    again = factories.work(task="lace", tags=["H02"])
    answer = client.post(reverse("line_frames", args=[again.pk]), {"H02": "F1", "request_key": "k3"})
    assert "F1 holds H01" in str(answer.context["form"].errors["H02"])


def test_work_that_laced_nothing_has_no_such_page(client: Client) -> None:
    made = factories.work(tags=["H01"])
    assert client.get(reverse("line_frames", args=[made.pk])).status_code == 404


@pytest.mark.thorough
def test_the_batch_costs_the_same_however_many_lacings_it_has(client: Client) -> None:
    address = reverse("batch", args=["B1"])
    client.post(reverse("line_frames", args=[_of_batch().pk]), {"H01": "F1", "H02": "F2", "request_key": "k"})
    one = queries(client, address)
    for _ in range(3):
        _of_batch()
    assert queries(client, address) == one


def _of_batch() -> LabourLine:
    return factories.work(task="lace", batch=Batch.objects.get(number="B1"))
