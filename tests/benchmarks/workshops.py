"""Several workshops beside each other in one process, each in an SQLite file of its own with a connection that stays open."""

from __future__ import annotations

import csv
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connections
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.people import services as people
from tests.benchmarks import years
from tests.benchmarks.table import Case
from workshop import transfer
from workshop.transfer import saving

ROW = 0.0015  # seconds


@dataclass(frozen=True)
class Workshop:
    """`rows` of a folder were loaded in so many `seconds` of the processor."""

    connection: Any
    browser: Client
    rows: int
    seconds: float

    @contextmanager
    def here(self) -> Iterator[None]:
        """What is read and written is this workshop's."""
        before = connections[DEFAULT_DB_ALIAS]
        connections[DEFAULT_DB_ALIAS] = self.connection
        try:
            yield
        finally:
            connections[DEFAULT_DB_ALIAS] = before

    def get(self, path: str) -> tuple[HttpResponse, float]:
        """The answer, and the processor's seconds: other work on this machine does not count."""
        with self.here():
            start = time.process_time()
            answer = self.browser.get(path)
            answer.content if not answer.streaming else b"".join(answer.streaming_content)  # type: ignore[attr-defined]
            return answer, time.process_time() - start

    def asked(self, path: str) -> int:
        """How many statements the page sends."""
        with self.here(), CaptureQueriesContext(self.connection) as sent:
            self.browser.get(path)
        return len(sent)


def loading(of: Workshop) -> Case:
    return Case("load a whole mixed folder, a row", of.seconds / of.rows, ROW, "1.5 ms of the processor", 1.0)


def loaded(file: Path, empty: Path, folder: Path) -> Workshop:
    """A copy of the `empty` database with the folder loaded, opened by its owner."""
    shutil.copyfile(empty, file)
    connection = connections.create_connection(DEFAULT_DB_ALIAS)
    connection.settings_dict = connection.settings_dict | {"NAME": str(file)}
    found = Workshop(connection, Client(headers={"host": "localhost"}), rows_of(folder), 0.0)
    with found.here():
        start = time.process_time()
        transfer.load(folder)
        found = replace(found, seconds=time.process_time() - start)
        found.browser.force_login(people.owner(), backend="django.contrib.auth.backends.ModelBackend")
    return found


def rows_of(folder: Path) -> int:
    """How many rows all files of a folder have below their heads."""
    texts = [file.read_text("utf-8") for file in folder.glob("*.csv")]
    return sum(len(list(csv.reader(text.splitlines(keepends=True)))) - 1 for text in texts)


def of_years(folder: Path, empty: Path, *, length: int, copies: int) -> tuple[Workshop, Workshop]:
    """A workshop of so many years, each of so many copies of the demonstration's, and one of one such year."""
    demo = loaded(folder / "demo.sqlite3", empty, settings.BASE_DIR / "fixtures" / "demo")
    with demo.here():
        saving.save(folder / "saved")

    def of(number: int) -> Workshop:
        name = f"{number}x{copies}"
        years.build(folder / "saved", folder / name, years=number, copies=copies)
        return loaded(folder / f"{name}.sqlite3", empty, folder / name)

    return of(length), demo if copies == 1 else of(1)
