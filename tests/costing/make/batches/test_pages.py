"""Pages of batches: the list, one with its story, planning, changing, dropping, skins in and out."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.stays import services as batches
from costing.make.cost.rates import services as rates
from costing.make.losses import services as losses
from costing.make.recipes import services as recipes
from costing.models import Batch, BatchSkin, RecipeVersion
from inventory.base.accounting import services as workshop
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


def taw(**options: Any) -> RecipeVersion:
    """80 g of alum a litre, 80 mL of oil a skin."""
    alum = factories.material("ALUMK", on_hand="0.56", value="3.67")
    oil = factories.material("OILN", "L", on_hand="1", value="14.90")
    return factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre"),
        recipes.Line(oil, Decimal(80), "mL", "per_skin"),
        **options,
    )


def plan(recipe: RecipeVersion, **wrong: Any) -> dict[str, Any]:
    return {
        "number": "B1",
        "version": recipe.pk,
        "start": "2025-03-04",
        "litres": "18",
        "share_by": "head",
        "request_key": "k1",
    } | wrong


def begun(number: str, *tags: str) -> Batch:
    """A batch with skins in which work was done on its first day."""
    made = factories.batch(number, tags=tags)
    factories.work(DAY, 60, batch=made)
    return made


def test_pages_open_for_the_owner(client: Client) -> None:
    factories.skin("H01")
    factories.batch("B1", tags=["H01"])
    pages = [("batches", []), ("batch_new", []), ("batch_leave", ["B1", "H01"])]
    pages += [(name, ["B1"]) for name in ("batch", "batch_edit", "batch_cancel", "batch_join")]
    for name, args in pages:
        address = reverse(name, args=args)
        assert client.get(address).status_code == 200


def test_no_batch_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("batches")))
    assert "No batch yet" in page
    assert reverse("batch_new") in page


def test_recipes_and_work_are_found_from_the_batches(client: Client) -> None:
    page = text(client.get(reverse("batches")))
    assert f'href="{reverse("recipes")}"' in page
    assert f'href="{reverse("labour")}"' in page


def test_the_next_free_number_is_suggested(client: Client) -> None:
    factories.batch("B9")
    factories.batch("b10")
    factories.batch("Winter")
    assert 'name="number" value="B11"' in client.get(reverse("batch_new")).content.decode()


def test_a_batch_is_planned_once_though_sent_twice(client: Client) -> None:
    version = taw()
    factories.skin("H01")
    factories.skin("H02")
    sent = plan(version, skins=["H01", "H02"], litres="18,5", planned_skins="3", note="spring")
    for _ in range(2):
        assert client.post(reverse("batch_new"), sent)["location"] == reverse("batch", args=["B1"])
    made = Batch.objects.get()
    assert (made.version, made.litres, made.planned_skins, made.note) == (version, Decimal(18500), 3, "spring")
    assert list(made.stays.values_list("skin__tag", "joined_on")) == [("H01", DAY), ("H02", DAY)]


@pytest.mark.parametrize(
    ("sent", "litres"),
    [
        ({"litres": "", "litres_per_skin": "6", "planned_skins": "4"}, Decimal(24000)),
        ({"litres": "", "litres_per_skin": "5", "skins": ["H01"]}, Decimal(5000)),
        ({"litres": "", "planned_skins": "2"}, Decimal(12000)),
        ({"litres": "7", "litres_per_skin": "6", "planned_skins": "4"}, Decimal(7000)),
        ({"litres": ""}, None),
    ],
)
def test_litres_are_named_or_reckoned_from_the_skins(
    client: Client, sent: dict[str, Any], litres: Decimal | None
) -> None:
    factories.skin("H01")
    assert client.post(reverse("batch_new"), plan(taw(litres_per_skin=Decimal(6)), **sent)).status_code == 302
    assert Batch.objects.get().litres == litres


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"number": "B 1"}, "number", "cannot be used"),
        ({"number": "b7"}, "number", "is used already"),
        ({"litres": "0"}, "litres", "more than nothing"),
        ({"litres": "", "litres_per_skin": "6"}, "litres_per_skin", "needs skins"),
        ({"start": "2125-01-01"}, "start", "too far in the future"),
        ({"start": "soon"}, "start", "valid date"),
        ({"version": ""}, "version", "required"),
        ({"skins": ["H99"]}, "skins", "No skin has the tag H99"),
        ({"skins": ["H02"]}, "skins", "is in B7"),
        ({"share_by": "weight", "skins": ["H01"]}, "skins", "Weigh it first"),
        ({"note": "a\x07"}, "note", "control character"),
        ({"share_by": "luck"}, "share_by", "not one of the available"),
    ],
)
def test_a_wrong_plan_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, Any], field: str, said: str
) -> None:
    factories.skin("H01")
    factories.skin("H02")
    factories.batch("B7", tags=["H02"])
    answer = client.post(reverse("batch_new"), plan(taw(), **wrong))
    assert said in answer.context["form"].errors[field][0]
    assert Batch.objects.count() == 1


def test_a_skin_in_another_batch_is_not_offered(client: Client) -> None:
    factories.skin("H01")
    factories.skin("H02")
    factories.batch("B7", tags=["H01"])
    page = client.get(reverse("batch_new")).content.decode()
    assert 'value="H02"' in page
    assert 'value="H01"' not in page


def test_the_scaled_list_marks_what_the_shelf_lacks_and_what_it_allows(client: Client) -> None:
    """The demo year's question: 24 L at 80 g need 1.92 kg, 0.56 are there, 1.36 short; the shelf allows 7.0 L, 1 skin."""
    factories.batch("B5", version=taw(litres_per_skin=Decimal(6)), litres=Decimal(24), planned_skins=4)
    page = text(client.get(reverse("batch", args=["B5"])))
    assert "1.92 kg" in page
    assert "1.36 kg missing" in page
    assert "7.0 L, 1 skin" in page
    assert "0.32 L" in page


def test_a_line_whose_measure_is_missing_asks_for_it(client: Client) -> None:
    factories.batch("B5", version=taw())
    page = text(client.get(reverse("batch", args=["B5"])))
    assert "enter the size of the bath" in page


@pytest.mark.thorough
def test_a_done_batch_calls_nothing_short(client: Client) -> None:
    version = taw()
    factories.skin("H01")
    made = factories.batch("B1", version=version, litres=Decimal(24), tags=["H01"])
    factories.put(made, version.lines.all()[0].material, "0.1")
    factories.finish("H01", on=date(2025, 3, 20))
    page = text(client.get(reverse("batch", args=["B1"])))
    assert "missing" not in page
    assert "Done" in page


@pytest.mark.thorough
def test_cost_so_far_stands_with_its_parts_book_beside_full(client: Client) -> None:
    """Two skins at 12.00, 2.00 of alum, 90 minutes laced: book 26.00; full 26 + 24 + 6 + 2 × 1.52 = 59.04."""
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), frame_wear=Decimal("1.52"))
    factories.skin("H01")
    factories.skin("H02")
    made = factories.batch("B1", tags=["H01", "H02"])
    factories.put(made, factories.material("SALT", on_hand=4, value=8), 1)
    factories.work(DAY, 90, task="lace", batch=made)
    page = text(client.get(reverse("batch", args=["B1"])))
    assert "26.00 €" in page
    assert "59.04 €" in page
    assert "1.50 h at 16.00 an hour" in page
    assert "2 lacings at 1.52" in page
    assert "13.00 €" in page  # each skin's own book cost
    assert "in equal parts" in page
    assert "26.00 €" in text(client.get(reverse("batches")))


@pytest.mark.thorough
def test_cost_that_no_skin_can_bear_yet_is_said(client: Client) -> None:
    made = factories.batch("B1")
    factories.put(made, factories.material("SALT", on_hand=4, value=8), 1)
    assert "2.00 € of it waits" in text(client.get(reverse("batch", args=["B1"])))


@pytest.mark.thorough
def test_entries_are_linked_to_their_posting_and_the_way_back(client: Client) -> None:
    factories.skin("H01")
    made = factories.batch("B1", tags=["H01"])
    use = factories.put(made, factories.material("SALT", on_hand=4, value=8), 1)
    line = factories.work(DAY, 90, batch=made)
    page = text(client.get(reverse("batch", args=["B1"])))
    for address in (
        reverse("posting", args=[use.posting_id]),
        reverse("use_reverse", args=[use.pk]),
        reverse("labour_reverse", args=[line.pk]),
        reverse("put_in_work", args=["B1"]),
    ):
        assert address in page


@pytest.mark.thorough
def test_a_lost_skin_is_shown_with_the_day_it_was_lost(client: Client) -> None:
    skin = factories.skin("H05")
    factories.skin("H04")
    begun("B2", "H04", "H05")
    losses.lose(skin=skin, on=date(2025, 3, 18), reason="slipped")
    assert "lost 18 Mar 2025" in text(client.get(reverse("batch", args=["B2"])))


def test_the_plan_can_be_changed(client: Client) -> None:
    factories.batch("B1", litres=Decimal(18))
    place, racks = factories.place("Tub 1"), factories.place("Racks", "frame")
    sent = {
        "start": "2025-03-10",
        "litres": "12",
        "planned_skins": "2",
        "place": place.pk,
        "frames": racks.pk,
        "note": "less",
        "request_key": "k",
    }
    assert client.post(reverse("batch_edit", args=["B1"]), sent).status_code == 302
    made = Batch.objects.get()
    assert (made.start, made.litres, made.planned_skins) == (date(2025, 3, 10), Decimal(12000), 2)
    assert (made.place, made.frames) == (place, racks)


def test_the_start_of_a_batch_in_work_stays(client: Client) -> None:
    made = factories.batch("B1")
    factories.put(made, factories.material("SALT", on_hand=4, value=8), 1)
    answer = client.post(reverse("batch_edit", args=["B1"]), {"start": "2025-03-10", "request_key": "k"})
    assert "its start stays" in answer.context["form"].errors["start"][0]
    made.refresh_from_db()
    assert made.start == DAY


@pytest.mark.thorough
def test_a_plan_is_dropped_but_not_a_batch_with_entries(client: Client) -> None:
    made = factories.batch("B1")
    factories.put(made, factories.material("SALT", on_hand=4, value=8), 1)
    assert "has entries" in text(client.post(reverse("batch_cancel", args=["B1"]), {"request_key": "k"}))
    factories.batch("B2")
    assert client.post(reverse("batch_cancel", args=["B2"]), {"request_key": "k2"})["location"] == reverse("batches")
    assert list(Batch.objects.values_list("number", flat=True)) == ["B1"]


def test_skins_join_once_though_sent_twice(client: Client) -> None:
    factories.batch("B1")
    factories.skin("H01")
    sent = {"on": "2025-03-05", "skins": ["H01"], "request_key": "k"}
    assert client.post(reverse("batch_join", args=["B1"]), sent).status_code == 302
    assert client.post(reverse("batch_join", args=["B1"]), sent).status_code == 302
    assert BatchSkin.objects.get().joined_on == date(2025, 3, 5)


@pytest.mark.parametrize(
    ("sent", "field", "said"),
    [
        ({"on": "2025-03-05"}, "skins", "No skin was chosen"),
        ({"on": "2025-03-01", "skins": ["H01"]}, "on", "cannot join before"),
    ],
)
def test_a_wrong_joining_is_refused_beside_its_box(client: Client, sent: dict[str, Any], field: str, said: str) -> None:
    factories.batch("B1")
    factories.skin("H01", date_in=date(2025, 2, 1))
    answer = client.post(reverse("batch_join", args=["B1"]), sent | {"request_key": "k"})
    assert said in answer.context["form"].errors[field][0]
    assert not BatchSkin.objects.exists()


def test_a_skin_leaves_once_though_sent_twice(client: Client) -> None:
    factories.skin("H01")
    begun("B1", "H01")
    sent = {"on": "2025-03-10", "request_key": "k"}
    for _ in range(2):
        assert client.post(reverse("batch_leave", args=["B1", "H01"]), sent).status_code == 302
    assert BatchSkin.objects.get().left_on == date(2025, 3, 10)


def test_a_skin_of_a_plan_is_only_crossed_off(client: Client) -> None:
    factories.skin("H01")
    factories.batch("B1", tags=["H01"])
    assert (
        client.post(reverse("batch_leave", args=["B1", "H01"]), {"on": "2025-03-10", "request_key": "k"}).status_code
        == 302
    )
    assert not BatchSkin.objects.exists()


def test_a_skin_cannot_leave_before_it_joined(client: Client) -> None:
    factories.skin("H01", date_in=date(2025, 2, 1))
    begun("B1", "H01")
    answer = client.post(reverse("batch_leave", args=["B1", "H01"]), {"on": "2025-03-01", "request_key": "k"})
    assert "choose that day or a later one" in answer.context["form"].errors["on"][0]
    assert BatchSkin.objects.get().left_on is None


@pytest.mark.thorough
def test_the_list_is_found_by_number_skin_and_state(client: Client) -> None:
    factories.skin("H01")
    factories.batch("B1", tags=["H01"])
    factories.batch("C2")
    by_skin = text(client.get(reverse("batches"), {"words": "H01"}))
    assert reverse("batch", args=["B1"]) in by_skin
    assert reverse("batch", args=["C2"]) not in by_skin
    assert reverse("batch", args=["B1"]) not in text(client.get(reverse("batches"), {"words": "c2"}))
    assert "No batch matches" in text(client.get(reverse("batches"), {"state": "done"}))


def filled(number: str) -> Batch:
    skin = factories.skin(f"H{number}")
    made = factories.batch(f"B{number}", tags=[skin.tag])
    factories.put(made, factories.material(f"S{number}", on_hand=4, value=8), 1, tags=[skin.tag])
    factories.work(DAY, 90, batch=made, tags=[skin.tag])
    return made


@pytest.mark.thorough
@pytest.mark.slow
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    filled("01")
    one = queries(client, reverse("batches"))
    for number in range(2, 31):
        filled(f"{number:02d}")
    assert queries(client, reverse("batches")) == one


@pytest.mark.thorough
@pytest.mark.slow
def test_a_batch_takes_as_many_queries_for_thirty_entries_and_skins_as_for_one(client: Client) -> None:
    made = filled("01")
    one = queries(client, reverse("batch", args=["B01"]))
    salt = factories.material("SALT", on_hand=40, value=80)
    for number in range(2, 31):
        factories.skin(f"H{number:02d}")
        batches.join(batch=made, tags=[f"H{number:02d}"], on=DAY)
        factories.put(made, salt, 1, tags=["H01"])
        factories.work(DAY, 90, batch=made, tags=["H01"])
    assert queries(client, reverse("batch", args=["B01"])) == one
