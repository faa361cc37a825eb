"""What a load judges together is written as row by row: the same folder comes out of both."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from costing.make.labour import services as labour
from costing.make.steps.marks import services as marks
from costing.models import LabourLine, StepMark
from inventory.errors import Refused
from tests.workshop.transfer import folders
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db


def refuse(**_: Any) -> None:
    raise Refused("not together")


@pytest.mark.thorough
def test_row_by_row_gives_the_same_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = folders.write(tmp_path / "small")
    found = []
    for name in ("together", "row by row"):
        with transaction.atomic():
            counted = load(folder).written
            save(tmp_path / name)
            assert StepMark.objects.exists()
            assert LabourLine.objects.exists()
            transaction.set_rollback(True)
        # closings.csv has the moment at which this load closed the books.
        files = {path.name: path.read_bytes() for path in (tmp_path / name).glob("*.csv") if path.stem != "closings"}
        found.append((counted, files))
        monkeypatch.setattr(marks, "log_told", refuse)
        monkeypatch.setattr(labour, "log_told", refuse)
    assert found[0] == found[1]
