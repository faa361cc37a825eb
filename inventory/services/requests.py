"""Request keys: the same form sent twice posts once.

The key's row is written first, inside the posting's own transaction: a second sender waits for the first to commit and is
then answered with what the first one made.

A page that is gone back to still carries its old key. Where it is known what was sent (`saying`), other words under a key
that was used are refused: they would be lost without a sign if they were answered with what the first ones made.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from django.db import IntegrityError, models, transaction

from inventory.errors import Refused, SentBefore
from inventory.models import Request

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
