"""Request keys: the same form sent twice posts once.

The key's row is written first, inside the posting's own transaction: a second sender waits for the first to commit and is
then answered with what the first one made.

A page that is gone back to still carries its old key. Where it is known what was sent (`saying`), other words under a key
that was used are refused: they would be lost without a sign if they were answered with what the first ones made.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime, timedelta
from typing import Any, Protocol, TypeVar, cast

from django.db import IntegrityError, models, transaction
from django.db.models import Model
from django.utils import timezone

from inventory.base import checks
from inventory.base.models import Request
from inventory.errors import Refused, SentBefore
from inventory.permits import Act, Person, require

SECONDS = 10

# The way of an answer to the phone and of the tap back; the button itself goes after SECONDS.
_ON_THE_WAY = 5


def refuse_late(written_at: datetime) -> None:
    """Refuse an undo that comes too late, and say the way that is left."""
    if timezone.now() > written_at + timedelta(seconds=SECONDS + _ON_THE_WAY):
        raise Refused(f"The {SECONDS} seconds for an undo are over. Take the entry back on its own page instead.")


M = TypeVar("M", bound=models.Model)
LONGEST = 64
NAMES = ("number", "tag", "code", "name")
_said: ContextVar[str] = ContextVar("what the form says that is being written", default="")


@contextmanager
def saying(words: str) -> Iterator[None]:
    """What is sent under a key from here on, as one text."""
    held = _said.set(hashlib.sha256(words.encode("utf-8", "surrogatepass")).hexdigest())
    try:
        yield
    finally:
        _said.reset(held)


def earlier(key: str | None, kind: type[M], act: str = "") -> M | None:
    """What this key made before, or None after claiming the key for the caller's transaction. No key: no protection asked.

    `act` tells apart the services that make the same kind of record: a key of one is no key of another.
    """
    if not key:
        return None
    if len(key) > LONGEST:
        raise Refused(f"The form's request key is longer than {LONGEST} characters. Open the page again.")
    label = f"{kind._meta.label} {act}".strip()
    said = _said.get()
    try:
        with transaction.atomic():
            Request.objects.create(key=key, made=label, said=said)
    except IntegrityError:
        kept = Request.objects.get(key=key)
        if kept.made != label or kept.made_pk is None:
            raise SentBefore(
                "This form was sent before for something else. Open the page again and enter it once more."
            ) from None
        made = kind._default_manager.filter(pk=kept.made_pk).first()
        if made is None:
            raise Refused(
                "This form was sent before, and what it wrote is no longer there. Open the page again."
            ) from None
        if said and kept.said and said != kept.said:
            name = next((f" ({made.serializable_value(each)})" for each in NAMES if hasattr(made, each)), "")
            raise SentBefore(
                f"This page was sent before, and what stood in it then is written{name}. What stands in it now is something "
                "else: send it once more to write it as a new entry, or leave the page."
            ) from None
        return made
    return None


def keep(key: str | None, made: M) -> M:
    """Remember what the key made; call it last in the service."""
    if key:
        Request.objects.filter(key=key).update(made_pk=made.pk)
    return made


def release(key: str | None) -> None:
    """The call wrote nothing (a count that agreed): the key is free again, so sending it twice gets the same answer."""
    if key:
        Request.objects.filter(key=key, made_pk__isnull=True).delete()


class Reversible(Protocol):
    """A row of a table whose entries are reversed by a linked entry."""

    pk: Any
    on: date
    reverses: Any
    reverses_id: int | None
    written_by: Any

    def save(self) -> None: ...


Entry = TypeVar("Entry", bound=Reversible)


@transaction.atomic
def take_back(
    entry: Entry,
    mirrored: Callable[[Entry, date], Entry],
    *,
    already: str,
    on: date | None,
    by: Person,
    request_key: str | None,
) -> Entry:
    """`mirrored` answers the linked entry of a row and its day, not saved yet, or refuses. `already` is said the second time."""
    writer = require(by, Act.BOOKS)
    kind: Any = type(entry)
    done: Entry | None = earlier(request_key, kind, "take back")
    if done:
        return done
    row = kind._default_manager.select_for_update(of=("self",)).get(pk=entry.pk)
    if row.reverses_id or kind._default_manager.filter(reverses=row).exists():
        raise Refused(already)
    back: Entry = mirrored(row, _day(row.on, on))
    back.reverses, back.written_by = row, writer
    back.save()
    keep(request_key, cast(Model, back))
    return back


def _day(happened: date, on: date | None) -> date:
    when = checks.day(on or happened)
    if when < happened:
        raise Refused(f"An entry of {happened} cannot be taken back on {when}, before it happened.", field="on")
    return when
