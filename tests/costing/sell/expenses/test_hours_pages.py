"""Pages of hours that no skin bears: entered, refused beside the box, taken back."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import SideHours
from inventory.base.accounting import services as workshop
from tests.costing.sell.payments.test_pages import TODAY
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=TODAY)


def test_hours_are_entered_once_though_sent_twice_and_taken_back(client: Client) -> None:
    form = {"kind": "papers", "minutes": "1320", "on": "2025-03-31", "request_key": "k1"}
    for _ in range(2):
        assert client.post(reverse("hours_new"), form)["location"] == reverse("hours")
    assert "22.00 h" in text(client.get(reverse("hours")))
    row = SideHours.objects.get()
    client.post(reverse("hours_reverse", args=[row.pk]), {"on": "2025-03-31", "request_key": "b1"})
    assert client.get(reverse("hours")).context["table"].total == 0


@pytest.mark.parametrize(
    ("minutes", "said"), [("0", "more than nothing"), ("999999", "than a year has"), ("x", "figure")]
)
def test_wrong_hours_are_refused_beside_their_box(client: Client, minutes: str, said: str) -> None:
    form = {"kind": "papers", "minutes": minutes, "on": "2025-03-31", "request_key": "k1"}
    assert said in client.post(reverse("hours_new"), form).context["form"].errors["minutes"][0]
    assert not SideHours.objects.exists()
