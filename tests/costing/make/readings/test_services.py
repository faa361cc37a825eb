"""Readings and notes: what can be, of whom, and taking one back."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image
from pytest_django import Settings

from costing.make.losses import services as losses
from costing.make.readings import services as photos, services as readings
from costing.models import Batch, Reading
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.models import Skin
from tests import factories
from tests.at_once import together
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def bath(settings: Settings, tmp_path: Path) -> Batch:
    settings.DATA_DIR = tmp_path
    factories.skin("H01")
    factories.skin("H02")
    return factories.batch("B1", tags=["H01"])


def photo() -> bytes:
    out = BytesIO()
    Image.new("RGB", (8, 6), "brown").save(out, "JPEG")
    return out.getvalue()


def test_a_reading_of_a_batch_is_kept_with_moment_and_hand(bath: Batch) -> None:
    anna = factories.owner("anna")
    made = readings.note(batch=bath, ph=D("4.2"), celsius=D("12.5"), note="clear", by=anna)
    made.refresh_from_db()
    assert (made.batch, made.skin, made.ph, made.celsius, made.weight) == (bath, None, D("4.2"), D("12.5"), None)
    assert (made.note, made.photo, made.written_by) == ("clear", "", anna)
    assert timezone.now() - made.at < timedelta(minutes=1)


def test_a_weight_is_of_one_skin() -> None:
    assert readings.note(tags=["H01"], weight=D(2150)).weight == 2150
    with pytest.raises(Refused, match="Weigh each by itself") as refusal:
        readings.note(tags=["H01", "H02"], weight=D(2150))
    assert refusal.value.field == "weight"


def test_a_note_of_several_skins_stands_on_each_once() -> None:
    readings.note(tags=["H01", "H02", "H01"], note="hair tight")
    assert [row.skin.tag for row in Reading.objects.order_by("pk") if row.skin] == ["H01", "H02"]


def test_a_photo_is_kept_in_the_store_and_named_on_the_row() -> None:
    made = readings.note(tags=["H01"], photo=photo())
    assert photos.path(made.photo).is_file()


def test_a_refused_reading_keeps_no_photo() -> None:
    with pytest.raises(Refused, match="A pH of 19 cannot be"):
        readings.note(tags=["H01"], ph=D(19), photo=photo())
    assert not photos.folder().exists()


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"ph": D(19)}, "ph", "A pH of 19 cannot be: it lies between 0 and 14"),
        ({"ph": D("-0.1")}, "ph", "between 0 and 14"),
        ({"ph": D("NaN")}, "ph", "between 0 and 14"),
        ({"ph": D("4.2345")}, "ph", "decimals"),
        ({"celsius": D(95)}, "celsius", "between −20 °C and 80 °C"),
        ({"celsius": D("-21")}, "celsius", "between −20 °C and 80 °C"),
        ({"weight": D(0)}, "weight", "above 0"),
        ({"weight": D(-5)}, "weight", "above 0"),
        ({"weight": D("1.0005")}, "weight", "decimals"),
        ({"weight": D("1e13")}, "weight", "larger than any workshop"),
        ({"note": "a\x07"}, "note", "control character"),
        ({"note": "x" * 501}, "note", "longer than 500"),
        ({"photo": b"turned twice"}, "photo", "no photo"),
        ({}, None, "Nothing is noted"),
        ({"note": "  "}, None, "Nothing is noted"),
        ({"ph": D(4), "tags": []}, "skins", "which batch or skin"),
        ({"ph": D(4), "tags": ["H99"]}, "skins", "No skin has the tag H99"),
        ({"ph": D(4), "at": datetime(2999, 1, 1, tzinfo=UTC)}, "at", "has not come yet"),
        ({"ph": D(4), "at": datetime(1960, 1, 1, tzinfo=UTC)}, "at", "Check the year"),
        ({"ph": D(4), "at": datetime(2025, 3, 3, 12, tzinfo=UTC)}, "at", "came in on 2025-03-04"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field_and_nothing_is_written(
    given: dict[str, Any], field: str | None, said: str
) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        readings.note(**{"tags": ["H01"], **given})
    assert refusal.value.field == field
    assert not Reading.objects.exists()


@pytest.mark.parametrize("ph", ["0", "14", "7.25"])
def test_the_ends_of_what_can_be_are_taken(ph: str) -> None:
    assert readings.note(tags=["H01"], ph=D(ph)).ph == D(ph)


def test_a_reading_may_be_written_long_after_it_was_made() -> None:
    when = datetime(2025, 3, 9, 8, 30, tzinfo=UTC)
    assert readings.note(tags=["H01"], weight=D(900), at=when).at == when


def test_a_clock_a_little_ahead_counts_as_now() -> None:
    made = readings.note(tags=["H01"], ph=D(4), at=timezone.now() + timedelta(minutes=3))
    assert made.at <= timezone.now()


def test_closed_books_do_not_hinder_a_reading() -> None:
    workshop.close_books(to=timezone.localdate())
    assert readings.note(tags=["H01"], ph=D(4)).pk


def test_a_skin_of_another_batch_is_not_read_in_this_one(bath: Batch) -> None:
    with pytest.raises(Refused, match=r"H02 was never in B1") as refusal:
        readings.note(batch=bath, tags=["H02"], ph=D(4))
    assert refusal.value.field == "skins"
    assert readings.note(batch=bath, tags=["H01"], ph=D(4)).batch == bath


def test_a_lost_skin_may_still_be_noted_of() -> None:
    skin = Skin.objects.get(tag="H02")
    losses.lose(skin=skin, on=DAY, reason="slipped")
    assert readings.note(tags=["H02"], note="slipped along the back").skin == skin


def test_the_same_key_notes_once() -> None:
    first = readings.note(tags=["H01", "H02"], note="x", request_key="k")
    assert readings.note(tags=["H01", "H02"], note="x", request_key="k") == first
    assert Reading.objects.count() == 2


def test_the_same_key_from_two_senders_at_once_notes_once(shared_database: None) -> None:
    answers = together(*[lambda: readings.note(tags=["H01"], ph=D(4), request_key="k")] * 3)
    assert [each.pk for each in answers] == [Reading.objects.get().pk] * 3


def test_a_reading_taken_back_stays_on_its_row_with_hand_and_moment() -> None:
    anna = factories.owner("anna")
    made = readings.note(tags=["H01"], ph=D(4))
    readings.reverse(reading=made, by=anna, request_key="k")
    readings.reverse(reading=made, by=anna, request_key="k")
    made.refresh_from_db()
    assert (made.ph, made.reverser) == (D(4), anna)
    with pytest.raises(Refused, match="reversed already"):
        readings.reverse(reading=made, by=anna)


def test_only_those_who_work_in_the_shed_note_and_take_back() -> None:
    keeper = factories.person("bookkeeper")
    made = readings.note(tags=["H01"], ph=D(4))
    with pytest.raises(NotAllowed):
        readings.note(tags=["H01"], ph=D(4), by=keeper)
    with pytest.raises(NotAllowed):
        readings.reverse(reading=made, by=keeper)


def test_the_day_a_skin_came_is_soon_enough() -> None:
    day = date(2025, 3, 4)
    noon = datetime.combine(day, datetime.min.time(), tzinfo=timezone.get_current_timezone()).replace(hour=12)
    assert readings.note(tags=["H01"], weight=D(4600), at=noon).pk
