"""Sign-in links: made, shown once, used once, ended with the password.

A link's key is 256 random bits and stands nowhere but in the link. Links stand each for itself: signing in ends no other, and
a wrong one shuts nothing, since nobody guesses 256 bits.
"""

import secrets
from datetime import timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.people.links import selectors as reading
from inventory.people.links.models import Door, SignInLink
from inventory.permits import Act, Person, author, require

KEY_BYTES = 32
LIVES = {Door.LINK: timedelta(days=1), Door.PHONE: timedelta(minutes=10)}


@transaction.atomic
def make(*, person: User, door: Door, by: Person = None) -> str:
    """The key of a new link, which nobody can read again later. A code for the phone is everybody's own; all others are set-up."""
    if not (door == Door.PHONE and by == person):
        require(by, Act.SETUP)
    now = timezone.now()
    SignInLink.objects.filter(ends_at__lte=now).delete()
    key = secrets.token_urlsafe(KEY_BYTES)
    SignInLink.objects.create(
        person=person, door=door, digest=reading.digest(key), made_by=author(by), ends_at=now + LIVES[door]
    )
    return key


@transaction.atomic
def use(*, key: str, door: Door) -> SignInLink | None:
    """The link, used up now; None if it opens nothing. Of several at the same moment one gets it: the row is locked, and whoever
    waited for it finds it used."""
    found = reading.unopened().select_for_update(of=("self",)).filter(digest=reading.digest(key), door=door).first()
    if found is not None:
        found.used_at = timezone.now()
        found.save(update_fields=["used_at"])
    return found


def end(*, person: User) -> None:
    """No link of the person's opens any more."""
    SignInLink.objects.filter(person=person, used_at=None).delete()
