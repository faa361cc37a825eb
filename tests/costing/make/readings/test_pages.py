"""Pages of readings: one form for what was measured and seen, photos served with care, taking back."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pytest_django import Settings

from costing.make.batches.stays import services as stays
from costing.make.readings import services as photos, services as readings
from costing.models import Batch, Reading
from inventory.base import pictures
from inventory.models import Skin
from tests import factories
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
SKIN = ("reading_new_skin", "H01")
BATCH = ("reading_new_batch", "B1")


@pytest.fixture(autouse=True)
def _skin(settings: Settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    factories.skin("H01")
    factories.batch("B1", tags=["H01"])


def send(client: Client, page: tuple[str, str] = SKIN, **more: Any) -> Any:
    return client.post(reverse(page[0], args=[page[1]]), {"request_key": "k", **more})


def photo(name: str = "photo.jpg", content: bytes = b"") -> SimpleUploadedFile:
    if not content:
        out = BytesIO()
        Image.new("RGB", (8, 6), "brown").save(out, "JPEG")
        content = out.getvalue()
    return SimpleUploadedFile(name, content, "image/jpeg")


def test_pages_open_for_the_owner(client: Client) -> None:
    made = readings.note(tags=["H01"], photo=photo().read())
    for address in (
        reverse("reading_new_skin", args=["H01"]),
        reverse("reading_new_batch", args=["B1"]),
        reverse("reading_reverse", args=[made.pk]),
        reverse("photo", args=[made.photo]),
    ):
        assert client.get(address).status_code == 200
    assert client.get(reverse("reading_new_skin", args=["H99"])).status_code == 404
    assert client.get(reverse("reading_new_batch", args=["B99"])).status_code == 404


def test_a_skin_is_weighed_in_the_makers_unit_and_noted_once_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        answer = send(client, weight="2,15", weight_unit="kg", ph="4,2", celsius="-3", note="hair tight")
        assert answer["location"] == reverse("skin", args=["H01"])
    made = Reading.objects.get()
    assert (made.weight, made.ph, made.celsius, made.note) == (D(2150), D("4.2"), D(-3), "hair tight")
    assert (made.skin and made.skin.tag, made.batch, made.written_by) == ("H01", None, factories.owner())


def test_the_weight_of_a_skin_is_asked_first_and_the_photo_may_come_from_the_album(client: Client) -> None:
    page = text(client.get(reverse("reading_new_skin", args=["H01"])))
    assert page.index('name="weight"') < page.index('name="ph"')
    assert "capture=" not in page


def test_pounds_become_grams(client: Client) -> None:
    send(client, weight="2", weight_unit="lb")
    assert Reading.objects.get().weight == D("907.185")


def test_a_bath_is_read_on_the_batchs_page_and_not_weighed(client: Client) -> None:
    answer = send(client, BATCH, ph="3,8", celsius="12")
    assert answer["location"] == reverse("batch", args=["B1"])
    page = text(client.get(reverse("batch", args=["B1"])))
    assert "pH 3.8 12 °C" in page
    assert "Weighed in" not in text(client.get(reverse("reading_new_batch", args=["B1"])))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"ph": "19"}, "ph", "A pH of 19 cannot be"),
        ({"ph": "sour"}, "ph", "is not a figure"),
        ({"celsius": "300"}, "celsius", "between −20 °C and 80"),
        ({"weight": "0"}, "weight", "above 0"),
        ({"weight": "-1"}, "weight", "above 0"),
        ({"weight": "2", "weight_unit": "stone"}, "weight_unit", "not one of the available"),
        ({"note": "a\x07"}, "note", "control character"),
        ({"note": "x" * 501}, "note", "at most 500"),
        ({"ph": "4", "at": "2999-01-01T10:00"}, "at", "has not come yet"),
        ({"ph": "4", "at": "2025-01-01T10:00"}, "at", "came in on"),
        ({"ph": "4", "at": "soon"}, "at", "valid date"),
        ({}, "__all__", "Nothing is noted"),
    ],
)
def test_a_wrong_reading_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, Any], field: str, said: str
) -> None:
    answer = send(client, **wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not Reading.objects.exists()


def test_the_time_is_now_unless_one_is_entered_or_the_tap_waited(client: Client) -> None:
    send(client, ph="4", request_key="a")
    send(client, ph="4", request_key="b", at="2025-03-10T08:30")
    tapped = timezone.now() - timedelta(hours=3)
    kept = client.post(
        reverse("reading_new_skin", args=["H01"]),
        {"ph": "4", "request_key": "c", "tap": tapped.isoformat()},
        headers={"x-kept": "1"},
    )
    assert kept.json()["state"] == "written"
    first, second, third = Reading.objects.order_by("pk")
    assert timezone.now() - first.at < timedelta(minutes=1)
    assert second.at == datetime(2025, 3, 10, 8, 30, tzinfo=UTC)
    assert third.at == tapped


def test_a_photo_is_kept_shown_and_served_to_those_signed_in_alone(client: Client) -> None:
    send(client, photo=photo(), note="after the bath")
    made = Reading.objects.get()
    page = text(client.get(reverse("skin", args=["H01"])))
    address = reverse("photo", args=[made.photo])
    assert f'<img class="photo" src="{address}" alt="Photo of H01,' in page
    answer = client.get(address)
    assert (answer["content-type"], answer["x-content-type-options"]) == ("image/jpeg", "nosniff")
    assert "private" in answer["cache-control"]
    assert "public" not in answer["cache-control"]
    assert Image.open(BytesIO(answer.content)).size == (8, 6)
    assert Client().get(address)["location"].startswith(reverse("sign_in"))


@pytest.mark.parametrize("name", ["secret.key", "..%2Fsecret.key", f"{'0' * 32}.jpg", "a.png"])
def test_no_other_file_is_served(client: Client, name: str, tmp_path: Path) -> None:
    (tmp_path / "secret.key").write_text("s")
    assert client.get(f"/photos/{name}").status_code == 404


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"turned twice, looks fine", "no photo"), (b"%PDF-1.7", "no photo"), (b"GIF89a" + b"\0" * 40, "no photo")],
)
def test_a_text_file_named_jpg_is_refused_beside_the_photo(client: Client, content: bytes, said: str) -> None:
    answer = send(client, ph="4", photo=photo("looks.jpg", content))
    assert said in answer.context["form"].errors["photo"][0]
    assert 'name="ph" value="4"' in text(answer)
    assert not Reading.objects.exists()
    assert not photos.folder().exists()


def test_an_empty_photo_is_refused(client: Client) -> None:
    answer = client.post(
        reverse("reading_new_skin", args=["H01"]), {"request_key": "k", "photo": SimpleUploadedFile("a.jpg", b"")}
    )
    assert "empty" in answer.context["form"].errors["photo"][0]


@pytest.mark.slow
def test_a_photo_of_40_mb_gets_a_page_that_says_so_and_is_not_read(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "keep", lambda _: pytest.fail("it was read"))
    answer = send(client, ph="4", photo=photo("large.jpg", b"\xff\xd8" + b"\0" * (40 * pictures.MEGABYTE)))
    assert answer.status_code == 200
    assert "A photo of 40 MB is too large; at most 20 MB" in text(answer)
    assert not Reading.objects.exists()


@pytest.mark.thorough
def test_a_reading_taken_back_is_struck_out_and_its_photo_no_longer_shown(client: Client) -> None:
    send(client, ph="4", photo=photo())
    made = Reading.objects.get()
    address = reverse("reading_reverse", args=[made.pk])
    assert "pH 4" in text(client.get(address))
    for _ in range(2):
        answer = client.post(address, {"request_key": "t"})
        assert answer["location"] == reverse("skin", args=["H01"])
    page = text(client.get(reverse("skin", args=["H01"])))
    assert "<s>pH 4</s>" in page
    assert made.photo not in page
    assert address not in page


def test_a_batchs_reading_is_taken_back_to_the_batch(client: Client) -> None:
    made = readings.note(batch=factories.batch("B2"), ph=D(4))
    answer = client.post(reverse("reading_reverse", args=[made.pk]), {"request_key": "t"})
    assert answer["location"] == reverse("batch", args=["B2"])


@pytest.mark.thorough
def test_words_of_a_note_are_words_and_no_markup(client: Client) -> None:
    send(client, note="<script>alert(1)</script>")
    assert "<script>alert" not in client.get(reverse("skin", args=["H01"])).content.decode()


def test_who_does_not_work_in_the_shed_may_not_note_or_take_back(client: Client) -> None:
    made = readings.note(tags=["H01"], ph=D(4))
    keeper = signed_in(factories.person("bookkeeper"))
    assert send(keeper, ph="5").status_code == 403
    assert keeper.post(reverse("reading_reverse", args=[made.pk]), {"request_key": "t"}).status_code == 403
    assert Reading.objects.filter(reversed_at=None).count() == 1


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("page", "of"), [("skin", "H01"), ("batch", "B1")])
def test_many_readings_take_as_many_queries_as_one(client: Client, page: str, of: str) -> None:
    bath = Batch.objects.get(number="B1")
    readings.note(batch=bath, tags=["H01"], ph=D(4), photo=photo().read())
    one = queries(client, reverse(page, args=[of]))
    for _ in range(6):
        readings.note(batch=bath, tags=["H01"], ph=D(4), by=factories.owner("anna"), weight=D(900))
    assert queries(client, reverse(page, args=[of])) == one


def test_22_kg_on_a_skin_of_5_kg_is_asked_about(client: Client) -> None:
    readings.note(tags=["H01"], weight=D(5000), at=datetime(2025, 3, 5, 9, tzinfo=UTC))
    page = text(send(client, weight="22", weight_unit="kg"))
    assert "22 kg is entered for H01, which weighed 5 kg on 5 Mar 2025." in page
    assert Reading.objects.count() == 1
    assert send(client, weight="2,2", weight_unit="kg").status_code == 302


def test_the_first_weighing_is_held_against_the_green_weight(client: Client) -> None:
    factories.skin("H02", green_weight=D(5000))
    assert "which weighed 5 kg green." in text(send(client, ("reading_new_skin", "H02"), weight="22"))
    assert send(client, weight="22").status_code == 302


@pytest.fixture
def three() -> str:
    """Three skins in one batch; the address of their sheet."""
    for tag, grams in (("S1", 3000), ("S2", 4000), ("S3", 5000)):
        factories.skin(tag, green_weight=D(grams))
    factories.batch("B3", tags=["S1", "S2", "S3"])
    return reverse("batch_weigh", args=["B3"])


def weighed(*weights: str, **more: Any) -> dict[str, Any]:
    """The sheet as a browser sends it: a box for each skin."""
    boxes = {f"rows-{at}-{name}": value for at, weight in enumerate(weights) for name, value in _row(at, weight)}
    return {"rows-TOTAL_FORMS": len(weights), "rows-INITIAL_FORMS": 0, "request_key": "k"} | boxes | more


def _row(at: int, weight: str) -> list[tuple[str, str]]:
    return [("tag", f"S{at + 1}"), ("weight", weight)]


def made() -> list[tuple[str, Decimal]]:
    rows = Reading.objects.order_by("pk").values_list("skin__tag", "weight")
    return [(tag, weight) for tag, weight in rows if tag and weight is not None]


def test_the_sheet_has_a_box_for_each_skin_with_what_it_weighed_last(client: Client, three: str) -> None:
    readings.note(tags=["S2"], weight=D(2900), at=datetime(2025, 3, 6, 9, tzinfo=UTC))
    page = text(client.get(three))
    assert page.count('inputmode="decimal"') == 3
    assert "Sheep, 3 kg green" in page
    assert "Sheep, 2.9 kg on 6 Mar 2025" in page
    assert "data-keep" in page


@pytest.mark.thorough
def test_many_skins_are_weighed_in_one_go_once_though_sent_twice_and_empty_boxes_are_skipped(
    client: Client, three: str
) -> None:
    for _ in range(2):
        answer = client.post(three, weighed("2,5", "", "3.75"))
        assert answer["location"] == reverse("batch", args=["B3"]) + "#drying"
    assert made() == [("S1", D(2500)), ("S3", D(3750))]
    assert len(set(Reading.objects.values_list("at", flat=True))) == 1
    assert "2 skins of B3 are weighed." in text(client.get(reverse("batch", args=["B3"])))


def test_one_unit_serves_the_whole_sheet(client: Client, three: str) -> None:
    client.post(three, weighed("5", "6", "", weight_unit="lb"))
    assert made() == [("S1", D("2267.962")), ("S2", D("2721.554"))]


@pytest.mark.parametrize(
    ("weights", "said"),
    [
        (("2", "heavy", "3"), "S2: “heavy” is not a figure."),
        (("2", "3", "-1"), "A weight of -1000.000 cannot be: it must be above 0"),
        (("", "", ""), "No weight is entered."),
    ],
)
def test_a_wrong_box_keeps_all_from_being_written(
    client: Client, three: str, weights: tuple[str, ...], said: str
) -> None:
    answer = client.post(three, weighed(*weights))
    assert answer.status_code == 200
    assert said in text(answer)
    assert made() == []


def test_a_refused_weight_is_said_beside_its_box(client: Client, three: str) -> None:
    answer = client.post(three, weighed("2", "-1", "3"))
    assert [bool(row.errors) for row in answer.context["rows"]] == [False, True, False]


@pytest.mark.thorough
def test_odd_weights_are_asked_about_together_and_kept_by_one_answer(client: Client, three: str) -> None:
    sent = weighed("25", "3", "40")
    page = text(client.post(three, sent))
    assert "25 kg is entered for S1, which weighed 3 kg green." in page
    assert "40 kg is entered for S3, which weighed 5 kg green." in page
    assert 'href="#id_rows-0-weight">Change it' in page
    assert made() == []
    sure = page.partition('name="sure" value="')[2].partition('"')[0]
    assert client.post(three, sent | {"sure": sure}).status_code == 302
    assert len(made()) == 3


def test_a_first_weight_that_no_hide_has_is_asked_about(client: Client, three: str) -> None:
    Skin.objects.filter(tag="S1").update(green_weight=None)
    page = text(client.post(three, weighed("380", "", "")))
    assert "380 kg is entered for a sheep skin; hardly any hide weighs more than 80 kg." in page
    assert made() == []


def test_a_skin_that_left_meanwhile_is_weighed_all_the_same(client: Client, three: str) -> None:
    sent = weighed("2", "3", "4")
    stays.leave(batch=Batch.objects.get(number="B3"), skin=Skin.objects.get(tag="S3"), on=timezone.localdate())
    assert client.post(three, sent).status_code == 302
    assert len(made()) == 3


def test_a_batch_without_skins_says_so(client: Client) -> None:
    factories.batch("B4")
    assert "No skin is in this batch." in text(client.get(reverse("batch_weigh", args=["B4"])))


@pytest.mark.thorough
def test_the_sheet_is_two_taps_from_today(client: Client, three: str) -> None:
    """The link on Today, and the sheet's one button."""
    stays.begun(Batch.objects.get(number="B3"))
    assert f'<a class="btn quiet small" href="{three}">' in text(client.get(reverse("today")))
    page = text(client.get(three))
    sheet = page[page.index("rows-TOTAL_FORMS") : page.index("</form>", page.index("rows-TOTAL_FORMS"))]
    assert re.findall(r"<button[^>]*>([^<]*)<", sheet) == ["Save weights"]
