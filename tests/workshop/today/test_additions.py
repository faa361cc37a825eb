"""What is to go in is the same on Today, in `due --json`, in the calendar, on the batch card, the stand-in sheet and the label."""

from __future__ import annotations

import html
import json
import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from costing.make.recipes.services import Line, Step
from costing.models import Batch, SkippedAddition, Use
from inventory.base.accounting import services as workshop
from inventory.materials import services as materials
from inventory.models import Material
from tests import factories as make
from tests.factories import days_from
from tests.inventory.pages import signed_in, text
from workshop.calendar import feed
from workshop.documents.records import batch_cards, stand_in_sheets, vessels

pytestmark = pytest.mark.django_db
D = Decimal
START = date(2025, 1, 20)
day = days_from(START)


@pytest.fixture
def client(db: None) -> Client:
    workshop.pin_today(on=START)
    return signed_in()


@pytest.fixture
def batch(client: Client) -> Batch:
    """A recipe in cups, pounds and grams: alum and salt as the bath is mixed, soda on its third day, oil after it."""
    alum = make.material("ALUM", on_hand=9, value=9, on=START, substance="potash_alum", density_g_per_ml=D("0.9"))
    salt = make.material("SALT", "lb", on_hand=9, value=9, on=START, substance="salt")
    soda = make.material("SODA", on_hand=9, value=9, on=START, substance="washing_soda_crystals")
    oil = make.material("OIL", "L", on_hand=9, value=9, on=START)
    version = make.recipe(
        "R1",
        Line(alum, D("0.25"), "us_cup", "per_litre", "Bath"),
        Line(salt, D(2), "lb", "per_bath", "Bath"),
        Line(soda, D(25), "g", "per_litre", "Bath", 3),
        Line(oil, D(80), "mL", "per_skin", "Oil"),
        steps=[Step("Bath", "Take out", lasts_days=5, uses="tub"), Step("Oil")],
    )
    make.skin("H01", date_in=START)
    tub = make.place("Blue tub", "tub")
    return make.batch("B3", version=version, start=START, litres=D(27), tags=["H01"], place=tub)


def due(on: date) -> dict[str, str]:
    out = StringIO()
    call_command("due", "--on", on.isoformat(), "--json", stdout=out)
    tasks = [task for group in json.loads(out.getvalue())["groups"] for task in group["tasks"]]
    assert {task["kind"] for task in tasks} <= {"step", "addition"}
    return {task["material"]: f"{task['quantity']} {task['unit']}" for task in tasks if task["kind"] == "addition"}


def asked(page: str) -> list[str]:
    return re.findall(r"<b>Add ([^<]+)</b>", page)


def tap(client: Client, material: str) -> None:
    """Press “Added” under a material on Today."""
    page = html.unescape(text(client.get("/")))
    forms = re.findall(r'<form method="post" action="([^"]+/add/)".*?</form>', page)
    found = re.findall(r'<form method="post" action="[^"]+/add/".*?</form>', page)
    (sent,) = (each for each in found if material in each)
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', sent))
    assert client.post(forms[found.index(sent)], fields).status_code == 302


WANTED = {"ALUM": "6.75 US cup", "SALT": "2 lb", "SODA": "0.675 kg"}


@pytest.mark.thorough
def test_every_place_names_the_same_additions_with_the_same_amounts(client: Client, batch: Batch) -> None:
    names = {code: f"{amount} Material {code}" for code, amount in WANTED.items()}
    assert due(START) == {"ALUM": "6.75 us_cup", "SALT": "2 lb", "SODA": "0.675 kg"}
    assert asked(text(client.get("/"))) == list(names.values())
    ahead = [*names.values(), "0.08 L Material OIL"]
    card = batch_cards.batch_card("B3")
    assert [row.step.removeprefix("Add ") for row in card.days if row.step.startswith("Add ")] == ahead
    assert [amount.planned.split(" (")[0] for amount in card.amounts] == [*WANTED.values(), "0.08 L"]
    (tub,) = stand_in_sheets.stand_in_sheet(START).tubs
    assert [(on, said) for on, said in tub.next_steps if said.startswith("Add ")] == [
        (START, f"Add {names['ALUM']}"),
        (START, f"Add {names['SALT']}"),
        (day(3), f"Add {names['SODA']}"),
        (day(5), f"Add {ahead[-1]}"),
    ]
    said = feed.write(START, datetime(2025, 1, 20, 8, tzinfo=UTC)).decode().replace("\r\n ", "")
    assert re.findall(r"SUMMARY:Add (.+?) to B3", said) == ahead
    tap(client, "ALUM")
    tap(client, "SALT")
    assert due(START) == {"SODA": "0.675 kg"}
    workshop.pin_today(on=day(3))
    tap(client, "SODA")
    label = vessels.bath_label("B3")
    assert {name: told.split(" · ")[0] for name, told in label.contents} == {
        f"Material {code}": amount for code, amount in WANTED.items()
    }
    assert (label.made_on, label.added_on) == (START, day(3))
    assert due(day(3)) == {}
    assert [amount.put_in for amount in batch_cards.batch_card("B3").amounts] == ["6.75 US cup", "2 lb", "0.675 kg", ""]


def test_one_tap_takes_it_from_the_shelf_and_can_be_undone(client: Client, batch: Batch) -> None:
    tap(client, "SALT")
    salt = Material.objects.get(code="SALT")
    assert "Material SALT, B3: added." in (page := text(client.get("/")))
    assert salt.on_hand < 144, "nine pounds"
    client.post(reverse("use_undo", args=[Use.objects.get().pk]), {"request_key": "undo"})
    salt.refresh_from_db()
    assert "Undo" in page
    assert salt.on_hand == 144
    assert "2 lb Material SALT" in asked(text(client.get("/")))


def test_a_step_with_something_missing_is_not_one_tap_away_from_done(client: Client, batch: Batch) -> None:
    workshop.pin_today(on=day(5))
    assert "Take out: done" not in text(client.get("/"))
    step = batch.version.steps.get(name="Bath")
    path = reverse("step_log", args=["B3", step.pk])
    assert "Not in yet: 6.75 US cup Material ALUM, 2 lb Material SALT, 0.675 kg Material SODA." in text(
        client.get(path)
    )
    answer = client.post(path, {"kind": "done", "request_key": "k1", "without": ""})
    assert "are not in B3 yet" in text(answer)
    assert client.post(path, {"kind": "done", "request_key": "k2", "without": "tub leaked"}).status_code == 302
    assert SkippedAddition.objects.count() == 3
    shown = text(client.get(reverse("batch", args=["B3"])))
    assert shown.count("tub leaked") == 3
    assert "Material SODA skipped" in shown


@pytest.mark.thorough
def test_an_addition_is_skipped_with_a_reason_and_that_is_reversed(client: Client, batch: Batch) -> None:
    line = batch.version.lines.get(material__code="SODA")
    path = reverse("addition_skip", args=["B3", line.pk])
    assert (
        "Enter" in text(client.post(path, {"request_key": "k1", "reason": ""})) or not SkippedAddition.objects.exists()
    )
    client.post(path, {"request_key": "k2", "reason": "enough basicity"})
    skipped = SkippedAddition.objects.get()
    assert "SODA" not in due(day(3))
    client.post(reverse("skip_reverse", args=[skipped.pk]), {"request_key": "k3"})
    assert "SODA" in due(day(3))


def test_each_page_of_an_addition_leads_to_the_other(client: Client, batch: Batch) -> None:
    line = batch.version.lines.get(material__code="SODA")
    add, skip = (reverse(name, args=["B3", line.pk]) for name in ("addition_add", "addition_skip"))
    told, left_out = text(client.get(add)), text(client.get(skip))
    assert f'href="{skip}' in told
    assert f'href="{skip}' not in left_out
    assert f'href="{add}' in left_out


@pytest.mark.thorough
def test_another_amount_is_typed_and_a_second_tap_of_an_old_page_asks(client: Client, batch: Batch) -> None:
    line = batch.version.lines.get(material__code="SODA")
    path = reverse("addition_add", args=["B3", line.pk])
    page = client.get(path)
    assert page.context["form"].initial["amount"] == D("0.675")
    sent = {"amount": "0.7", "unit": "kg", "on": day(0).isoformat()}
    assert client.post(path, sent | {"request_key": "k1"}).status_code == 302
    again = client.post(path, sent | {"request_key": "k2"})
    assert "0.7 kg of Material SODA are in B3 already" in text(again)
    assert client.post(path, sent | {"request_key": "k3", "again": "on"}).status_code == 302
    shown = text(client.get(reverse("batch", args=["B3"])))
    assert "1.4 kg" in shown
    assert "more than planned" in shown


def test_what_the_shelf_lacks_is_said_with_the_way_to_all_ways_out(client: Client, batch: Batch) -> None:
    line = batch.version.lines.get(material__code="SODA")
    path = reverse("addition_add", args=["B3", line.pk])
    answer = text(client.post(path, {"amount": "99", "unit": "kg", "request_key": "k1"}))
    assert "Material SODA" in answer
    assert f"{reverse('put_in_work', args=['B3'])}?day=3" in answer
    assert not Use.objects.exists()


def test_who_may_not_log_sees_no_tap(client: Client, batch: Batch) -> None:
    keeper = Client()
    keeper.force_login(make.person("bookkeeper"))
    page = text(keeper.get("/"))
    assert asked(page)
    assert ">Added" not in page
    line = batch.version.lines.get(material__code="SODA")
    sent = {"amount": "675", "unit": "g", "request_key": "k1"}
    assert keeper.post(reverse("addition_add", args=["B3", line.pk]), sent).status_code == 403


def test_a_tap_that_waited_for_a_signal_is_written_for_the_day_that_it_was_made_on(
    client: Client, batch: Batch
) -> None:
    workshop.pin_today(on=None)
    line = batch.version.lines.get(material__code="SODA")
    at = timezone.now() - timedelta(days=2)
    sent = {"amount": "675", "unit": "g", "request_key": "k1", "at": at.isoformat()}
    client.post(reverse("addition_add", args=["B3", line.pk]), sent)
    assert Use.objects.get().posting.on == timezone.localtime(at).date()


@pytest.mark.thorough
def test_what_is_late_to_go_in_is_late_and_no_harm_is_claimed(client: Client, batch: Batch) -> None:
    salt = Material.objects.get(code="SALT")
    make.skin("H02", date_in=START)
    plain = make.recipe("R2", Line(salt, D(2), "lb", "per_bath"))
    make.batch("B4", version=plain, start=START, tags=["H02"])
    workshop.pin_today(on=day(2))
    page = text(client.get("/"))
    assert "<b>Add 2 lb Material SALT</b>, 2 days late · day 2 of 5<" in page
    assert "<b>Add 2 lb Material SALT</b>, 2 days late to begin<" in page
    assert "it does harm now" not in page


@pytest.mark.thorough
def test_a_recipe_by_the_gallon_is_asked_for_in_pounds_wherever_it_stands(client: Client) -> None:
    """A pound to the US gallon, in a bath of five: five pounds, which are eighty ounces, on Today, card and label."""
    workshop.set_up(bath_unit="us_gallon", degrees="F")
    alum = make.material("ALUM", "lb", on_hand=20, value=9, on=START, substance="potash_alum")
    version = make.recipe(
        "R1", Line(alum, D(1), "lb", "per_us_gallon", "Bath"), steps=[Step("Bath", lasts_days=5, uses="tub")]
    )
    make.skin("H01", date_in=START)
    sent = {
        "number": "B3",
        "version": version.pk,
        "start": START.isoformat(),
        "litres": "5",
        "skins": ["H01"],
        "share_by": "head",
        "request_key": "k",
    }
    assert client.post(reverse("batch_new"), sent).status_code == 302
    assert due(START) == {"ALUM": "5 lb"}
    assert asked(text(client.get("/"))) == ["5 lb Material ALUM"]
    assert "5 US gal" in text(client.get(reverse("batch", args=["B3"])))
    assert "5 US gal" in text(client.get(reverse("put_in_work", args=["B3"])))
    card = batch_cards.batch_card("B3")
    assert (card.litres, card.degrees, card.amounts[0].planned) == ("5 US gal", "°F", "5 lb")
    tap(client, "ALUM")
    assert Use.objects.get().posting.movements.get().quantity == D(-80)
    label = vessels.bath_label("B3")
    assert (label.volume, label.contents) == ("5 US gal", (("Material ALUM", "5 lb · 16 oz/US gal"),))
    form = client.get(reverse("batch_edit", args=["B3"]))
    assert 'name="litres" value="5"' in text(form)


def test_a_bath_by_the_gallon_is_worked_out_in_the_workshops_own_measure(client: Client) -> None:
    workshop.set_up(bath_unit="us_gallon", degrees="F")
    alum = make.material("ALUM", "lb", on_hand=20, value=9, on=START, substance="potash_alum")
    make.recipe("R1", Line(alum, D(1), "lb", "per_us_gallon"))
    page = text(client.get(reverse("recipe_bath", args=["R1"]), {"litres": "5", "celsius": "68"}))
    assert "5 US gal at 68 °F" in page
    assert "16 oz a US gallon" in page
    assert ">5 lb<" in page
    assert "A US gallon" in page


@pytest.mark.thorough
def test_a_weighed_jar_is_offered_in_its_own_cup_beside_grams(client: Client) -> None:
    """292 g to the level US cup: 730 g are two and a half, on Today and at the tub; the soda nobody weighed stays in grams."""
    salt = make.material("SALT", on_hand=9, value=9, on=START)
    materials.weigh(material=salt, measure=D(1), unit="us_cup", grams=D(292))
    salt.refresh_from_db()
    soda = make.material("SODA", on_hand=9, value=9, on=START)
    version = make.recipe(
        "R1",
        Line(salt, D(730), "g", "per_bath", "Bath"),
        Line(soda, D(360), "g", "per_bath", "Bath"),
        steps=[Step("Bath", lasts_days=5, uses="tub")],
    )
    make.skin("H01", date_in=START)
    make.batch("B3", version=version, start=START, tags=["H01"])
    assert asked(text(client.get("/"))) == ["0.73 kg (about 2.5 US cup) Material SALT", "0.36 kg Material SODA"]
    assert "0.73 kg (about 2.5 US cup)" in text(client.get(reverse("put_in_work", args=["B3"])))
    assert due(START) == {"SALT": "0.73 kg", "SODA": "0.36 kg"}
