"""`manage.py load` and `save`: exit 0 and a count, or exit 1 and every reason on stderr."""

from __future__ import annotations

import io
import json
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from PIL import Image
from pytest_django import Settings

from costing.make.labour.sessions import services as sessions
from costing.make.readings import services as readings
from inventory.base.accounting import services as workshop
from inventory.models import Material
from inventory.skins import services as skins
from tests.workshop.transfer import folders

pytestmark = pytest.mark.django_db


def run(*words: object) -> str:
    out = io.StringIO()
    call_command(*map(str, words), stdout=out)
    return out.getvalue()


def test_load_says_what_was_written(tmp_path: Path) -> None:
    said = run("load", folders.write(tmp_path / "small"))
    assert "     4 skins\n" in said
    assert said.endswith("Loaded.\n")
    assert Material.objects.count() == 4


def test_a_dry_run_says_so_and_answers_as_json(tmp_path: Path) -> None:
    folder = folders.write(tmp_path / "small")
    assert "Nothing was written" in run("load", folder, "--dry-run")
    answer = json.loads(run("load", folder, "--dry-run", "--json"))
    assert answer["dry_run"] is True
    assert answer["written"]["articles"] == 4
    assert not Material.objects.exists()


@pytest.mark.thorough
def test_a_refused_folder_names_each_row_and_writes_nothing(tmp_path: Path) -> None:
    folder = folders.write(tmp_path / "small")
    folders.change(folder, "uses.csv", 2, "quantity", "0,72")
    with pytest.raises(CommandError) as refusal:
        run("load", folder)
    assert str(refusal.value).startswith("uses.csv row 2, quantity “0,72”: It has a decimal comma. Use a point")
    assert refusal.value.returncode == 1
    assert not Material.objects.exists()


@pytest.mark.thorough
def test_save_says_where_and_what_is_left_out(tmp_path: Path) -> None:
    run("load", folders.write(tmp_path / "small"))
    said = run("save", tmp_path / "out")
    assert f"Saved in {tmp_path / 'out'}." in said
    assert "left out" not in said
    with pytest.raises(CommandError, match="not empty"):
        run("save", tmp_path / "out")
    answer = json.loads(run("save", tmp_path / "again", "--json"))
    assert answer["rows"]["skins.csv"] == 4
    assert answer["taken_back"] == answer["running"] == answer["photos"] == 0


@pytest.mark.thorough
def test_save_says_which_timers_still_run_and_where_the_photos_are(tmp_path: Path, settings: Settings) -> None:
    settings.DATA_DIR = tmp_path / "data"
    run("load", folders.write(tmp_path / "small"))
    workshop.close_books(to=None, reason="one bill more")
    skins.take_in(tag="H09", details=skins.Details("sheep", date(2025, 1, 11)))
    sessions.start(tags=["H09"], task="flesh", request_key="runs")
    picture = BytesIO()
    Image.new("L", (4, 4)).save(picture, "PNG")
    readings.note(tags=["H09"], photo=picture.getvalue())
    said = run("save", tmp_path / "out")
    assert "Timers that still run, and are not saved: 1." in said
    assert "     1 photos in photos/" in said
