"""A sign-in link opens once, in its time, at its own door; the data keep no key, and no link ends another."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core import serializers
from django.utils import timezone

from inventory.errors import NotAllowed
from inventory.models import SignInLink
from inventory.people import services as people
from inventory.people.links import selectors as reading, services as links
from inventory.people.links.models import Door
from tests import factories
from tests.at_once import together

pytestmark = pytest.mark.django_db


def test_a_key_opens_once() -> None:
    owner = people.owner()
    key = links.make(person=owner, door=Door.LINK)
    assert reading.opening(key, Door.LINK) is not None
    used = links.use(key=key, door=Door.LINK)
    assert used is not None
    assert used.person == owner
    assert links.use(key=key, door=Door.LINK) is None
    assert reading.opening(key, Door.LINK) is None


def test_looking_uses_nothing_up() -> None:
    key = links.make(person=people.owner(), door=Door.LINK)
    for _ in range(5):
        assert reading.opening(key, Door.LINK) is not None
    assert links.use(key=key, door=Door.LINK) is not None


@pytest.mark.parametrize("used", [0, 1])
def test_of_two_links_neither_ends_the_other(used: int) -> None:
    keys = [links.make(person=people.owner(), door=Door.LINK) for _ in range(2)]
    assert links.use(key=keys[used], door=Door.LINK) is not None
    assert links.use(key=keys[1 - used], door=Door.LINK) is not None


@pytest.mark.parametrize(("door", "lives"), [(Door.LINK, timedelta(days=1)), (Door.PHONE, timedelta(minutes=10))])
def test_a_link_opens_in_its_time_only(door: Door, lives: timedelta, monkeypatch: pytest.MonkeyPatch) -> None:
    owner, start = people.owner(), timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: start)
    keys = [links.make(person=owner, door=door, by=owner) for _ in range(2)]
    monkeypatch.setattr(timezone, "now", lambda: start + lives - timedelta(seconds=1))
    assert links.use(key=keys[0], door=door) is not None
    monkeypatch.setattr(timezone, "now", lambda: start + lives)
    assert links.use(key=keys[1], door=door) is None


def test_a_link_opens_at_its_own_door_only() -> None:
    owner = people.owner()
    link, code = links.make(person=owner, door=Door.LINK), links.make(person=owner, door=Door.PHONE, by=owner)
    assert links.use(key=link, door=Door.PHONE) is None
    assert links.use(key=code, door=Door.LINK) is None


@pytest.mark.parametrize("key", ["", "forged", "x" * 100_000, "\x00", "💥", "\ud800"])
def test_a_key_that_was_never_made_opens_nothing(key: str) -> None:
    links.make(person=people.owner(), door=Door.LINK)
    assert links.use(key=key, door=Door.LINK) is None
    assert SignInLink.objects.filter(used_at=None).count() == 1


def test_the_data_keep_no_key() -> None:
    key = links.make(person=people.owner(), door=Door.LINK)
    assert len(key) >= 43  # 256 bits, six a letter
    kept = serializers.serialize("json", SignInLink.objects.all())
    assert key not in kept
    assert reading.digest(key) in kept


def test_what_is_over_goes_when_the_next_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    owner, start = people.owner(), timezone.now()
    for _ in range(3):
        links.make(person=owner, door=Door.LINK)
    monkeypatch.setattr(timezone, "now", lambda: start + timedelta(days=2))
    links.make(person=owner, door=Door.LINK)
    assert SignInLink.objects.count() == 1


def test_the_owner_makes_links_for_others_and_everybody_a_code_for_their_own_phone() -> None:
    helper, other = factories.person("helper"), factories.person("helper")
    assert links.make(person=helper, door=Door.PHONE, by=helper)
    for person, door in ((helper, Door.LINK), (other, Door.LINK), (other, Door.PHONE)):
        with pytest.raises(NotAllowed):
            links.make(person=person, door=door, by=helper)
    assert links.make(person=helper, door=Door.LINK, by=factories.person("owner"))


def test_only_a_link_that_somebody_else_gave_proves_who_opens_it() -> None:
    owner, helper = factories.person("owner"), factories.person("helper")
    proven = {
        "the owner's command": links.make(person=owner, door=Door.LINK),
        "another's link": links.make(person=helper, door=Door.LINK, by=owner),
    }
    own = {"one's own link": links.make(person=owner, door=Door.LINK, by=owner)}
    assert all(reading.proves(found) for key in proven.values() if (found := reading.opening(key, Door.LINK)))
    assert not any(reading.proves(found) for key in own.values() if (found := reading.opening(key, Door.LINK)))
    code = reading.opening(links.make(person=helper, door=Door.PHONE, by=helper), Door.PHONE)
    assert code is not None
    assert not reading.proves(code)


def test_links_end_with_a_password_that_is_changed_and_not_with_the_first() -> None:
    owner, other = people.owner(), factories.person("helper")
    key, theirs = links.make(person=owner, door=Door.LINK), links.make(person=other, door=Door.LINK)
    people.set_password(person=owner, password="seven quiet alder trees")
    assert reading.opening(key, Door.LINK) is not None
    people.set_password(person=owner, password="eight quiet alder trees")
    assert reading.opening(key, Door.LINK) is None
    assert reading.opening(theirs, Door.LINK) is not None


def test_who_is_shut_out_has_no_link_when_let_in_again() -> None:
    helper = factories.person("helper")
    key = links.make(person=helper, door=Door.LINK)
    people.shut_out(person=helper)
    assert links.use(key=key, door=Door.LINK) is None
    people.change_role(person=helper, role="helper")
    assert links.use(key=key, door=Door.LINK) is None


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_four_hands_at_once_one_gets_in() -> None:
    for _ in range(5):
        key = links.make(person=people.owner(), door=Door.LINK)
        answers = together(*[lambda key=key: links.use(key=key, door=Door.LINK) for _ in range(4)])
        assert not [each for each in answers if isinstance(each, Exception)]
        assert sorted(each is not None for each in answers) == [False, False, False, True]
