from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser, User

from costing.make.cost.rates import services as rates
from costing.make.finishing import services as articles
from costing.sell.pricing.channels import services as channels
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.ledger import services as ledger
from inventory.materials import services as materials
from inventory.models import Kind
from inventory.people import services as people
from inventory.permits import ROLES, Act, may, require
from inventory.skins import services as skin_services
from tests.factories import DAY, finish, material, owner, person, piece, skin, take

pytestmark = pytest.mark.django_db

# Who may do what, written out: the owner everything, the helper the shed, the bookkeeper the papers.
MATRIX = {
    "owner": {Act.SHED, Act.GOODS, Act.PRICES, Act.BOOKS, Act.SETUP, Act.MONEY},
    "helper": {Act.SHED, Act.GOODS},
    "bookkeeper": {Act.GOODS, Act.BOOKS, Act.MONEY},
}


@pytest.mark.parametrize("role", ROLES)
def test_a_role_may_do_what_the_matrix_says_and_nothing_else(role: str) -> None:
    somebody = person(role)
    assert {act for act in Act if may(somebody, act)} == MATRIX[role]


def test_a_superuser_is_an_owner_and_the_command_line_is_one_too() -> None:
    assert all(may(owner(), act) and may(None, act) for act in Act)


def test_strangers_and_people_without_a_role_may_do_nothing() -> None:
    nobody = User.objects.create_user("nobody")
    assert not any(may(nobody, act) or may(AnonymousUser(), act) for act in Act)


def test_a_refusal_says_what_and_whom_to_ask() -> None:
    with pytest.raises(NotAllowed, match=rf"may not {Act.BOOKS.value}\. Ask the owner"):
        require(person("helper"), Act.BOOKS)
    assert Act.BOOKS.value == "write money or close the books"


def test_the_writer_is_written_into_the_record() -> None:
    helper = person("helper")
    posting = ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(material(on_hand=1), Decimal(1))], by=helper)
    assert posting.written_by == helper
    assert take(material("SALT", on_hand=1), 1).written_by is None


Entry = Callable[[User], Any]

ENTRIES: dict[str, tuple[set[str], Entry]] = {
    "count": (
        {"owner", "helper", "bookkeeper"},
        lambda by: ledger.count(on=DAY, material=material(), counted=Decimal(1), by=by),
    ),
    "new material": (
        {"owner", "helper", "bookkeeper"},
        lambda by: materials.create(code="X", details=materials.Details("X", "kg"), by=by),
    ),
    "new skin": (
        {"owner", "helper"},
        lambda by: skin_services.take_in(tag="H1", details=skin_services.Details("Sheep", DAY), by=by),
    ),
    "take back a use": (
        {"owner", "helper"},
        lambda by: ledger.reverse(posting=take(material(on_hand=1), 1), reason="x", by=by),
    ),
    "close the books": ({"owner", "bookkeeper"}, lambda by: workshop.close_books(to=DAY, by=by)),
    "cost flow": ({"owner"}, lambda by: workshop.set_up(cost_flow="fifo", by=by)),
    "rates": ({"owner"}, lambda by: rates.set_rates(wage_per_hour=Decimal(16), by=by)),
    "channel": ({"owner"}, lambda by: channels.save(name="Fair", fee_percent=Decimal(0), fixed_cost=Decimal(0), by=by)),
    "add a person": ({"owner"}, lambda by: people.add(name="anna", role="helper", by=by)),
}


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", ENTRIES)
def test_services_ask_for_the_role(name: str, role: str) -> None:
    allowed, entry = ENTRIES[name]
    somebody = person(role)
    if role in allowed:
        entry(somebody)
        return
    with pytest.raises(NotAllowed):
        entry(somebody)


def test_only_the_owner_finishes_pieces() -> None:
    skin()
    with pytest.raises(NotAllowed):
        articles.finish(on=DAY, tags=["H01"], pieces=[piece("A1")], by=person("helper"))
    assert finish("H01")


def test_the_last_owner_stays_owner() -> None:
    first = people.add(name="anna", role="owner")
    with pytest.raises(Refused, match="the only owner"):
        people.change_role(person=first, role="helper")
    people.add(name="bo", role="owner")
    people.change_role(person=first, role="helper")
    assert not may(first, Act.SETUP)
