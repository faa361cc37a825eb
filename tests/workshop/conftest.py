"""What the roof's tests share: the demonstration year, loaded once for a module and taken back after it, and its papers' type."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.test import Client
from pytest_django import DjangoDbBlocker

from inventory.services import people
from workshop import exchange
from workshop.papers import fonts

DEMO = settings.BASE_DIR / "fixtures" / "demo"


@pytest.fixture(scope="session")
def type_is_cut() -> None:
    """The first cut of the type takes seconds; no single test should be charged for it."""
    fonts.register()


@pytest.fixture(scope="module")
def demo_year(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The demo year stands in one outer transaction; each test's own is a savepoint in it, so that no test sees another's."""
    with django_db_blocker.unblock(), transaction.atomic():
        exchange.load(DEMO)
        people.owner()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def demo(demo_year: None, db: None) -> None:
    """The demonstration year, free to be written over."""


@pytest.fixture
def owner(demo: None) -> User:
    return people.owner()


@pytest.fixture
def client(client: Client, owner: User) -> Client:
    """The browser of the owner of the demonstration."""
    client.force_login(owner)
    return client
