from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from inventory.deliveries import services as deliveries
from inventory.errors import Refused, ShortStock
from inventory.ledger import services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.models import Delivery, Kind, Material, Movement, Posting, Request, Skin
from inventory.skins import services as skins
from tests.at_once import together
from tests.factories import DAY, line, material, place, supplier, take

D = Decimal


def issue(of: Material, key: str, grams: int = 100) -> Posting:
    return ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(of, D(grams))], request_key=key)


@pytest.mark.django_db
def test_the_same_key_twice_posts_once_and_answers_with_the_first() -> None:
    alum = material(on_hand=1)
    assert issue(alum, "k") == issue(alum, "k")
    assert Movement.objects.filter(kind=Kind.USE).count() == 1


@pytest.mark.django_db
def test_no_key_asks_for_no_protection() -> None:
    alum = material(on_hand=1)
    assert issue(alum, "") != issue(alum, "")
    assert not Request.objects.exists()


@pytest.mark.django_db
def test_a_key_used_for_something_else_is_refused() -> None:
    alum = material(on_hand=1)
    posting = issue(alum, "k")
    arrivals = [ledger.Arrival(alum, D(1), D(1))]
    for other in (
        lambda: skins.take_in(tag="H1", details=skins.Details(species="Sheep", date_in=DAY), request_key="k"),
        lambda: ledger.receive(kind=Kind.RECEIPT, on=DAY, arrivals=arrivals, request_key="k"),
        lambda: ledger.count(on=DAY, material=alum, counted=D(1), request_key="k"),
        lambda: ledger.reverse(posting=posting, reason="x", request_key="k"),
    ):
        with pytest.raises(Refused, match="sent before for something else"):
            other()
    assert (Posting.objects.count(), Skin.objects.count()) == (2, 0)


@pytest.mark.django_db
def test_a_refused_entry_frees_its_key() -> None:
    alum = material(on_hand=1)
    with pytest.raises(ShortStock):
        issue(alum, "k", 1001)
    assert issue(alum, "k", 1000)


@pytest.mark.django_db
def test_a_count_that_agreed_agrees_again() -> None:
    alum = material(on_hand=1)
    for _ in range(2):
        assert ledger.count(on=DAY, material=alum, counted=D(1000), request_key="k") is None


@pytest.mark.django_db
def test_every_way_of_writing_on_the_shelf_posts_once_under_a_key() -> None:
    alum, seller = material(on_hand=1), supplier()
    used = take(alum, "0.1")
    arrivals = [ledger.Arrival(alum, D(1), D(1))]
    entries: list[Callable[[], Any]] = [
        lambda: ledger.receive(kind=Kind.RECEIPT, on=DAY, arrivals=arrivals, request_key="a"),
        lambda: ledger.count(on=DAY, material=alum, counted=D(700), request_key="b"),
        lambda: ledger.reverse(posting=used, reason="x", request_key="c"),
        lambda: deliveries.record(supplier=seller, on=DAY, lines=[line(alum)], request_key="d"),
    ]
    for entry in entries:
        assert entry() == entry()
    assert Posting.objects.count() == 6


@pytest.mark.django_db
def test_a_key_whose_record_is_gone_is_refused_in_words() -> None:
    skin = skins.take_in(tag="H1", details=skins.Details(species="Sheep", date_in=DAY), request_key="k")
    skin.delete()
    with pytest.raises(Refused, match="no longer there"):
        skins.take_in(tag="H1", details=skins.Details(species="Sheep", date_in=DAY), request_key="k")


@pytest.mark.django_db
def test_an_overlong_key_is_refused() -> None:
    with pytest.raises(Refused, match="longer than 64"):
        issue(material(on_hand=1), "k" * 65)


def test_the_same_key_from_two_senders_at_once_posts_once(shared_database: None) -> None:
    alum = material(on_hand=1, value=4)
    first, *others = together(*[lambda: issue(alum, "k")] * 6)
    assert isinstance(first, Posting)
    assert others == [first] * 5
    assert Movement.objects.filter(kind=Kind.USE).count() == 1


def test_the_same_key_from_two_services_at_once_posts_one_of_them(shared_database: None) -> None:
    alum, seller, shelf = material(on_hand=1, value=4), supplier(), place()
    answers = together(
        lambda: issue(alum, "k"),
        lambda: deliveries.record(supplier=seller, on=DAY, lines=[line(alum)], request_key="k"),
        lambda: skins.take_in(
            tag="H1", details=skins.Details(species="Sheep", date_in=DAY, place=shelf), request_key="k"
        ),
    )
    assert sum(isinstance(answer, Refused) for answer in answers) == 2
    made = Movement.objects.filter(kind=Kind.USE).count() + Delivery.objects.count() + Skin.objects.count()
    assert made == 1


@pytest.mark.parametrize("grams", [100, 150])
def test_many_hands_never_take_more_than_the_shelf_holds(shared_database: None, grams: int) -> None:
    alum = material(on_hand="0.6", value="7.00")
    answers = together(*[lambda: issue(alum, "", grams)] * 8)
    posted = [answer for answer in answers if isinstance(answer, Posting)]
    assert len(posted) == 600 // grams
    assert all(isinstance(answer, Posting | ShortStock) for answer in answers)
    alum.refresh_from_db()
    assert (alum.on_hand, alum.value) == (0, 0)
    assert list(audit.findings()) == []


def test_crossed_materials_do_not_lock_each_other_out(shared_database: None) -> None:
    alum, salt = material("ALUMK", on_hand=1), material("SALT", on_hand=1)
    there = [ledger.Draw(alum, D(10)), ledger.Draw(salt, D(10))]
    answers = together(
        *[lambda: ledger.issue(kind=Kind.USE, on=DAY, draws=there)] * 4,
        *[lambda: ledger.issue(kind=Kind.USE, on=DAY, draws=there[::-1])] * 4,
    )
    assert all(isinstance(answer, Posting) for answer in answers)


def test_two_hands_take_one_entry_back_once(shared_database: None) -> None:
    alum = material(on_hand=1, value=4)
    posting = take(alum, "0.3", DAY + timedelta(days=1))
    answers = together(*[lambda: ledger.reverse(posting=posting, reason="x")] * 3)
    assert sorted(type(answer).__name__ for answer in answers) == ["Posting", "Refused", "Refused"]
    alum.refresh_from_db()
    assert (alum.on_hand, alum.value) == (D(1000), D(4))
