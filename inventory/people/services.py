"""People of the workshop: the owner, helpers, a bookkeeper. Nobody has a password until they set one."""

from django.contrib.auth.models import Group, User
from django.db import transaction

from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.permits import OWNER, ROLES, Act, Person


@service(Act.SETUP)
def add(*, name: str, role: str, by: Person = None) -> User:
    """A person with one role, able to sign in by a one-time link."""
    name = checks.code(name, "The sign-in name", field="name", longest=30)
    if User.objects.filter(username__iexact=name).exists():
        raise Taken("The sign-in name", name, field="name")
    person = User.objects.create_user(name)
    person.set_unusable_password()
    person.save()
    _give(person, role)
    return person


@service(Act.SETUP)
def change_role(*, person: User, role: str, by: Person = None) -> User:
    """Another role; who was shut out is let in again with it. The last owner stays owner, or nobody could set up any more."""
    if role != OWNER:
        _refuse_last_owner(person)
    person.is_active = True
    person.save(update_fields=["is_active"])
    _give(person, role)
    return person


@service(Act.SETUP)
def shut_out(*, person: User, by: Person = None) -> User:
    """No sign-in and no open session from now on, on any device. What the person wrote keeps their name."""
    _refuse_last_owner(person)
    person.is_active = False
    person.save(update_fields=["is_active"])
    return person


def _refuse_last_owner(person: User) -> None:
    """The owners are locked: two of them must not make each other smaller at the same moment."""
    owners = User.objects.select_for_update().filter(groups__name=OWNER, is_active=True)
    if [owner.pk for owner in owners] == [person.pk]:
        raise Refused("This is the only owner. Make somebody else owner first.", field="role")


@transaction.atomic
def owner() -> User:
    """The first owner, made when there is none: for `manage.py open`."""
    found = User.objects.filter(groups__name=OWNER, is_active=True).order_by("pk").first()
    return found or add(name="owner", role=OWNER)


def _give(person: User, role: str) -> None:
    group, _ = Group.objects.get_or_create(name=checks.choice(role, ROLES, "role", field="role"))
    person.groups.set([group])


def set_password(*, person: User, password: str) -> User:
    """A person's own password; the caller has checked that it is a good one and that it is theirs."""
    person.set_password(password)
    person.save(update_fields=["password"])
    return person
