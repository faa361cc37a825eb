"""A material set aside leaves what is said until its day, unless it is short; it can be taken up again."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client

from costing.make.recipes import services as recipes
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.foresight import selectors as foresight
from inventory.foresight.rules import State
from inventory.foresight.snoozes import selectors as snoozes_read, services as snoozes
from inventory.models import Material, Snooze
from tests import factories as make
from tests.factories import DAY
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
UNTIL = DAY + timedelta(days=10)


@pytest.fixture
def low(db: None) -> Material:
    """Used every week, and all but gone."""
    workshop.pin_today(on=DAY)
    of = make.material("ALUMK", on_hand=10, value=50, on=DAY - timedelta(days=90))
    for week in range(10):
        make.take(of, "0.99", on=DAY - timedelta(days=7 * week))
    return of


@pytest.fixture
def client(low: Material) -> Client:
    return signed_in()


def test_it_is_aside_until_the_day_and_not_on_it(low: Material) -> None:
    snoozes.snooze(material=low, until=UNTIL, reason="no bath before spring")
    assert [each.material for each in foresight.alerts(DAY)] == [low]
    assert snoozes_read.alerts(DAY).pressing == ()
    assert [(each.material, held.reason) for each, held in snoozes_read.alerts(DAY).aside] == [
        (low, "no bath before spring")
    ]
    assert snoozes_read.standing(UNTIL - timedelta(days=1)).keys() == {low.pk}
    assert snoozes_read.standing(UNTIL) == {}
    assert snoozes_read.standing(DAY - timedelta(days=1)) == {}


def test_what_is_short_for_a_batch_is_said_whatever_was_set_aside(low: Material) -> None:
    snoozes.snooze(material=low, until=UNTIL, reason="no bath before spring")
    Material.objects.filter(pk=low.pk).update(lead_days=9)
    version = make.recipe("R1", recipes.Line(low, Decimal(3), "kg", "per_bath"))
    make.skin("H01", date_in=DAY)
    make.batch("B1", version=version, start=DAY + timedelta(days=2), tags=["H01"])
    (pressing,) = snoozes_read.alerts(DAY).pressing
    assert pressing.forecast.state == State.SHORT


def test_a_second_one_takes_the_place_of_the_first(low: Material) -> None:
    first = snoozes.snooze(material=low, until=UNTIL, reason="one")
    second = snoozes.snooze(material=low, until=UNTIL + timedelta(days=5), reason="two")
    first.refresh_from_db()
    assert first.reversed_at is not None
    assert snoozes_read.standing(DAY) == {low.pk: second}


def test_it_is_shown_again_at_once_when_it_is_ended(low: Material) -> None:
    held = snoozes.snooze(material=low, until=UNTIL, reason="one")
    snoozes.wake(snooze=held)
    assert len(snoozes_read.alerts(DAY).pressing) == 1
    with pytest.raises(Refused, match="ended already"):
        snoozes.wake(snooze=held)


@pytest.mark.parametrize(
    ("until", "reason", "field"),
    [
        (DAY, "x", "until"),
        (DAY - timedelta(days=1), "x", "until"),
        (DAY + timedelta(days=40000), "x", "until"),
        (UNTIL, " ", "reason"),
        (UNTIL, "x" * 201, "reason"),
        (UNTIL, "a\x07b", "reason"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(low: Material, until: date, reason: str, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        snoozes.snooze(material=low, until=until, reason=reason)
    assert refusal.value.field == field
    assert not Snooze.objects.exists()


def test_only_who_records_goods_may(low: Material) -> None:
    guest = make.User.objects.create_user("guest")
    with pytest.raises(NotAllowed):
        snoozes.snooze(material=low, until=UNTIL, reason="x", by=guest)


def test_the_page_sets_aside_and_today_is_quiet(low: Material, client: Client) -> None:
    assert "/shelf/ALUMK/not-now/" in text(client.get("/"))
    assert "/shelf/ALUMK/not-now/" in text(client.get("/shelf/ALUMK/"))
    form = client.get("/shelf/ALUMK/not-now/").context["form"]
    sent = {"until": UNTIL.isoformat(), "reason": "Cheaper soon", "request_key": form["request_key"].value()}
    page = text(client.post("/shelf/ALUMK/not-now/?next=/", sent, follow=True))
    assert "Material ALUMK is set aside until 14 Mar 2025." in page
    assert "1 set aside" in page
    assert "To order" not in page
    assert "Set aside until 14 Mar 2025: Cheaper soon" in text(client.get("/shelf/ALUMK/"))
    client.post("/shelf/ALUMK/not-now/", sent)  # the same sending again
    assert Snooze.objects.count() == 1


def test_the_page_asks_for_a_day_and_a_reason(client: Client) -> None:
    page = text(client.post("/shelf/ALUMK/not-now/", {"request_key": "k", "until": "", "reason": ""}))
    assert page.count('class="error"') >= 2
    assert not Snooze.objects.exists()


def test_show_again_ends_it(low: Material, client: Client) -> None:
    held = snoozes.snooze(material=low, until=UNTIL, reason="one")
    assert "until 14 Mar 2025: one" in text(client.get(f"/snoozes/{held.pk}/end/"))
    page = text(client.post(f"/snoozes/{held.pk}/end/", {"request_key": "k"}, follow=True))
    assert "is shown again." in page
    assert snoozes_read.standing(DAY) == {}
