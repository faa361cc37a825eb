"""Which passkeys there are, and which of them open."""

from django.contrib.auth.models import User
from django.db.models import Q, QuerySet

from inventory.people.passkeys.models import Passkey
from inventory.permits import ROLES


def own(person: User) -> QuerySet[Passkey]:
    """A person's passkeys, those first that were made first."""
    return Passkey.objects.filter(person=person)


def any_at(site: str) -> bool:
    """Whether somebody has a passkey that was made at this host."""
    return Passkey.objects.filter(site=site).exists()


def opening(site: str) -> QuerySet[Passkey]:
    """Passkeys that open at this host: of people who are not shut out and have a role."""
    role = Q(is_superuser=True) | Q(groups__name__in=ROLES)
    people = User.objects.filter(role, is_active=True)
    return Passkey.objects.filter(site=site, person__in=people.values("pk")).select_related("person")


def named(credential: str, site: str) -> Passkey | None:
    """The passkey that a device calls by this name, if it opens here."""
    return opening(site).filter(credential=credential).first()
