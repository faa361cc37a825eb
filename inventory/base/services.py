"""What every service does before and after its own work: asks the permit, opens the transaction, keeps the request key, and has
what was written chained.

The same form sent twice posts once. The key's row is written first, inside the service's own transaction: a second sender
waits for the first to commit and is then answered with what the first one made.

A page that is gone back to still carries its old key. Where it is known what was sent (`saying`), other words under a key
that was used are refused: they would be lost without a sign if they were answered with what the first ones made.
"""

import hashlib
import inspect
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime, timedelta
from functools import wraps
from typing import Any, ParamSpec, Protocol, TypeVar, overload

from django.contrib.auth.models import User
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from inventory.base import checks, selectors as workshop, signals
from inventory.base.chain import services as chain
from inventory.base.models import Entry, Request
from inventory.errors import Refused, SentBefore
from inventory.permits import Act, require

SECONDS = 10
CHANGE_IT = (Act.SETUP, Act.BOOKS)  # with these, services may write the workshop's own row

# The way of an answer to the phone and of the tap back; the button itself goes after SECONDS.
_ON_THE_WAY = 5


def refuse_late(written_at: datetime) -> None:
    """Refuse an undo that comes too late, and say the way that is left."""
    if timezone.now() > written_at + timedelta(seconds=SECONDS + _ON_THE_WAY):
        raise Refused(f"The {SECONDS} seconds for an undo are over. Reverse the entry on its own page instead.")


M = TypeVar("M", bound=models.Model)
P = ParamSpec("P")
R = TypeVar("R")
LONGEST = 64
LABEL = 40
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


class Maker(Protocol[M]):
    """Wraps a service that makes a record of one kind, or now and then none."""

    @overload
    def __call__(self, body: Callable[P, M]) -> Callable[P, M]: ...
    @overload
    def __call__(self, body: Callable[P, M | None]) -> Callable[P, M | None]: ...


Asks = Act | Callable[..., Act]


@overload
def service(act: Asks) -> Callable[[Callable[P, R]], Callable[P, R]]: ...
@overload
def service(act: Asks, *, makes: type[M]) -> Maker[M]: ...
def service(act: Asks, *, makes: type[M] | None = None) -> Any:
    """One entry of the maker: nothing is written without the permit of `by`, and all of it or nothing is.

    `act` is the permit, or a function that tells it from the service's keyword arguments. A service that `makes` a record
    takes a `request_key`: called again with it, it answers with what the first call made. The key is claimed before
    anything is written and remembers the record last, when all is written; a call that made nothing frees it. A service
    that answers with more than the one record does without `makes` and calls `find_existing` and `remember` itself.
    """

    def wrap(body: Callable[..., Any]) -> Callable[..., Any]:
        _refuse_unlike_a_service(body, keyed=makes is not None)
        own = body.__name__

        @wraps(body)
        def call(**given: Any) -> Any:
            asked = act if isinstance(act, Act) else act(**given)
            require(given.get("by"), asked)
            with chain.together(), workshop.held(alone=asked in CHANGE_IT):
                if makes is None:
                    return body(**given)
                key = given.get("request_key")
                if (existing := find_existing(key, makes, own)) is not None:
                    return existing
                made = body(**given)
                if made is None:
                    release(key)
                else:
                    remember(key, made)
                    chain.made(made)
                return made

        return call

    return wrap


def _refuse_unlike_a_service(body: Callable[..., Any], *, keyed: bool) -> None:
    """A `by` that is not a keyword would be overlooked, and the entry taken for the owner's."""
    parameters = inspect.signature(body).parameters
    for name in ("by", "request_key") if keyed else ("by",):
        if name not in parameters or parameters[name].kind is not inspect.Parameter.KEYWORD_ONLY:
            raise TypeError(f"{body.__module__}.{body.__qualname__} is a service and takes `{name}` by keyword only.")


def find_existing(key: str | None, kind: type[M], act: str) -> M | None:
    """What this key made before, or None after claiming the key for the caller's transaction. No key: no protection asked.

    `act`, the service's name, tells apart those that make the same kind of record: a key of one is no key of another.
    """
    if not key:
        return None
    if len(key) > LONGEST:
        raise Refused(f"The form's request key is longer than {LONGEST} characters. Open the page again.")
    label = f"{kind._meta.label} {act}"[:LABEL]
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


def used(key: str) -> bool:
    """Whether a form was sent before with this key: what it would be asked then was answered."""
    return Request.objects.filter(key=key, made_pk__isnull=False).exists()


def remember(key: str | None, made: M) -> M:
    """Keep what the key made, when all of it is written."""
    if key:
        Request.objects.filter(key=key).update(made_pk=made.pk)
    return made


def release(key: str | None) -> None:
    """The call wrote nothing (a stocktake that agreed): the key is free again, so sending it twice gets the same answer."""
    if key:
        Request.objects.filter(key=key, made_pk__isnull=True).delete()


Reversed = TypeVar("Reversed", bound=Entry)


def reverse(
    entry: Reversed,
    mirrored: Callable[[Reversed, date], Reversed],
    *,
    already: str,
    on: date | None,
    writer: User | None,
) -> Reversed:
    """For services, inside their transaction: reverse an entry by a linked one, on its own day unless that is closed.

    `mirrored` answers the linked entry of a row and its day, not saved yet, or refuses. `already` is said the second time.
    """
    kind: Any = type(entry)
    row = kind._default_manager.select_for_update(of=("self",)).get(pk=entry.pk)
    if row.reverses_id or kind._default_manager.filter(reverses=row).exists():
        raise Refused(already)
    day = checks.day(on or row.on)
    if day < row.on:
        raise Refused(f"An entry of {row.on} cannot be reversed on {day}, before it happened.", field="on")
    signals.reversing.send(sender=kind, row=row)
    back: Reversed = mirrored(row, day)
    back.reverses, back.written_by = row, writer
    back.save()
    return back
