"""What the roof's tests share: the demonstration year under a module's tests, and its papers' type."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from django.conf import settings as settings_now
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from pytest_django import DjangoDbBlocker, Settings

from inventory.people import services as people
from tests.conftest import in_year
from tests.inventory.pages import signed_in
from workshop.documents.type import fonts
from workshop.transfer.copies import databases


@pytest.fixture(scope="session")
def type_is_cut() -> None:
    """The first cut of the type takes seconds; no single test should be charged for it."""
    fonts.register()
    fonts.headline("A")


@pytest.fixture(scope="module")
def demo_year(kept_year: sqlite3.Connection | None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The demo year stands under the module's tests; each has a transaction of its own, so that no test sees another's."""
    with django_db_blocker.unblock(), in_year(kept_year):
        yield


@pytest.fixture
def demo(demo_year: None, db: None) -> None:
    """The demonstration year, free to be written over."""


@pytest.fixture
def owner(demo: None) -> User:
    return people.owner()


@pytest.fixture
def aside(tmp_path: Path, settings: Settings) -> None:
    """Photos and bills that a request leaves lie in a folder of the test's own."""
    settings.DATA_DIR = tmp_path


@pytest.fixture
def client(owner: User) -> Client:
    """The browser of the owner of the demonstration."""
    return signed_in(owner)


def copied_from_memory(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """The tests' SQLite database lives in memory, in a transaction: a copy is taken from it as from the file that it would be."""
    own = databases.source

    @contextmanager
    def source() -> Iterator[sqlite3.Connection]:
        if databases.file() is not None:
            with own() as opened:
                yield opened
            return
        file = folder / "as-a-file.sqlite3"
        file.write_bytes(connection.connection.serialize())
        with closing(sqlite3.connect(file)) as opened:
            yield opened
        file.unlink()

    monkeypatch.setattr(databases, "source", source)


@pytest.fixture
def data(tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch, type_is_cut: None) -> Path:
    """A data folder that is not there yet; what opening changes in this process is put back."""
    folder = tmp_path / "data"
    settings.DATA_DIR = folder
    settings.COPIES_DIR = None
    settings.SECRET_FILE = folder / "secret.key"
    settings.SECRET_KEY = settings_now.SECRET_KEY
    settings.ALLOWED_HOSTS = [*settings_now.ALLOWED_HOSTS]
    monkeypatch.setenv("TAWERY_DATA", str(folder))
    mask = os.umask(0o022)
    os.umask(mask)
    monkeypatch.setattr(os, "umask", lambda _: mask)
    copied_from_memory(monkeypatch, tmp_path)
    return folder
