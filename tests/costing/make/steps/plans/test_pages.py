"""The page that looks ahead: planning back from a day, and clashes in words with the way out."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.recipes.services import Step
from costing.models import Batch
from inventory.base.accounting import services as workshop
from inventory.models import Place
from tests import factories as make
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)
FLESH = Step("Flesh and salt", minutes=30, minutes_per_skin=100)
BATH = Step("Bath", task="Take out", lasts_days=11, every_days=1, repeat="Turn", repeat_minutes=6, uses="tub")
FRAME = Step("Frame", lasts_days=8, uses="frame")


@pytest.fixture
def client() -> Client:
    workshop.pin_today(on=START)
    return signed_in()


def asked(client: Client, version: object, finish: str, heads: str = "3") -> str:
    return text(client.get(reverse("plan"), {"version": version, "finish": finish, "heads": heads}))


def test_the_page_opens_from_the_batches_and_writes_nothing(client: Client) -> None:
    assert reverse("plan") in client.get(reverse("batches")).content.decode()
    page = text(client.get(reverse("plan")))
    assert "Every batch in work or planned has its tub and its frames to itself" in page
    assert "This field is required" not in page
    assert Client().get(reverse("plan")).status_code == 302
    assert client.post(reverse("plan")).status_code == 405


def test_planning_back_says_by_when_to_begin_and_how_much_is_waiting_and_hands(client: Client) -> None:
    version = make.recipe("R1", steps=[FLESH, BATH, FRAME])
    page = asked(client, version.pk, "2025-02-20")
    assert "Flesh and salt by Sat 1 Feb 2025" in page
    assert ">Wed 12 Feb</td>" in page  # taken out of the bath
    assert ">Thu 20 Feb</td>" in page
    assert '19<span class="unit">days</span>' in page
    assert "6.50 h" in page  # 30 + 3 × 100 + 10 turns of 6
    assert f"{reverse('batch_new')}?version={version.pk}&amp;start=2025-02-01" in page


def test_a_day_too_near_says_when_it_should_have_begun(client: Client) -> None:
    page = asked(client, make.recipe("R1", steps=[FLESH, BATH]).pk, "2025-01-25")
    assert "It should have begun on Tue 14 Jan 2025" in page


def test_a_recipe_without_steps_leads_to_writing_them(client: Client) -> None:
    page = asked(client, make.recipe("R1").pk, "2025-02-20")
    assert "This version has no steps" in page
    assert reverse("recipe_version_new", args=["R1"]) in page


@pytest.mark.parametrize(
    ("finish", "heads"),
    [("soon", "3"), ("", "3"), ("2025-02-20", "0"), ("2025-02-20", "x"), ("0001-01-01", "3"), ("9999-12-31", "3")],
)
def test_what_cannot_be_read_is_said_beside_its_box(client: Client, finish: str, heads: str) -> None:
    answer = client.get(
        reverse("plan"), {"version": make.recipe("R1", steps=[BATH]).pk, "finish": finish, "heads": heads}
    )
    assert answer.status_code == 200
    assert answer.context["form"].errors
    assert answer.context["found"] is None


def test_a_batch_is_planned_from_the_day_found(client: Client) -> None:
    version = make.recipe("R1", steps=[BATH])
    answer = client.get(reverse("batch_new"), {"version": version.pk, "start": "2025-02-01"})
    assert 'value="2025-02-01"' in text(answer)


def test_two_in_one_tub_are_told_with_the_way_out(client: Client) -> None:
    place = make.place("Taw tub", "tub")
    version = make.recipe("R1", steps=[BATH])
    make.batch("B1", version=version, start=START, place=place)
    make.batch("B2", version=version, start=START + timedelta(days=10), place=place)
    page = text(client.get(reverse("plan")))
    assert "<b>Taw tub</b>, 30 Jan to 31 Jan 2025" in page
    assert "It holds 1 batch at once. Let one batch wait 1 day or give it another tub" in page
    assert reverse("batch", args=["B2"]) in page


def test_a_batch_names_who_else_wants_its_tub_until_it_is_done(client: Client) -> None:
    place = make.place("Taw tub", Place.Kind.TUB)
    for number, nth in (("B1", 0), ("B2", 7), ("B3", 60)):
        version = make.recipe(f"R-{number}", steps=[BATH])
        make.batch(number, version=version, start=START + timedelta(days=nth), place=place)
    pages = {number: text(client.get(reverse("batch", args=[number]))) for number in ("B1", "B2", "B3")}
    for number in ("B1", "B2"):
        assert "Wanted by others too" in pages[number]
        assert "Let one batch wait 4 days or give it another tub" in pages[number]
    assert "Wanted by others too" not in pages["B3"]
    Batch.objects.filter(number="B1").update(state=Batch.State.DONE)
    assert "Wanted by others too" not in text(client.get(reverse("batch", args=["B1"])))


def test_too_many_skins_on_the_frames_are_told_as_skins(client: Client) -> None:
    racks = make.place("Racks", "frame")
    Place.objects.update(holds=5)
    for number in ("B1", "B2"):
        make.batch(number, version=make.recipe(f"R{number}", steps=[FRAME]), start=START, frames=racks, planned_skins=3)
    page = text(client.get(reverse("plan")))
    assert "It holds 5 skins at once, and more are to be laced. Let one batch wait 8 days" in page


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_thirty_batches_as_for_one(client: Client) -> None:
    place, version = make.place("Taw tub", "tub"), make.recipe("R1", steps=[BATH])
    make.batch("B1", version=version, start=START, place=place)
    first = queries(client, reverse("plan"))
    for nth in range(2, 31):
        make.batch(f"B{nth}", version=version, start=START, place=place)
    assert queries(client, reverse("plan")) == first
