"""The workshop's own row and its calendar."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar, Token
from datetime import date, datetime, time
from decimal import Decimal
from functools import wraps
from typing import Any, ParamSpec, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import connection
from django.utils import timezone

from inventory import formats, money
from inventory.base import locales
from inventory.base.models import Workshop

# A page asks for the currency dozens of times; within one request (or one load) the row is read once.
_kept: ContextVar[list[Workshop] | None] = ContextVar("workshop_row", default=None)


@contextmanager
def remembered() -> Iterator[None]:
    """Within this block the row is read once. Writers call `forget()`."""
    token = _kept.set([])
    try:
        yield
    finally:
        _kept.reset(token)


def forget() -> None:
    kept = _kept.get()
    if kept is not None:
        kept.clear()


def current() -> Workshop:
    """The one workshop; made with plain defaults when nobody has set it up yet (not saved)."""
    kept = _kept.get()
    if kept:
        return kept[0]
    row = Workshop.objects.first() or Workshop(pk=1)
    if kept is not None:
        kept.append(row)
    return row


Given = ParamSpec("Given")
Told = TypeVar("Told")
_read: ContextVar[dict[Any, Any] | None] = ContextVar("what was read within this look", default=None)


@contextmanager
def looking() -> Iterator[None]:
    """Within this block nothing is written: what was read with `read_once` need not be read again."""
    token = _read.set({})
    try:
        yield
    finally:
        _read.reset(token)


def read_once(read: Callable[Given, Told]) -> Callable[Given, Told]:
    """For selectors that a page asks several times: while somebody only looks, the same question has the same answer, which no
    caller changes. Everywhere else each asking reads."""

    @wraps(read)
    def answer(*args: Given.args, **named: Given.kwargs) -> Told:
        known = _read.get()
        if known is None:
            return read(*args, **named)
        key = (read, args, *named.items())
        if key not in known:
            known[key] = read(*args, **named)
        found: Told = known[key]
        return found

    return answer


# What a posting goes by.
_FOR_ENTRIES = ("id", "currency", "cost_flow", "closed_to", "today")
_NOW = "SELECT id, currency, cost_flow, closed_to, today FROM inventory_workshop WHERE id = 1"


_is_held: ContextVar[bool] = ContextVar("the row stands until the transaction ends", default=False)


@contextmanager
def held(*, alone: bool = False) -> Iterator[None]:
    """For services, inside their transaction: within this block the row is the one that stands now. What a page remembered may be
    from before the transaction, and the books closed since; until this one ends they stay as they are. `alone`: for who may change
    the row. Held before any shelf by everybody, or one would wait for the other; within such a block it is held already.
    """
    if _is_held.get():
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(_NOW if connection.vendor == "sqlite" else f"{_NOW} FOR {'UPDATE' if alone else 'SHARE'}")
        found: tuple[object, ...] | None = cursor.fetchone()
    kept = _kept.get()
    tokens: list[tuple[ContextVar[Any], Token[Any]]] = [(_is_held, _is_held.set(True))]
    if found is None:
        forget()
    elif not kept or tuple(getattr(kept[0], name) for name in _FOR_ENTRIES) != found:
        forget()
        tokens.append((_kept, _kept.set([Workshop.from_db(connection.alias, _FOR_ENTRIES, found)])))
    try:
        yield
    finally:
        for variable, token in tokens:
            variable.reset(token)


@contextmanager
def at_home() -> Iterator[None]:
    """Within this block days and times are those of the place where the workshop stands, not those of the server, and figures
    and days are written as its locale has them."""
    try:
        home = ZoneInfo(current().time_zone) if current().time_zone else None
    except ZoneInfoNotFoundError:  # a zone that this machine's tables do not have yet
        home = None
    with timezone.override(home) if home else nullcontext(), formats.using(locales.style(current().locale)):
        yield


def today() -> date:
    """The day the workshop lives in: the pinned day of a demonstration, else the real one."""
    return current().today or timezone.localdate()


def now() -> datetime:
    """The moment the workshop lives in: noon of the pinned day of a demonstration, else the real one."""
    pinned = current().today
    return timezone.make_aware(datetime.combine(pinned, time(12))) if pinned else timezone.localtime()


def day_of(moment: datetime) -> date:
    """The workshop's day at a moment: the pinned day of a demonstration, else the date on the wall."""
    return current().today or timezone.localtime(moment).date()


def places() -> int:
    """Decimal places of the workshop's currency."""
    return money.digits(current().currency)


def shown(value: Decimal) -> str:
    """Money in a sentence for people, with its sign."""
    return money.show(value, current().currency)


def coins(value: Decimal) -> str:
    """Money in the words of a refusal: to the currency's own places, however many it is kept at."""
    return money.figure(value, current().currency)
