"""A worker of the web loads what is heavy only when somebody asks for it."""

from __future__ import annotations

import gc
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings
from django.dispatch import Signal
from django.utils.module_loading import import_string

from costing.apps import ANSWERS

# A forecast draws on numpy, and pint tells a measure (it brings Babel); the rest is for papers, files, spreadsheets and passkeys.
OF_A_PAGE = ("numpy", "pint", "babel")
HEAVY = (
    *("pandas", "scipy", "reportlab", "fontTools", "openpyxl", "PIL", "icalendar", "segno", "lxml"),
    *("webauthn", "cryptography", "cbor2"),
)
FIRST_TODAY = """
import sys
from workshop.wsgi import application
from django.contrib.auth import get_user_model
from django.test import Client
client = Client(headers={"host": "localhost"})
client.force_login(get_user_model().objects.get(username="owner"))
said = client.get("/").content.decode()
assert "Potash alum" in said, said
print(*sys.modules)
"""


def loaded(code: str, **more: str) -> list[str]:
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"} | more
    run = [sys.executable, "-c", code]
    return subprocess.run(
        run, capture_output=True, text=True, check=True, cwd=settings.BASE_DIR, env=env
    ).stdout.split()


def test_the_start_of_a_worker_loads_nothing_heavy() -> None:
    found = loaded("import sys, workshop.wsgi; print(*sys.modules)")
    assert "workshop.settings" in found
    assert [name for name in (*HEAVY, *OF_A_PAGE) if name in found] == []


def test_the_start_of_a_worker_loads_tables_and_leaves_pages_and_entries_for_later() -> None:
    found = loaded("import sys, workshop.wsgi; print(*sys.modules)")
    assert "costing.models" in found
    late = (".views", ".forms", ".tables", ".urls", ".selectors")
    assert [name for name in found if name.startswith("costing.") and name.endswith(late)] == []
    # Only the chain hears every saving.
    assert [name for name in found if name.endswith(".services") and name.startswith(("costing.", "inventory."))] == [
        "inventory.base.chain.services"
    ]


def test_the_pages_of_areas_are_loaded_without_what_measures_a_photo() -> None:
    found = loaded("import sys, workshop.wsgi, workshop.urls; print(*sys.modules)")
    assert "costing.make.readings.areas.views" in found
    measuring = ("photo", "rules", "edges", "camera", "plane")
    assert [name for name in measuring if f"costing.make.readings.areas.{name}" in found] == []


@pytest.mark.slow
@pytest.mark.django_db  # the year is copied out of the tests' database
def test_the_first_today_of_a_worker_draws_no_paper_and_loads_no_library_of_them(
    kept_year: sqlite3.Connection | None, tmp_path: Path
) -> None:
    if kept_year is None:
        pytest.skip("what a page loads is the same on any database, and this one is not copied in a moment")
    with closing(sqlite3.connect(tmp_path / "workshop.sqlite3")) as file:
        kept_year.backup(file)
    found = loaded(FIRST_TODAY, TAWERY_DATA=str(tmp_path))
    assert "inventory.foresight.simulation" in found
    assert [name for name in HEAVY if name in found] == []


def test_a_worker_counts_its_litter_again_once_it_has_started() -> None:
    said = loaded("import gc, workshop.wsgi; print(gc.isenabled(), gc.get_freeze_count() > 100_000)")
    assert said == ["True", "True"]
    assert gc.isenabled()


@pytest.mark.parametrize(("signal", "by", "why"), ANSWERS, ids=[by for _, by, _ in ANSWERS])
def test_who_answers_is_there_and_listens(signal: Signal, by: str, why: str) -> None:
    assert callable(import_string(by))
    assert why in {key for (key, _), *_ in signal.receivers}
