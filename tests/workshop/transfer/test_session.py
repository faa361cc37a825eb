"""What a load remembers while it writes."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.errors import Refused
from inventory.models import Supplier
from tests.workshop.transfer import folders
from workshop.transfer.format.rows import read_folder
from workshop.transfer.format.session import ImportSession


@pytest.mark.django_db
def test_a_supplier_is_kept_until_a_row_is_undone(tmp_path: Path) -> None:
    session = ImportSession(read_folder(folders.write(tmp_path / "small")))
    first, second, *_ = session.rows("skins.csv")
    with session.writing(first):
        session.named(first, "supplier")
        raise Refused("The row is wrong.")
    assert not Supplier.objects.filter(name="Farm").exists()
    with session.writing(second):
        made = session.named(second, "supplier")
    assert Supplier.objects.get(name="Farm") == made
    with CaptureQueriesContext(connection) as asked:
        assert session.named(first, "supplier") == made
    assert not asked.captured_queries
