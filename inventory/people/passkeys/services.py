"""Passkeys made, used to come in, and removed.

Whoever calls has drawn the challenge, keeps it on the server and hands it over once; whoever adds one has asked before that who
sits there is the person. A passkey stands beside password and links and ends neither.
"""

import secrets

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.base import checks
from inventory.errors import Refused
from inventory.people.passkeys import ceremony, selectors as reading
from inventory.people.passkeys.ceremony import Unproven
from inventory.people.passkeys.models import Passkey
from inventory.people.passkeys.rules import Site
from inventory.permits import Act, Person, require

HANDLE_BYTES = 32
LONGEST_NAME = 40


def named(name: str) -> str:
    """What a passkey is called, as it may be kept."""
    return checks.text(name, "The name", field="name", longest=LONGEST_NAME, needed=True)


def handle_of(person: User) -> str:
    """By what the person's devices know them; a new one where they have no passkey."""
    first = reading.own(person).first()
    return first.handle if first else ceremony.words(secrets.token_bytes(HANDLE_BYTES))


@transaction.atomic
def add(*, person: User, name: str, handle: str, answer: str, challenge: bytes, site: Site) -> Passkey:
    """The passkey that a device made; `handle` is the one that it was told."""
    new = ceremony.made(answer=answer, site=site, challenge=challenge)
    if Passkey.objects.filter(credential=new.credential).exists():
        raise Refused("This passkey is there already. Remove it first if you want to make it anew.")
    return Passkey.objects.create(
        person=person,
        name=named(name),
        site=site.name,
        credential=new.credential,
        public_key=new.public_key,
        handle=handle,
        sign_count=new.sign_count,
    )


@transaction.atomic
def use(*, answer: str, challenge: bytes, site: Site) -> User:
    """The person whose passkey has answered. The row is locked, so of two answers with one count the second is old."""
    rows = reading.opening(site.name).select_for_update(of=("self",))
    found = rows.filter(credential=ceremony.credential(answer)).first()
    if found is None:
        raise Unproven
    found.sign_count = ceremony.shown(
        answer=answer,
        site=site,
        challenge=challenge,
        public_key=found.public_key,
        handle=found.handle,
        sign_count=found.sign_count,
    )
    found.used_at = timezone.now()
    found.save(update_fields=["sign_count", "used_at"])
    return found.person


@transaction.atomic
def remove(*, passkey: Passkey, by: Person = None) -> Passkey:
    """It opens nothing any more. Everybody removes their own; those of others are set-up."""
    if by != passkey.person:
        require(by, Act.SETUP)
    passkey.delete()
    return passkey


@transaction.atomic
def end(*, person: User, by: Person = None) -> int:
    """No passkey of the person's opens any more; how many there were."""
    if by != person:
        require(by, Act.SETUP)
    return reading.own(person).delete()[0]
