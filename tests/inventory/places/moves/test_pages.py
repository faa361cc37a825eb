"""Pages of moves: things go to places, pieces leave without a sale, the last move is taken back."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.models import Article, Material, Move, Place, Skin
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


def piece(number: str = "H03") -> Article:
    factories.skin(number)
    return factories.finish(number, pieces=[factories.piece(number)])[0]


def sent(to: Place | None = None, **more: Any) -> dict[str, Any]:
    return {"to": to.pk if to else "", "on": "2025-03-20", "request_key": "k1"} | more


def test_pages_open_for_the_owner(client: Client) -> None:
    made = moves.move(thing=piece(), to=factories.place(), on=DAY)
    factories.skin("H09")
    factories.material("SALT")
    addresses = [reverse("article_move", args=["H03"]), reverse("article_out", args=["H03"])]
    addresses += [reverse("skin_move", args=["H09"]), reverse("material_move", args=["SALT"])]
    addresses += [reverse("move_reverse", args=[made.pk])]
    for address in addresses:
        assert client.get(address).status_code == 200, address
    for name in ("article_move", "article_out", "skin_move", "material_move"):
        assert client.get(reverse(name, args=["X9"])).status_code == 404
    assert client.get(reverse("move_reverse", args=[9999])).status_code == 404


def test_a_piece_is_moved_once_though_sent_twice(client: Client) -> None:
    piece()
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    for _ in range(2):
        answer = client.post(reverse("article_move", args=["H03"]), sent(place, note="on sale or return"))
        assert answer["location"] == reverse("article", args=["H03"])
    made = Move.objects.get()
    assert (made.to, made.on, made.note) == (place, date(2025, 3, 20), "on sale or return")
    assert made.written_by == factories.owner()
    page = text(client.get(reverse("article", args=["H03"])))
    for words in ("Where it was", "Moved to Craft Room", "20 Mar 2025"):
        assert words in page
    assert "Craft Room" in text(client.get(reverse("articles")))


def test_skins_and_materials_are_moved_too(client: Client) -> None:
    place = factories.place("Salt crate", Place.Kind.SHED)
    factories.skin("H09")
    factories.material("SALT")
    skin, salt = reverse("skin_move", args=["H09"]), reverse("material_move", args=["SALT"])
    assert client.post(skin, sent(place))["location"] == reverse("skin", args=["H09"])
    assert client.post(salt, sent(place, request_key="k2"))["location"] == reverse("material", args=["SALT"])
    assert (Skin.objects.get().place, Material.objects.get().place) == (place, place)
    assert skin in text(client.get(reverse("skin", args=["H09"])))
    assert salt in text(client.get(reverse("material", args=["SALT"])))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"on": ""}, "on", "required"),
        ({"on": "2025-03-01"}, "on", "was finished on 2025-03-04"),
        ({"on": "2099-01-01"}, "on", "too far"),
        ({"to": "999"}, "to", "valid choice"),
        ({"note": "a\x07"}, "note", "control character"),
    ],
)
def test_a_wrong_move_is_refused_beside_its_box(client: Client, wrong: dict[str, str], field: str, said: str) -> None:
    piece()
    answer = client.post(reverse("article_move", args=["H03"]), sent(factories.place()) | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not Move.objects.exists()


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("why", ["given", "own_use", "spoiled", "missing"])
def test_a_piece_leaves_once_though_sent_twice(client: Client, why: str) -> None:
    piece()
    form = {"why": why, "on": "2025-03-20", "request_key": "k1"}
    for _ in range(2):
        assert client.post(reverse("article_out", args=["H03"]), form).status_code == 302
    made = Article.objects.get()
    assert (made.gone_on, made.gone_why) == (date(2025, 3, 20), why)
    page = text(client.get(reverse("article", args=["H03"])))
    assert Move.Why(why).label in page
    assert reverse("article_out", args=["H03"]) not in page
    assert Move.Why(why).label in text(client.get(reverse("articles"), {"gone": "yes"}))
    assert "No article matches" in text(client.get(reverse("articles"), {"gone": "no"}))


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"why": "sold"}, "why", "valid choice"),
        ({"why": ""}, "why", "required"),
        ({"on": "2025-03-01"}, "on", "was finished"),
        ({"note": "a\x07"}, "note", "control character"),
    ],
)
def test_a_wrong_leaving_is_refused_beside_its_box(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    piece()
    form = {"why": "given", "on": "2025-03-20", "request_key": "k1"} | wrong
    assert said in client.post(reverse("article_out", args=["H03"]), form).context["form"].errors[field][0]
    assert Article.objects.get().gone_on is None


def test_nothing_leaves_into_closed_books_and_what_is_gone_stays_gone(client: Client) -> None:
    piece()
    workshop.close_books(to=date(2025, 3, 25))
    form = {"why": "given", "on": "2025-03-20", "request_key": "k1"}
    answer = client.post(reverse("article_out", args=["H03"]), form)
    assert "books are closed" in answer.context["form"].errors["on"][0]
    workshop.close_books(to=None, reason="one bill more")
    client.post(reverse("article_out", args=["H03"]), form | {"request_key": "k2"})
    answer = client.post(reverse("article_move", args=["H03"]), sent(factories.place(), request_key="k3"))
    assert "It must come back first" in text(answer)
    assert Move.objects.count() == 1


def test_a_customers_piece_does_not_leave_by_hand(client: Client) -> None:
    factories.skin("H06", price=0, owner="customer", customer="Mrs Tuohi")
    factories.finish("H06", pieces=[factories.piece("H06")])
    answer = client.post(reverse("article_out", args=["H06"]), {"why": "given", "on": "2025-03-20", "request_key": "k"})
    assert "leaves when its job is handed over" in text(answer)
    assert "Remove from stock" not in text(client.get(reverse("article", args=["H06"])))
    assert not Move.objects.exists()


def test_the_last_move_is_taken_back_and_no_other(client: Client) -> None:
    shelf, shop = factories.place(), factories.place("Craft Room", Place.Kind.GALLERY)
    first = moves.move(thing=piece(), to=shelf, on=DAY)
    last = moves.move(thing=Article.objects.get(), to=shop, on=DAY)
    page = text(client.get(reverse("article", args=["H03"])))
    assert reverse("move_reverse", args=[last.pk]) in page
    assert reverse("move_reverse", args=[first.pk]) not in page
    answer = client.post(reverse("move_reverse", args=[first.pk]), {"request_key": "b0"})
    assert "has moved since" in text(answer)
    assert "is at Shed shelf again" in text(client.get(reverse("move_reverse", args=[last.pk])))
    client.post(reverse("move_reverse", args=[last.pk]), {"request_key": "b1"})
    assert Article.objects.get().place == shelf
    assert "Craft Room" not in text(client.get(reverse("article", args=["H03"])))
    assert "reversed already" in text(client.post(reverse("move_reverse", args=[last.pk]), {"request_key": "b2"}))


def test_a_gift_is_reverser_the_owner_only(client: Client) -> None:
    made = moves.out(article=piece(), on=DAY, why=Move.Why.GIVEN)
    helper = signed_in(factories.person("helper"))
    assert helper.post(reverse("move_reverse", args=[made.pk]), {"request_key": "b"}).status_code == 403
    client.post(reverse("move_reverse", args=[made.pk]), {"request_key": "b"})
    assert Article.objects.get().gone_on is None


def test_a_helper_moves_and_lets_nothing_go_and_a_bookkeeper_does_neither() -> None:
    piece()
    out = {"why": "given", "on": "2025-03-20", "request_key": "k2"}
    helper, keeper = signed_in(factories.person("helper")), signed_in(factories.person("bookkeeper"))
    assert keeper.post(reverse("article_move", args=["H03"]), sent(factories.place())).status_code == 403
    assert helper.post(reverse("article_move", args=["H03"]), sent(factories.place())).status_code == 302
    for other in (helper, keeper):
        assert other.post(reverse("article_out", args=["H03"]), out).status_code == 403
    assert Article.objects.get().gone_on is None


@pytest.mark.thorough
def test_an_article_of_many_moves_takes_as_many_queries_as_one_of_one(client: Client) -> None:
    made = piece()
    moves.move(thing=made, to=factories.place(), on=DAY)
    one = queries(client, reverse("article", args=["H03"]))
    for number in range(29):
        moves.move(thing=made, to=factories.place(f"Shelf {number}"), on=DAY)
    assert queries(client, reverse("article", args=["H03"])) == one


@pytest.mark.parametrize(("name", "code"), [("skin", "H09"), ("material", "SALT")])
def test_a_description_asks_no_place_and_leads_to_the_move(client: Client, name: str, code: str) -> None:
    here, there = factories.place("Freezer", "freezer"), factories.place("Crate")
    factories.skin("H09", place=here)
    factories.material("SALT", place=here)
    page = client.get(reverse(f"{name}_edit", args=[code]))
    assert "place" not in page.context["form"].fields
    assert "At <b>Freezer</b>" in page.content.decode()
    assert reverse(f"{name}_move", args=[code]) in page.content.decode()
    told = {"species": "Sheep", "name": "Salt", "unit": "kg", "place": there.pk, "request_key": "k"}
    assert client.post(reverse(f"{name}_edit", args=[code]), told).status_code == 302
    assert not Move.objects.exists()
    assert {Skin.objects.get().place, Material.objects.get().place} == {here}


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("name", "code"), [("skin", "H09"), ("material", "SALT")])
def test_skins_and_materials_tell_where_they_were_and_take_back_the_last_move(
    client: Client, name: str, code: str
) -> None:
    factories.skin("H09")
    factories.material("SALT")
    address = reverse(name, args=[code])
    assert "Where it was" not in text(client.get(address))
    thing: moves.Thing = Skin.objects.get() if name == "skin" else Material.objects.get()
    first = moves.move(thing=thing, to=factories.place("Crate"), on=DAY)
    one = queries(client, address)
    last = moves.move(thing=thing, to=factories.place("Freezer"), on=DAY, note="a warm week")
    page = text(client.get(address))
    assert "Moved to Crate" in page
    assert "Moved to Freezer" in page
    assert "a warm week" in page
    assert reverse("move_reverse", args=[last.pk]) in page
    assert reverse("move_reverse", args=[first.pk]) not in page
    assert queries(client, address) == one
    bookkeeper = signed_in(factories.person("bookkeeper"))
    assert reverse("move_reverse", args=[last.pk]) not in text(bookkeeper.get(address))
