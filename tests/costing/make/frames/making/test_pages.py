"""Pages of frames: the list, one with its books, making, repairing, writing off, its label."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as making
from costing.models import Frame, Repair
from inventory.base.accounting import services as workshop
from inventory.models import Material
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import lines, queries, signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _shelf() -> None:
    workshop.pin_today(on=DAY)
    factories.material("LUMBER", "m", on_hand=10, value="15.00")


def sent(**more: Any) -> dict[str, Any]:
    said = {"number": "F1", "on": "2025-03-04", "lacings": "12", "minutes": "", "cost": "", "note": "", "place": ""}
    return said | {"request_key": "k1"} | more


def wood(amount: str = "5") -> dict[str, Any]:
    return lines({"material": str(Material.objects.get(code="LUMBER").pk), "amount": amount, "unit": ""})


def frame(number: str = "F1", **said: Any) -> Frame:
    return making.build(number=number, on=DAY, **{"lacings": 12, "cost": Decimal("18.24"), **said})


def laced(to: Frame, tag: str = "H01") -> None:
    factories.skin(tag)
    lacings.name(line=factories.work(task="lace", tags=[tag]), on_frames={tag: to.number})


def test_pages_open_for_the_owner(client: Client) -> None:
    frame()
    for name in ("frames", "frame_new"):
        assert client.get(reverse(name)).status_code == 200
    for name in ("frame", "frame_edit", "frame_repair", "frame_break", "frame_mend"):
        assert client.get(reverse(name, args=["F1"])).status_code == 200, name
        assert client.get(reverse(name, args=["F9"])).status_code == 404


def test_no_frame_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("frames")))
    assert "No frame yet" in page
    assert reverse("frame_new") in page


def test_a_frame_is_made_once_though_sent_twice_and_its_page_opens(client: Client) -> None:
    for _ in range(2):
        answer = client.post(reverse("frame_new"), sent(minutes="30") | wood())
        assert answer["location"] == reverse("frame", args=["F1"])
    made = Frame.objects.get()
    assert (made.lacings, made.minutes, made.cost) == (12, Decimal(30), 0)
    page = text(client.get(reverse("frame", args=["F1"])))
    assert "5 m" in page
    assert "7.50 €" in page
    assert "Lacings left" in page


def test_a_short_shelf_says_the_ways_out(client: Client) -> None:
    page = text(client.post(reverse("frame_new"), sent() | wood("50")))
    assert "Ways out" in page
    assert not Frame.objects.exists()


def test_a_repair_is_recorded_and_reversed(client: Client) -> None:
    frame()
    said = {"on": "2025-03-04", "what": "a rail", "minutes": "", "cost": "2,00", "lacings": "", "request_key": "k2"}
    client.post(reverse("frame_repair", args=["F1"]), said | wood("1"))
    repair = Repair.objects.get()
    assert (repair.what, repair.cost, repair.lacings) == ("a rail", Decimal(2), 0)
    page = text(client.get(reverse("frame", args=["F1"])))
    assert "21.74 €" in page
    client.post(reverse("repair_reverse", args=[repair.pk]), {"reason": "not so", "on": "", "request_key": "k3"})
    assert "21.74 €" not in text(client.get(reverse("frame", args=["F1"])))


@pytest.mark.thorough
def test_a_frame_that_holds_a_skin_says_so_and_lets_it_go(client: Client) -> None:
    laced(made := frame())
    page = text(client.get(reverse("frame", args=["F1"])))
    assert "Take H01 off" in page
    assert reverse("frame_break", args=["F1"]) not in page
    assert "H01" in text(client.get(reverse("frames")))
    assert reverse("frame", args=["F1"]) in text(client.get(reverse("skin", args=["H01"])))
    off = reverse("lacing_off", args=[made.laced.get().pk])
    client.post(off, {"on": "2025-03-04", "request_key": "k"})
    assert "free" in text(client.get(reverse("frame", args=["F1"])))


@pytest.mark.thorough
def test_a_broken_frame_is_written_off_and_may_be_whole_after_all(client: Client) -> None:
    frame()
    said = {"on": "2025-03-04", "why": "fell", "request_key": "k"}
    client.post(reverse("frame_break", args=["F1"]), said)
    assert "Written off" in text(client.get(reverse("frame", args=["F1"])))
    assert "broken 4 Mar 2025" in text(client.get(reverse("frames")))
    client.post(reverse("frame_mend", args=["F1"]), {"request_key": "k4"})
    assert "Written off" not in text(client.get(reverse("frame", args=["F1"])))


def test_a_frame_is_described_anew(client: Client) -> None:
    frame()
    said = {"lacings": "24", "cost": "18.24", "minutes": "", "place": "", "note": "spruce", "request_key": "k"}
    client.post(reverse("frame_edit", args=["F1"]), said)
    assert (Frame.objects.get().lacings, Frame.objects.get().note) == (24, "spruce")


def test_the_bookkeeper_sees_frames_and_no_button(db: None) -> None:
    frame()
    page = text(signed_in(factories.person("bookkeeper")).get(reverse("frame", args=["F1"])))
    assert reverse("frame_repair", args=["F1"]) not in page
    assert reverse("frame_label", args=["F1"]) in page


def test_a_label_has_the_frames_own_number(client: Client) -> None:
    frame()
    assert client.get(reverse("frame_label", args=["F1"]))["Content-Type"] == "application/pdf"


@pytest.mark.thorough
def test_the_list_costs_the_same_however_many_frames_there_are(client: Client) -> None:
    laced(frame())
    one = queries(client, reverse("frames"))
    for number in range(2, 12):
        laced(frame(f"F{number}"), f"H{number:02}")
    assert queries(client, reverse("frames")) == one


@pytest.mark.thorough
def test_the_page_costs_the_same_however_much_went_into_it(client: Client) -> None:
    made = frame()
    laced(made)
    making.repair(frame=made, on=DAY, what="a rail")
    one = queries(client, reverse("frame", args=["F1"]))
    for _ in range(5):
        making.repair(frame=made, on=DAY, what="a rail")
    assert queries(client, reverse("frame", args=["F1"])) == one
