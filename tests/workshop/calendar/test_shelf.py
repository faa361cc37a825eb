"""The shelf's days in the calendar: what to order by its day, deliveries that are due, neither a price nor a supplier."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from icalendar import Calendar, Event

from inventory.base.accounting import services as workshop
from inventory.foresight.snoozes import services as snoozes
from inventory.models import Material
from inventory.orders import services as orders
from tests import factories as make
from workshop.calendar import feed

pytestmark = pytest.mark.django_db
TODAY = date(2025, 3, 31)
NOW = datetime(2025, 3, 31, 7, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _today(db: None) -> None:
    workshop.set_up(name="Routamo Skins")
    workshop.pin_today(on=TODAY)


def alum(left: str = "0.1") -> Material:
    of = make.material("ALUMK", name="Potash alum", pack_quantity=Decimal(2), supplier=make.supplier())
    make.delivery(make.line(of, 5, 2, "11.60"), on=date(2025, 1, 1))
    for week in range(9):
        make.take(of, 1, on=TODAY - timedelta(days=7 * week))
    make.take(of, str(1 - Decimal(left)), on=TODAY - timedelta(days=63))
    return of


def events(on: date = TODAY) -> list[Event]:
    walked = Calendar.from_ical(feed.write(on, NOW)).walk("VEVENT")
    return [each for each in walked if isinstance(each, Event)]


def test_what_presses_stands_on_its_day_with_how_much() -> None:
    alum()
    (event,) = events()
    assert str(event["SUMMARY"]).startswith("Order ")
    assert "of potash alum" in str(event["SUMMARY"])
    assert event["DTSTART"].dt >= TODAY
    assert event["CATEGORIES"].to_ical() == b"Shelf"


def test_neither_a_price_nor_a_supplier_is_told() -> None:
    alum()
    content = feed.write(TODAY, NOW).decode().replace("\r\n ", "")
    assert "Utuharju" not in content
    assert "11.60" not in content
    assert "€" not in content


def test_the_same_order_day_keeps_its_name_and_another_day_gets_another() -> None:
    of = alum()
    (event,) = events()
    (again,) = events()
    assert event["UID"] == again["UID"]
    Material.objects.filter(pk=of.pk).update(lead_days=30)
    (later,) = events()
    if later["DTSTART"].dt != event["DTSTART"].dt or "late since" in str(later["SUMMARY"]):
        assert later["UID"] != event["UID"]


def test_what_is_overdue_stands_on_today_and_says_since_when() -> None:
    of = alum("0.9")
    Material.objects.filter(pk=of.pk).update(lead_days=30)
    (event,) = events()
    assert event["DTSTART"].dt == TODAY
    assert ", late since " in str(event["SUMMARY"])


def test_what_is_set_aside_is_not_in_it() -> None:
    snoozes.snooze(material=alum(), until=TODAY + timedelta(days=9), reason="later")
    assert events() == []


@pytest.mark.parametrize(
    ("due", "on", "late"),
    [(date(2025, 4, 9), date(2025, 4, 9), ""), (date(2025, 3, 28), TODAY, ", late since 28 Mar 2025")],
)
def test_a_delivery_that_is_due_stands_on_its_day(due: date, on: date, late: str) -> None:
    of = make.material("SALT", name="Salt", on_hand=50, value=10, on=date(2025, 1, 1))
    line = orders.Line(of, Decimal(1), Decimal(25), "kg", Decimal("9.90"))
    orders.place(supplier=make.supplier(), on=date(2025, 3, 20), due_on=due, lines=[line])
    (event,) = events()
    assert (event["DTSTART"].dt, str(event["SUMMARY"])) == (on, f"25 kg of salt due{late}")


def test_what_lies_beyond_the_calendar_is_not_in_it() -> None:
    of = make.material("SALT", on_hand=50, value=10, on=date(2025, 1, 1))
    line = orders.Line(of, Decimal(1), Decimal(25), "kg", None)
    orders.place(supplier=make.supplier(), on=TODAY, due_on=TODAY + timedelta(days=feed.AHEAD_DAYS + 1), lines=[line])
    assert events() == []
