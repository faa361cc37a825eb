"""Request keys: the same form sent twice posts once.

The key's row is written first, inside the posting's own transaction: a second sender waits for the first to commit and is
then answered with what the first one made.
"""

from __future__ import annotations

from typing import TypeVar

from django.db import IntegrityError, models, transaction

from inventory.errors import Refused
from inventory.models import Request

M = TypeVar("M", bound=models.Model)

LONGEST = 64


def earlier(key: str | None, kind: type[M], act: str = "") -> M | None:
    """What this key made before, or None after claiming the key for the caller's transaction. No key: no protection asked.

    `act` tells apart the services that make the same kind of record: a key of one is no key of another.
    """
    if not key:
        return None
    if len(key) > LONGEST:
        raise Refused(f"The form's request key is longer than {LONGEST} characters. Open the page again.")
    label = f"{kind._meta.label} {act}".strip()
    try:
        with transaction.atomic():
            Request.objects.create(key=key, made=label)
    except IntegrityError:
        kept = Request.objects.get(key=key)
        if kept.made != label or kept.made_pk is None:
            raise Refused(
                "This form was sent before for something else. Open the page again and enter it once more."
            ) from None
        made = kind._default_manager.filter(pk=kept.made_pk).first()
        if made is None:
            raise Refused(
                "This form was sent before, and what it wrote is no longer there. Open the page again."
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
