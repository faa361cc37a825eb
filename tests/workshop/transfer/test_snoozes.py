"""What is set aside comes back from a folder; what was ended stays behind and is counted; a bad row is named."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from inventory.foresight.snoozes import services as snoozes
from inventory.models import Snooze
from tests import factories as make
from tests.factories import DAY
from tests.workshop.transfer import folders
from tests.workshop.transfer.test_round_trip import passing
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db


def test_what_is_set_aside_comes_back_and_what_was_ended_does_not(tmp_path: Path) -> None:
    with passing():
        first, second = make.material("A"), make.material("B")
        snoozes.snooze(material=first, until=DAY + timedelta(days=9), reason="=cheaper in April", on=DAY)
        snoozes.wake(snooze=snoozes.snooze(material=second, until=DAY + timedelta(days=9), reason="x", on=DAY))
        saved = save(tmp_path / "one")
        assert (saved.rows["snoozes.csv"], saved.taken_back) == (1, 1)
    with passing():
        load(tmp_path / "one")
        (row,) = Snooze.objects.all()
        assert (row.material.code, row.on, row.until, row.reason) == (
            "A",
            DAY,
            DAY + timedelta(days=9),
            "=cheaper in April",
        )
        save(tmp_path / "two")
    assert (tmp_path / "one" / "snoozes.csv").read_bytes() == (tmp_path / "two" / "snoozes.csv").read_bytes()


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("column", "cell", "says"),
    [
        ("until", "2025-12-30", "is not after"),
        ("until", "", "missing"),
        ("reason", "", "missing"),
        ("material", "WAX", "materials.csv has no WAX"),
        ("date", "soon", "not a date"),
    ],
)
def test_a_bad_row_is_named_by_its_place(tmp_path: Path, column: str, cell: str, says: str) -> None:
    folder = folders.write(tmp_path, folders.BOUGHT)
    folders.change(folder, "snoozes.csv", 2, column, cell)
    with pytest.raises(FolderRefused) as refused:
        load(folder)
    found = [each for each in refused.value.problems if each.file == "snoozes.csv"]
    assert any(says in each.reason for each in found), [each.reason for each in refused.value.problems]
    assert {(each.row, each.column) for each in found} == {(2, column)}
