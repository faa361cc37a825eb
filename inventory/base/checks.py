"""Checks that every entry passes: dates, plain text, amounts. They refuse with what to do; they write nothing."""

import re
import unicodedata
from collections.abc import Collection
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cache
from zoneinfo import available_timezones

from django.db.models import Model
from django.utils import timezone

from inventory import formats, money
from inventory.base import selectors as workshop
from inventory.errors import ClosedPeriod, Refused, Taken
from inventory.money import half_up
from inventory.units import HELD_PLACES

FAR_DAYS = 366
PLAN_DAYS = 5 * 366
OLDEST = date(1970, 1, 1)
CLOCK_APART = timedelta(minutes=5)
LONGEST_KEPT = timedelta(days=31)
CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/-]*")
UNPRINTED = frozenset({"Cc", "Cs", "Zl", "Zp"})

# Signs that turn the reading direction of what stands beside them: an amount on a paper would read backwards.
TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def day(on: date, *, field: str = "on", plan: bool = False, posts: bool = True) -> date:
    """A believable day, after the closed period when it `posts`. A plan may lie further ahead than an event."""
    far = max(workshop.today(), timezone.localdate()) + timedelta(days=PLAN_DAYS if plan else FAR_DAYS)
    if on > far:
        raise Refused(f"{on} is too far in the future (latest {far}). Check the year.", field=field)
    if on < OLDEST:
        raise Refused(f"{on} is before {OLDEST}. Check the year.", field=field)
    closed_to = workshop.current().closed_to
    if posts and closed_to and on <= closed_to:
        raise ClosedPeriod(
            f"The books are closed to {closed_to}, so nothing can be written on {on}. Use a later date, or reopen them under "
            "Books, Close the books to a day.",
            field=field,
        )
    return on


def moment(at: datetime | None, *, field: str = "at") -> datetime:
    """When something happened: now, or what a device that had no signal says. No clock may be far from ours."""
    now = timezone.now()
    if at is None:
        return now
    if at > now + CLOCK_APART:
        raise Refused(
            f"{formats.day(at)} {at:%H:%M} has not come yet. Set the clock of your device right.", field=field
        )
    if at < now - LONGEST_KEPT:
        raise Refused(
            f"{formats.day(at)} {at:%H:%M} is more than {LONGEST_KEPT.days} days ago. Enter it by its day instead.",
            field=field,
        )
    return min(at, now)


def tapped(on: date | None, at: datetime | None) -> date:
    """The day that is given, else that of the tap, as a device knew it."""
    return workshop.day_of(moment(at)) if on is None else on


@cache
def zones() -> frozenset[str]:
    """The IANA names of time zones, without those that only shift the clock."""
    return frozenset(
        name for name in available_timezones() if name == "UTC" or ("/" in name and not name.startswith("Etc/"))
    )


def zone(name: str, *, field: str) -> str:
    """A time zone by its IANA name, or nothing: the server's own."""
    name = name.strip()
    if name and name not in zones():
        raise Refused(
            f"{name[:40]!r} is no time zone. Name its place, like Europe/Helsinki or America/Chicago.", field=field
        )
    return name


def code(value: str, what: str, *, field: str, longest: int = 20) -> str:
    """A tag, code or number: letters a to z, figures and . _ / - so that it prints as a barcode and fits a file name."""
    value = value.strip()
    if not value or len(value) > longest or not CODE.fullmatch(value):
        raise Refused(
            f"{what} {value!r} cannot be used: 1 to {longest} letters a to z, figures, or . _ / - and no spaces.",
            field=field,
        )
    return value


def new_code(value: str, what: str, kind: type[Model], *, field: str) -> str:
    """A code that no record of the kind has yet, whatever its capitals."""
    value = code(value, what, field=field)
    if kind._default_manager.filter(**{f"{field}__iexact": value}).exists():
        raise Taken(what, value, field=field)
    return value


def choice(value: str, known: Collection[str], what: str, *, field: str) -> str:
    """One of the words that the books know."""
    if value not in known:
        raise Refused(f"{value!r} is not a known {what}; choose one of {', '.join(known)}.", field=field)
    return value


def text(value: str, what: str, *, field: str, longest: int, needed: bool = False) -> str:
    """Plain words: trimmed, no control signs but line ends. They may begin like a formula, as a telephone number does: a file for
    a spreadsheet marks them (`inventory.base.spreadsheets`)."""
    # A browser ends the lines of a text box with CR LF; a file may begin with a mark of its byte order.
    value = unicodedata.normalize("NFC", value).replace("\ufeff", "").strip().replace("\r\n", "\n")
    if needed and not value:
        raise Refused(f"{what} is missing.", field=field)
    if len(value) > longest:
        raise Refused(f"{what} is longer than {longest} characters.", field=field)
    if any(sign != "\n" and (unicodedata.category(sign) in UNPRINTED or sign in TURNING) for sign in value):
        raise Refused(f"{what} contains a control character; retype it.", field=field)
    return value


def positive(value: Decimal, what: str, *, field: str) -> Decimal:
    if not value.is_finite() or value <= 0:
        raise Refused(f"{what} must be more than nothing; {value} was given.", field=field)
    return sized(value, what, field=field)


def not_negative(value: Decimal, what: str, *, field: str) -> Decimal:
    if not value.is_finite() or value < 0:
        raise Refused(f"{what} cannot be negative; {value} was given.", field=field)
    return sized(value, what, field=field)


def held(value: Decimal, *, field: str) -> Decimal:
    """No finer than the three places that are kept of every quantity."""
    if value != half_up(value, HELD_PLACES):
        raise Refused(f"{value} has more than {HELD_PLACES} decimals. Round it to {HELD_PLACES}.", field=field)
    return value


def measured(value: Decimal | None, what: str, *, field: str) -> Decimal | None:
    """A quantity as it is kept, or None where it was not measured."""
    return None if value is None else held(positive(value, what, field=field), field=field)


def sized(value: Decimal, what: str, *, field: str) -> Decimal:
    """Within what a workshop of people can hold, and what the database's integers carry."""
    if abs(value) > Decimal("1e12"):
        raise Refused(f"{what} {value} is larger than any workshop holds. Check the unit.", field=field)
    return value


def coins(value: Decimal, what: str, *, field: str) -> Decimal:
    """Money that can be paid: not negative, and no finer than the smallest coin of the workshop's currency."""
    not_negative(value, what, field=field)
    places = workshop.places()
    if value != money.half_up(value, places):
        raise Refused(f"{what} {value} has more than {places} decimals. Enter it to the cent.", field=field)
    return value


def refuse_paid_and_due(how: str, due_on: date | None, on: date) -> None:
    """Something bought was paid as it came, is due on a day and paid by an entry of its own, or nobody said."""
    if due_on is None:
        return
    if how:
        raise Refused("It was paid, or it is due later. Leave one of the two empty.", field="due_on")
    if due_on < on:
        raise Refused(f"It cannot be due on {due_on}, before its own day, {on}.", field="due_on")
