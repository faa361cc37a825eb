"""A row deleted by hand cannot be saved, and is not made up: `save` says what is missing and writes nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection

from inventory.deliveries.corrections import services as corrections
from inventory.errors import Refused
from inventory.models import CorrectedLine, Delivery, DeliveryLine
from tests import factories as make
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db


def delivery_gone() -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM inventory_deliveryline")
        cursor.execute("DELETE FROM inventory_delivery")


def line_gone() -> None:
    DeliveryLine.objects.latest("pk").delete()


def correction_gone() -> None:
    corrections.correct(delivery=Delivery.objects.get(), on=make.DAY, reason="never came")
    CorrectedLine.objects.all().delete()


@pytest.mark.parametrize("spoil", [delivery_gone, line_gone, correction_gone])
def test_what_lost_a_row_is_named(spoil: Callable[[], object], tmp_path: Path) -> None:
    make.delivery(make.line(make.material("SALT")), make.line(make.material("ALUM")), ref="P-1")
    spoil()
    with pytest.raises(
        Refused, match=r"The delivery of 2025-03-04 \(posting \d+\) is not whole: a row of it was deleted"
    ):
        save(tmp_path / "out")
    assert list(tmp_path.iterdir()) == []
