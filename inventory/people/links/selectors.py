"""Which links open still, and for whom."""

import hashlib

from django.db.models import QuerySet
from django.utils import timezone

from inventory.people.links.models import Door, SignInLink


def digest(key: str) -> str:
    """SHA-256 of a link's key. The key is random over its whole length, so it needs no salt and no slow hash."""
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()


def unopened() -> QuerySet[SignInLink]:
    """Links that open still: not used, in time, their person not shut out."""
    return SignInLink.objects.filter(used_at=None, ends_at__gt=timezone.now(), person__is_active=True)


def opening(key: str, door: Door) -> SignInLink | None:
    """The link that this key opens at this door. Every key that opens nothing is answered alike: None."""
    return unopened().select_related("person").filter(digest=digest(key), door=door).first()


def proves(link: SignInLink) -> bool:
    """Whether somebody vouches for whoever opens it: another owner gave it, or the command on the owner's own machine made it.
    A link that a person makes for themselves proves no more than the sign-in it was made in."""
    return link.door == Door.LINK and link.made_by_id != link.person_id
