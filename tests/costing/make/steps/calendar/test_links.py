"""Private calendar links: shown once, kept as a digest, ended for good, shut with their person."""

from __future__ import annotations

from datetime import date

import pytest
from django.contrib.auth.models import User

from costing.make.steps.calendar import services as calendar
from costing.models import CalendarLink
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.people import services as people
from tests import factories as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(db: None) -> User:
    return make.person("helper")


def test_a_token_is_long_random_and_nowhere_in_the_data(person: User) -> None:
    link, token = calendar.make(by=person, name=" Shed phone ")
    assert len(token) >= 43
    assert link.name == "Shed phone"
    assert link.digest != token
    row = CalendarLink.objects.values().get()
    assert token not in map(str, row.values())
    assert calendar.make(by=person, name="Another")[1] != token


def test_a_token_opens_its_own_link_and_no_other_word_does(person: User) -> None:
    link, token = calendar.make(by=person, name="Phone")
    assert calendar.opened(token) == link
    assert calendar.opened(token[:-1]) is None
    assert calendar.opened(link.digest) is None
    assert calendar.opened("") is None


def test_reading_notes_the_day_once(person: User) -> None:
    workshop.pin_today(on=date(2025, 1, 20))
    link, token = calendar.make(by=person, name="Phone")
    assert link.read_on is None
    calendar.opened(token)
    link.refresh_from_db()
    assert link.read_on == date(2025, 1, 20)


def test_an_ended_link_opens_nothing_and_keeps_its_first_end(person: User) -> None:
    link, token = calendar.make(by=person, name="Phone")
    ended = calendar.end(link=link, by=person)
    assert calendar.opened(token) is None
    assert calendar.end(link=link, by=person).ended_at == ended.ended_at


def test_ending_one_link_leaves_the_other_open(person: User) -> None:
    lost, _ = calendar.make(by=person, name="Phone")
    _, token = calendar.make(by=person, name="Tablet")
    calendar.end(link=lost, by=person)
    assert calendar.opened(token)


def test_somebody_elses_link_cannot_be_ended(person: User) -> None:
    link, token = calendar.make(by=person, name="Phone")
    with pytest.raises(NotAllowed, match="somebody else's calendar link"):
        calendar.end(link=link, by=make.owner())
    assert calendar.opened(token)


def test_a_person_shut_out_takes_their_links_along_and_let_in_again_has_them_back(person: User) -> None:
    _, token = calendar.make(by=person, name="Phone")
    people.shut_out(person=person)
    assert calendar.opened(token) is None
    people.change_role(person=person, role="helper")
    assert calendar.opened(token)
    people.change_role(person=person, role="bookkeeper")
    assert calendar.opened(token) is None


def test_only_who_works_in_the_shed_makes_a_link(db: None) -> None:
    with pytest.raises(NotAllowed, match="record work in the shed"):
        calendar.make(by=make.person("bookkeeper"), name="Phone")
    assert not CalendarLink.objects.exists()


@pytest.mark.parametrize(("name", "words"), [("", "missing"), (" ", "missing"), ("x" * 41, "40 characters")])
def test_a_link_needs_a_name_that_fits(person: User, name: str, words: str) -> None:
    with pytest.raises(Refused, match=words) as refusal:
        calendar.make(by=person, name=name)
    assert refusal.value.field == "name"


def test_a_form_sent_twice_makes_one_link_and_says_that_it_was_shown(person: User) -> None:
    calendar.make(by=person, name="Phone", request_key="k1")
    with pytest.raises(Refused, match="made by this form already"):
        calendar.make(by=person, name="Phone", request_key="k1")
    assert CalendarLink.objects.count() == 1
