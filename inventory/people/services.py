"""People of the workshop: the owner, helpers, a bookkeeper. Nobody has a password until they set one."""

from django.contrib.auth.models import Group, User
from django.db import transaction

from inventory import permits
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.people.links import services as links
from inventory.people.passkeys import services as passkeys
from inventory.permits import OWNER, ROLES, Act, Person

# What the first owner is called until they choose a sign-in name of their own.
FIRST_NAME = "owner"


@service(Act.SETUP)
def add(*, name: str, role: str, by: Person = None) -> User:
    """A person with one role, able to sign in by a one-time link."""
    person = User.objects.create_user(_free_name(name))
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
    links.end(person=person)
    passkeys.end(person=person)
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
    return found or add(name=FIRST_NAME, role=OWNER)


def _give(person: User, role: str) -> None:
    group, _ = Group.objects.get_or_create(name=checks.choice(role, ROLES, "role", field="role"))
    person.groups.set([group])
    permits.forget(person)


@transaction.atomic
def rename(*, person: User, name: str) -> User:
    """Another sign-in name; the caller has checked that it is the person's own. Sessions and entries stay theirs."""
    person.username = _free_name(name, apart=person)
    person.save(update_fields=["username"])
    return person


def _free_name(name: str, apart: User | None = None) -> str:
    """A sign-in name that nobody else has, whatever the case of its letters."""
    name = checks.code(name, "The sign-in name", field="name", longest=30)
    others = User.objects.exclude(pk=apart.pk) if apart else User.objects.all()
    if others.filter(username__iexact=name).exists():
        raise Taken("The sign-in name", name, field="name")
    return name


@transaction.atomic
def set_password(*, person: User, password: str) -> User:
    """A person's own password; the caller has checked that it is a good one and that it is theirs. Whoever changes one wants
    nobody in who got in by the old: links that wait end with it. The first one ends none."""
    if person.has_usable_password():
        links.end(person=person)
    person.set_password(password)
    person.save(update_fields=["password"])
    return person
