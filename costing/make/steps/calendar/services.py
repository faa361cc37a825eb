"""Private links to the calendar: made for one device, shown once, ended when the device is lost.

Only the digest of a link's token is kept, so that a copy of the data opens no calendar. What the calendar says is built on
the floor above; nothing here reads a batch.
"""

import hashlib
import secrets

from django.contrib.auth.models import User
from django.utils import timezone

from costing.make.steps.calendar.models import CalendarLink
from inventory.base import checks, selectors as workshop_read, services as entries
from inventory.base.services import service
from inventory.errors import NotAllowed, Refused
from inventory.permits import Act, may

TOKEN_BYTES = 32


@service(Act.SHED)
def make(*, by: User, name: str, request_key: str | None = None) -> tuple[CalendarLink, str]:
    """A new link of a person for one device, and its token, which nobody can read again later."""
    if done := entries.find_existing(request_key, CalendarLink, "make"):
        raise Refused(
            f"The link “{done.name}” was made by this form already and was shown then. End it and make a new one.",
            field="name",
        )
    name = checks.text(name, "The name", field="name", longest=40, needed=True)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    link = CalendarLink.objects.create(person=by, name=name, digest=digest(token))
    return entries.remember(request_key, link), token


@service(Act.SHED)
def end(*, link: CalendarLink, by: User) -> CalendarLink:
    """From now on the link opens nothing. Ending it twice keeps the first moment."""
    row = CalendarLink.objects.select_for_update().get(pk=link.pk)
    if row.person_id != by.pk:
        raise NotAllowed("end somebody else's calendar link")
    if row.ended_at is None:
        row.ended_at = timezone.now()
        row.save(update_fields=["ended_at"])
    return row


def opened(token: str) -> CalendarLink | None:
    """The link of a token if it opens still: not ended, its person not shut out and with work in the shed. Notes the day."""
    link = CalendarLink.objects.select_related("person").filter(digest=digest(token), ended_at__isnull=True).first()
    if link is None or not link.person.is_active or not may(link.person, Act.SHED):
        return None
    today = workshop_read.today()
    if link.read_on != today:
        CalendarLink.objects.filter(pk=link.pk).update(read_on=today)
    return link


def digest(token: str) -> str:
    """SHA-256 of the token. The token is random over its whole length, so it needs no salt and no slow hash."""
    return hashlib.sha256(token.encode()).hexdigest()
