"""Saving never overwrites, marks what a spreadsheet would run, and says where the files are."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from django.conf import settings

from costing.models import Batch
from inventory.base.spreadsheets import formula_start
from inventory.errors import Refused
from inventory.models import Skin
from tests.workshop.transfer import folders
from workshop.transfer.format.columns import FILES
from workshop.transfer.format.rows import read_folder
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = [pytest.mark.django_db, pytest.mark.thorough]


@pytest.fixture
def loaded(tmp_path: Path) -> None:
    load(folders.write(tmp_path / "small"))


def test_files_have_every_column_in_order_and_end_their_lines_with_lf(loaded: None, tmp_path: Path) -> None:
    save(tmp_path / "out")
    for path in (tmp_path / "out").glob("*.csv"):
        data = path.read_bytes()
        assert b"\r" not in data
        assert data.endswith(b"\n")
        assert data.split(b"\n")[0].decode() == ",".join(column.name for column in FILES[path.name].columns)


def test_what_is_saved_can_be_read(loaded: None, tmp_path: Path) -> None:
    save(tmp_path / "out")
    assert not [problem for file in read_folder(tmp_path / "out").values() for problem in file.problems]


def test_money_is_written_to_the_coin_of_the_currency(loaded: None, tmp_path: Path) -> None:
    save(tmp_path / "out")
    assert "P-1,Utuharju Chemicals,9.90,SALT,2,25,kg,11.50," in (tmp_path / "out" / "deliveries.csv").read_text()


def test_a_count_is_written_as_what_was_counted_on_its_day(loaded: None, tmp_path: Path) -> None:
    save(tmp_path / "out")
    assert "2025-02-20,SALT,52,kg,caked," in (tmp_path / "out" / "counts.csv").read_text()


def test_a_folder_that_holds_anything_is_refused_and_stays_as_it_was(loaded: None, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    with pytest.raises(Refused, match="not empty"):
        save(tmp_path / "out")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mine.txt"]


def test_a_file_and_a_folder_in_no_folder_are_refused(loaded: None, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(Refused, match="is a file"):
        save(tmp_path / "file")
    with pytest.raises(Refused, match="Make it first"):
        save(tmp_path / "no" / "where")


def test_a_disk_that_will_not_take_it_is_refused_in_words(
    loaded: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Path, *_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(Refused, match="No space left on device"):
        save(tmp_path / "out")


@pytest.mark.parametrize(
    "text",
    ["=HYPERLINK(1)", "+358 40 123 4567", "- from a friend", "@home", "|x", "＝1+1", "'=1", "''+1", "'tis", "+5"],
)
def test_a_text_that_a_spreadsheet_would_run_is_marked_and_read_back_exactly(
    loaded: None, tmp_path: Path, text: str
) -> None:
    Skin.objects.filter(tag="H01").update(source=text)
    save(tmp_path / "out")
    rows = csv.reader((tmp_path / "out" / "skins.csv").read_text("utf-8").splitlines())
    assert not [cell for row in rows for cell in row if formula_start(cell)]
    (row,) = (row for row in read_folder(tmp_path / "out")["skins.csv"].rows if row["tag"] == "H01")
    assert row["source"] == text


def test_a_new_workshop_saves_its_settings_only(tmp_path: Path) -> None:
    assert list(save(tmp_path / "out").rows) == ["workshop.csv"]
    load(tmp_path / "out")
    assert not Batch.objects.exists()


def test_the_queries_do_not_grow_with_the_rows(
    loaded: None, tmp_path: Path, django_assert_max_num_queries: type
) -> None:
    with django_assert_max_num_queries(89):
        save(tmp_path / "out")


def test_the_demo_folder_is_plain_and_in_order() -> None:
    files = read_folder(settings.BASE_DIR / "fixtures" / "demo")
    assert not [problem for file in files.values() for problem in file.problems]
