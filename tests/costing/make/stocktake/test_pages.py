"""The pages of a count of skins and pieces: where, blind, then the differences, then the writing; safe to send twice."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.models import Article, Move, Place, Skin
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
ON = date(2025, 3, 31)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=ON)


@pytest.fixture
def crate() -> Place:
    place, freezer = make.place("Salt crate"), make.place("Freezer")
    make.skin("H01", place=place)
    make.skin("H02", place=place)
    make.skin("H03", place=freezer)
    make.article("R1", on=DAY, place=place)
    return place


def address(place: Place) -> str:
    return reverse("tally_place", args=[place.pk])


def key(code: str) -> str:
    row: Skin | Article = Skin.objects.filter(tag=code).first() or Article.objects.get(number=code)
    return f"{row._meta.model_name}-{row.pk}"


def entered(*found: str, also: str = "", step: str = "look", **more: Any) -> dict[str, Any]:
    ticks = [key(code) for code in found]
    return {"on": "2025-03-31", "request_key": "k1", "step": step, "found": ticks, "also": also, **more}


def decided(client: Client, place: Place, sent: dict[str, Any], **choices: str) -> dict[str, Any]:
    """What a browser sends after the differences: all that stands in the page, with the choices made."""
    page = client.post(address(place), sent).content.decode()
    shown = dict(re.findall(r'<input type="hidden" name="(seen_[^"]+)" value="([^"]+)"', page))
    offered = dict(re.findall(r'name="(move_[^"]+)" value="([^"]+)"[^>]*checked', page))
    return {**sent, **shown, **offered, "step": "post", **choices}


def untouched() -> bool:
    return not Move.objects.exists() and not Skin.objects.filter(stage="lost").exists()


def test_the_places_are_offered_without_a_figure(client: Client, crate: Place) -> None:
    page = text(client.get(reverse("tally")))
    for words in ("Salt crate", "Freezer", address(crate), "Stocktake of skins and pieces"):
        assert words in page
    assert reverse("tally_unsaid") not in page
    make.skin("H09")
    make.place("Van", Place.Kind.VAN)
    page = text(client.get(reverse("tally")))
    assert reverse("tally_unsaid") in page
    assert page.index("Places with nothing written") < page.index("Van")
    assert Client().get(reverse("tally")).status_code == 302


def test_an_empty_workshop_says_what_to_do_first(client: Client) -> None:
    assert "Take the first" not in text(client.get(reverse("tally")))
    assert "Nothing to count yet" in text(client.get(reverse("tally")))


def test_the_shelfs_sheet_leads_here(client: Client) -> None:
    assert reverse("tally") in text(client.get(reverse("count_sheet")))


def test_the_list_is_that_of_the_sheet_and_ticks_nothing(client: Client, crate: Place) -> None:
    page = text(client.get(address(crate)))
    for code, what in (("H01", "Skin, Sheep"), ("H02", "Skin, Sheep"), ("R1", "rug")):
        assert f'{code} </span> <span class="dim">{what}</span>' in page
    assert "H03" not in page
    assert "checked" not in page
    assert client.get(reverse("tally_place", args=[9999])).status_code == 404
    assert Client().get(address(crate)).status_code == 302


def test_the_differences_are_shown_and_nothing_is_written(client: Client, crate: Place) -> None:
    page = text(client.post(address(crate), entered("H01", also="h03")))
    for words in ("1 agrees with the books, 2 missing, 1 found that the books have elsewhere", "What about H02?",
                  "How R1 went", "Its cost so far: <b>12.00 €</b>", "The books have it at Freezer."):  # fmt: skip
        assert words in page
    assert f'name="move_{key("H03")}" value="move"' in page
    assert untouched()


def test_what_was_decided_is_written_once_though_sent_twice(client: Client, crate: Place) -> None:
    gone, sold = key("H02"), key("R1")
    sent = decided(
        client, crate, entered("H01", also="H03"),
        **{f"way_{gone}": "lost", f"reason_{gone}": "stolen", f"way_{sold}": "missing", f"reason_{sold}": "from the stall"},
    )  # fmt: skip
    for _ in range(2):
        answer = client.post(address(crate), sent, follow=True)
        assert answer.redirect_chain == [(reverse("tally"), 302)]
        assert "Counted, Salt crate: moved here: H03; lost: H02; gone: R1." in text(answer)
    assert Skin.objects.get(tag="H02").lost_reason == "stolen"
    assert Skin.objects.get(tag="H03").place == crate
    assert Article.objects.get().gone_why == "missing"
    assert Move.objects.count() == 2


@pytest.mark.thorough
def test_looking_again_is_said_and_nothing_is_written(client: Client, crate: Place) -> None:
    ways = {f"way_{key(code)}": "again" for code in ("H01", "H02", "R1")}
    answer = client.post(address(crate), decided(client, crate, entered(), **ways), follow=True)
    assert "to look for again, with nothing recorded: H01, H02, R1." in text(answer)
    assert untouched()


@pytest.mark.thorough
def test_the_offer_of_a_move_may_be_left(client: Client, crate: Place) -> None:
    sent = decided(client, crate, entered("H01", "H02", "R1", also="H03"), **{f"move_{key('H03')}": "leave"})
    assert "nothing had to be recorded" in text(client.post(address(crate), sent, follow=True))
    assert untouched()


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("choice", "said"),
    [
        ({}, "Say what is to be done about H02."),
        ({"way": "lost"}, "How H02 went is missing."),
        ({"way": "lost", "reason": "a\x07"}, "control character"),
        ({"way": "sold"}, "valid choice"),
    ],
)
def test_a_missing_choice_or_reason_is_asked_for_beside_its_difference(
    client: Client, crate: Place, choice: dict[str, str], said: str
) -> None:
    ways = {f"{name}_{key('H02')}": value for name, value in choice.items()}
    answer = client.post(address(crate), decided(client, crate, entered("H01", "R1", also="H03"), **ways))
    page = text(answer)
    assert said in page
    assert "Write what was decided" in page
    assert [name for name in answer.context["form"].errors if name.endswith(key("H02"))]
    assert re.search(rf'name="move_{key("H03")}" value="move"[^>]*checked', page)
    assert untouched()


@pytest.mark.thorough
def test_what_moved_meanwhile_is_named_and_shown_anew(client: Client, crate: Place) -> None:
    sent = decided(
        client, crate, entered("H01", "R1"), **{f"way_{key('H02')}": "lost", f"reason_{key('H02')}": "stolen"}
    )
    moves.move(thing=Skin.objects.get(tag="H02"), to=make.place("Freezer"), on=ON)
    page = text(client.post(address(crate), sent))
    assert "H02 moved in the books since the differences were shown" in page
    assert "0 missing" in page
    assert not Skin.objects.filter(stage="lost").exists()


def test_an_unknown_tag_is_refused_beside_the_box_and_the_ticks_stay(client: Client, crate: Place) -> None:
    page = text(client.post(address(crate), entered("H01", also="H99 X7")))
    assert "“H99” is no tag and no number in the books." in page
    assert "“X7” is no tag" in page
    assert "Show the differences" in page
    assert re.search(rf'value="{key("H01")}"[^>]*checked', page)
    assert "H99 X7</textarea>" in page


@pytest.mark.thorough
def test_what_was_found_can_be_changed_again_as_it_was_entered(client: Client, crate: Place) -> None:
    sent = QueryDict(mutable=True)
    for name, value in entered("H01", "R1", also="H03", step="change").items():
        sent.setlist(name, value if isinstance(value, list) else [value])
    page = text(client.post(address(crate), sent.urlencode(), content_type="application/x-www-form-urlencoded"))
    for code, ticked in (("H01", True), ("H02", False), ("R1", True)):
        assert bool(re.search(rf'value="{key(code)}"[^>]*checked', page)) is ticked
    assert "H03</textarea>" in page
    assert 'name="request_key" value="k1"' in page


@pytest.mark.thorough
def test_a_customers_own_that_is_missing_has_a_caution_and_no_choice(client: Client, crate: Place) -> None:
    job = make.job("J-01", finished=False)
    moves.move(thing=job.skin, to=crate, on=ON)
    sent = entered("H01", "H02", "R1")
    page = text(client.post(address(crate), sent))
    for words in ("It is Ann Hill's, not yours: job J-01", "Nothing is written of it here", "tell its owner"):
        assert words in page
    assert f"way_{key('H-J-01')}" not in page
    forged = decided(client, crate, sent, **{f"way_{key('H-J-01')}": "lost", f"reason_{key('H-J-01')}": "x"})
    client.post(address(crate), forged)
    assert not Skin.objects.filter(stage="lost").exists()


@pytest.mark.thorough
def test_a_batch_says_where_to_look_first(client: Client, crate: Place) -> None:
    batch = make.batch("B1", tags=["H02"], place=make.place("Tub 1", Place.Kind.TUB))
    make.work(minutes=30, batch=batch)
    page = text(client.post(address(crate), entered("H01", "R1")))
    assert "It is in batch B1, which is at Tub 1: look there first." in page


@pytest.mark.thorough
def test_a_role_is_offered_what_it_may_write(crate: Place) -> None:
    sent = entered("H01", also="H03")
    helper, bookkeeper = (signed_in(make.person(role)) for role in ("helper", "bookkeeper"))
    page = text(helper.post(address(crate), sent))
    assert f'name="way_{key("H02")}" value="lost"' in page
    assert f'name="way_{key("R1")}" value="missing"' not in page
    page = text(bookkeeper.post(address(crate), sent))
    assert f'name="way_{key("H02")}" value="lost"' not in page
    assert f'name="move_{key("H03")}" value="move"' not in page
    assert signed_in(make.person("nobody")).post(address(crate), sent).status_code == 403


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(
    "sent", [{"found": ["x", "skin-", "skin-99999999999999999999", "article-0"]}, {"seen_x": "missing"}]
)
def test_a_tampered_page_is_no_fault(client: Client, crate: Place, sent: dict[str, Any]) -> None:
    for step in ("look", "post"):
        assert client.post(address(crate), {**entered(), **sent, "step": step}).status_code == 200
    assert untouched()


@pytest.mark.thorough
def test_the_pages_take_as_many_queries_for_thirty_as_for_one(client: Client, crate: Place) -> None:
    def taken() -> tuple[int, int]:
        return queries(client, reverse("tally")), queries(client, address(crate))

    one = taken()
    for number in range(30):
        make.skin(f"X{number:02}", place=crate)
    assert taken() == one
