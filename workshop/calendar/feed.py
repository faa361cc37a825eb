"""The shed's calendar as iCalendar text (RFC 5545; RFC 7986 for its name and how often to look again).

Owns what an event of the shed says. Which days there are comes from `costing.make.steps.plans.selectors`, those of the shelf
from `workshop.calendar.shelf`. Neither a customer nor a skin is
named: whoever holds the link reads it, and so do the makers of the calendar they read it in.
"""

import uuid
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event

from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.selectors import Ahead
from inventory.base import selectors as workshop
from workshop.calendar import shelf
from workshop.calendar.shelf import ShelfDay
from workshop.documents.kit import wording

AHEAD_DAYS = 60
LOOK_AGAIN = timedelta(hours=6)
PRODID = "-//Tawery//What the shed asks for//EN"
CONTENT_TYPE = "text/calendar; charset=utf-8"

# Names of events are made from this and what they are about, so that the same event has the same name in every feed.
_NAMES = uuid.uuid5(uuid.NAMESPACE_URL, "urn:tawery:calendar")


def write(on: date, now: datetime) -> bytes:
    """All-day events of what batches and the shelf ask for from a day on, 60 days ahead. `now` is the moment of writing."""
    shop = workshop.current().name
    made = Calendar()
    made.add("PRODID", PRODID)
    made.add("VERSION", "2.0")
    made.add("CALSCALE", "GREGORIAN")
    made.add("METHOD", "PUBLISH")
    made.add("UID", str(uuid.uuid5(_NAMES, shop)))
    made.add("NAME", f"{shop}: the shed")
    # Not of a standard, but what most programs show as the calendar's name.
    made.add("X-WR-CALNAME", f"{shop}: the shed")
    made.add("REFRESH-INTERVAL", LOOK_AGAIN, parameters={"VALUE": "DURATION"})
    for row in plans.coming(on, AHEAD_DAYS):
        told = "\n".join(_told(row))
        made.add_component(_event(uid(row, shop), row, _summary(row), told, row.place, now))
    for day in shelf.coming(on, AHEAD_DAYS):
        name = str(uuid.uuid5(_NAMES, "/".join((shop, *day.about))))
        made.add_component(_event(name, day, f"{day.summary}{_late(day)}", day.told, shelf.PLACE, now))
    content: bytes = made.to_ical()
    return content


def uid(row: Ahead, shop: str) -> str:
    """One name for a batch's step, its kind or addition, and the day it was due: what is late keeps it from day to day."""
    what = [row.step.name if row.step else "", row.kind]
    if row.addition:
        what.append(str(row.addition.line.position))
    about = "/".join((shop, row.batch.number, *what, row.since.isoformat()))
    return str(uuid.uuid5(_NAMES, about))


def _event(name: str, row: Ahead | ShelfDay, summary: str, told: str, place: str, now: datetime) -> Event:
    made = Event()
    made.add("UID", name)
    made.add("DTSTAMP", now)
    made.add("DTSTART", row.on)
    # The day after, because the end of an all-day event is not part of it.
    made.add("DTEND", row.on + timedelta(days=1))
    made.add("SUMMARY", summary)
    made.add("DESCRIPTION", told)
    made.add("CATEGORIES", [place])
    # A day with a turn in it is not a day without time.
    made.add("TRANSP", "TRANSPARENT")
    # Moved to today, an event has changed: programs that know it by name must not keep the older day.
    made.add("SEQUENCE", row.late_days)
    return made


def _summary(row: Ahead) -> str:
    return f"{row.words}{' to' if row.addition else ''} {row.batch.number} · {row.place}{_late(row)}"


def _late(row: Ahead | ShelfDay) -> str:
    return f", late since {wording.day(row.since)}" if row.late_days else ""


def _told(row: Ahead) -> list[str]:
    minutes = [f"About {row.minutes} minutes."] if row.minutes else []
    return [*minutes, *row.cautions]
