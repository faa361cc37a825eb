"""What every service gets from its decorator: the permit of `by`, one transaction, and a request key that posts once."""

from __future__ import annotations

from datetime import date

import pytest
from django.contrib.auth.models import AnonymousUser

from inventory.base import checks, selectors as workshop_read
from inventory.base.accounting import services as workshop
from inventory.base.services import service
from inventory.errors import ClosedPeriod, NotAllowed, Refused, SentBefore
from inventory.models import Place, Request
from inventory.permits import BOOKKEEPER, HELPER, Act, Person
from tests.at_once import together
from tests.factories import person

pytestmark = pytest.mark.django_db

DAY = date(2025, 3, 31)


@service(Act.SHED, makes=Place)
def found(*, name: str, refuse: bool = False, by: Person = None, request_key: str | None = None) -> Place | None:
    """A place; none where it has no name."""
    if not name:
        return None
    place = Place.objects.create(name=name, kind="tub")
    if refuse:
        raise Refused("No.")
    return place


@service(Act.SHED, makes=Place)
def renamed(*, place: Place, by: Person = None, request_key: str | None = None) -> Place:
    place.name += "+"
    place.save()
    return place


@service(lambda costly, **_: Act.BOOKS if costly else Act.SHED)
def look(*, costly: bool, by: Person = None) -> bool:
    return costly


def test_it_keeps_its_name_and_its_docstring() -> None:
    assert (found.__name__, found.__doc__) == ("found", "A place; none where it has no name.")


def test_a_role_that_may_not_writes_nothing_and_claims_no_key() -> None:
    for nobody in (person(BOOKKEEPER), AnonymousUser()):
        with pytest.raises(NotAllowed):
            found(name="Tub", by=nobody, request_key="k")
    assert (Place.objects.count(), Request.objects.count()) == (0, 0)
    assert found(name="Tub", by=person(HELPER), request_key="k")


def test_the_permit_may_depend_on_what_is_asked() -> None:
    helper = person(HELPER)
    look(costly=False, by=helper)
    with pytest.raises(NotAllowed):
        look(costly=True, by=helper)
    look(costly=True, by=person(BOOKKEEPER))


def test_the_same_key_twice_makes_one_and_answers_with_it() -> None:
    assert found(name="Tub", request_key="k") == found(name="Tub", request_key="k")
    assert Place.objects.count() == 1


@pytest.mark.parametrize("key", [None, ""])
def test_without_a_key_each_call_makes_its_own(key: str | None) -> None:
    assert found(name="A", request_key=key) != found(name="B", request_key=key)
    assert not Request.objects.exists()


def test_a_key_of_one_service_is_no_key_of_another_that_makes_the_like() -> None:
    place = found(name="Tub", request_key="k")
    assert place is not None
    with pytest.raises(SentBefore, match="for something else"):
        renamed(place=place, request_key="k")
    place.refresh_from_db()
    assert place.name == "Tub"


def test_a_refusal_half_way_leaves_neither_the_entry_nor_the_key() -> None:
    with pytest.raises(Refused, match="No"):
        found(name="Tub", refuse=True, request_key="k")
    assert (Place.objects.count(), Request.objects.count()) == (0, 0)


def test_a_call_that_wrote_nothing_frees_its_key() -> None:
    assert found(name="", request_key="k") is None
    assert not Request.objects.exists()
    assert found(name="Tub", request_key="k")


def test_the_key_remembers_the_record_only_when_all_is_written() -> None:
    place = found(name="Tub", request_key="k")
    assert place is not None
    assert Request.objects.get(key="k").made_pk == place.pk


def test_a_service_called_by_another_needs_no_key_of_its_own() -> None:
    @service(Act.SHED, makes=Place)
    def both(*, by: Person = None, request_key: str | None = None) -> Place:
        found(name="Inner", by=by)
        return Place.objects.create(name="Outer", kind="tub")

    assert both(request_key="k") == both(request_key="k")
    assert Request.objects.count() == 1
    assert Place.objects.count() == 2


def test_a_service_without_a_keyword_by_cannot_be_written() -> None:
    with pytest.raises(TypeError, match="`by`"):

        @service(Act.SHED)
        def anyone(by: Person = None) -> None: ...


def test_a_service_that_makes_something_takes_a_request_key() -> None:
    with pytest.raises(TypeError, match="`request_key`"):

        @service(Act.SHED, makes=Place)
        def forgetful(*, by: Person = None) -> Place:
            raise NotImplementedError


def test_the_same_key_from_many_senders_at_once_makes_one(shared_database: None) -> None:
    first, *others = together(*[lambda: found(name="Tub", request_key="k")] * 4)
    assert isinstance(first, Place)
    assert others == [first] * 3
    assert Place.objects.count() == 1


@service(Act.SHED)
def dated(*, on: date, by: Person = None) -> None:
    checks.day(on)


@pytest.mark.usefixtures("shared_database")
def test_books_closed_since_a_page_looked_are_closed_for_whatever_it_sends() -> None:
    with workshop_read.remembered():
        assert workshop_read.current().closed_to is None
        (answer,) = together(lambda: workshop.close_books(to=DAY))
        assert not isinstance(answer, Exception)
        with pytest.raises(ClosedPeriod):
            dated(on=DAY)
        assert workshop_read.current().closed_to == DAY, "what was remembered was wrong and is read again"
