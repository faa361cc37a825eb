"""Pages of fairs and galleries: plan, pack, sell in three touches, count back; what a gallery holds and owes."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.models import Channel, Expense, Fair, Payment, Sale
from costing.sell.customers import services as customers
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.fairs import services as fairs
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import services as selling
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.models import Article, Move, Place
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
FAIR_DAY = date(2025, 4, 12)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=FAIR_DAY)
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))


def rug(number: str = "H01", price: str = "185") -> Article:
    """Book 20.23 with 8.25 hours, as in the demo year."""
    factories.skin(number, price=D("20.23"))
    factories.work(DAY, 495, tags=[number])
    return factories.finish(number, pieces=[factories.piece(number, list_price=D(price))])[0]


def fair(*numbers: str, **more: Any) -> Fair:
    """The spring fair with these pieces packed into the fair box."""
    made = fairs.plan(name="Spring fair", on=FAIR_DAY, place=factories.place("Fair box", Place.Kind.FAIR), **more)
    if numbers:
        fairs.pack(fair=made, articles=[rug(number) for number in numbers], on=FAIR_DAY)
    return made


def ways() -> tuple[Channel, Channel]:
    cash = channels.save(name="Fair, cash", fee_percent=D(0), fixed_cost=D(0))
    return cash, channels.save(name="Fair, card", fee_percent=D("1.9"), fixed_cost=D(0), usual=True)


def sale_form(**more: Any) -> dict[str, Any]:
    return {"price": "170", "on": "2025-04-12", "how": "cash", "request_key": "s1"} | more


def test_pages_open_for_the_owner(client: Client) -> None:
    made = fair("H01")
    addresses = [reverse("fairs"), reverse("fair_new")]
    addresses += [reverse(name, args=[made.pk]) for name in ("fair", "fair_pack", "fair_sell", "fair_close")]
    addresses += [reverse("fair_sell", args=[made.pk]) + "?piece=H01", reverse("gallery", args=[made.place_id])]
    for address in addresses:
        assert client.get(address).status_code == 200, address
    for name in ("fair", "fair_pack", "fair_sell", "fair_close", "gallery"):
        assert client.get(reverse(name, args=[9999])).status_code == 404
    assert client.get(reverse("fair_sell", args=[made.pk]) + "?piece=X").status_code == 404


def test_empty_pages_say_what_to_do_first(client: Client) -> None:
    assert "No fair yet" in text(client.get(reverse("fairs")))
    made = fair()
    assert "Pack for it" in text(client.get(reverse("fair", args=[made.pk])))
    assert "Nothing to pack" in text(client.get(reverse("fair_pack", args=[made.pk])))
    assert "Nothing is there any more" in text(client.get(reverse("fair_sell", args=[made.pk])))


def test_a_fair_is_planned_once_though_sent_twice(client: Client) -> None:
    form = {"name": "Midsummer fair", "on": "2025-07-05", "request_key": "k1"}
    for _ in range(2):
        answer = client.post(reverse("fair_new"), form)
        assert answer["location"] == reverse("fair", args=[Fair.objects.get().pk])
    answer = client.post(reverse("fair_new"), form | {"request_key": "k2"})
    assert "entered already" in answer.context["form"].errors["name"][0]
    answer = client.post(reverse("fair_new"), form | {"name": "", "request_key": "k3"})
    assert "required" in answer.context["form"].errors["name"][0]
    assert Fair.objects.count() == 1


def test_pieces_are_packed_once_though_sent_twice(client: Client) -> None:
    made = fair()
    rug()
    page = text(client.get(reverse("fair_pack", args=[made.pk])))
    assert "H01 rug, 185.00 €" in page
    form = {"articles": ["H01"], "on": "2025-04-11", "request_key": "k1"}
    for _ in range(2):
        client.post(reverse("fair_pack", args=[made.pk]), form)
    assert [piece.article.number for piece in made.pieces.all()] == ["H01"]
    assert Article.objects.get().place == made.place
    assert "H01" not in text(client.get(reverse("fair_pack", args=[made.pk]))).split("Nothing to pack")[1]


def test_what_may_not_be_packed_is_refused_by_name(client: Client) -> None:
    made = fair()
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    moves.move(thing=rug("H03"), to=place, on=DAY)
    moves.out(article=rug("H04"), on=DAY, why=Move.Why.GIVEN)
    for number, said in (("H03", "on sale or return"), ("H04", "left on"), ("X9", "No piece was chosen")):
        form = {"articles": [number], "on": "2025-04-11", "request_key": f"k{number}"}
        answer = client.post(reverse("fair_pack", args=[made.pk]), form)
        assert said in answer.context["form"].errors["articles"][0]
    assert not made.pieces.exists()


def test_a_piece_is_sold_in_three_touches(client: Client) -> None:
    """Piece, price, sold: the list price is in the box, so that the price is touched only to go down."""
    made = fair("H01", "H02")
    page = client.get(reverse("fair_sell", args=[made.pk]))
    assert 'href="?piece=H01"' in page.content.decode()
    page = client.get(reverse("fair_sell", args=[made.pk]) + "?piece=H01")
    assert 'value="185"' in page.content.decode()
    for button in ("Sold for cash", "Sold by card"):
        assert button in text(page)
    for _ in range(2):
        answer = client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H01", sale_form())
        assert answer["location"] == reverse("fair_sell", args=[made.pk])
    paper = Sale.objects.get()
    line = paper.lines.get()
    assert (paper.fair, line.asked, line.discount, line.gross) == (made, D(185), D(15), D(170))
    assert (Payment.objects.get().amount, Payment.objects.get().how) == (D(170), "cash")
    assert (
        "H01"
        not in client.get(reverse("fair_sell", args=[made.pk])).content.decode().split("<main")[1].split("cards")[1]
    )


@pytest.mark.thorough
def test_a_card_goes_through_its_reader_and_cash_through_none(client: Client) -> None:
    """1.9 % of 240.00 are 4.56."""
    cash, card = ways()
    made = fair("H01", "H02")
    form = client.get(reverse("fair_sell", args=[made.pk]) + "?piece=H01").context["form"]
    assert (form["cash"].value(), form["card"].value()) == (cash.pk, card.pk)
    both = {"cash": cash.pk, "card": card.pk}
    client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H01", sale_form(price="240", how="card", **both))
    paper = Sale.objects.get()
    assert (paper.channel, Expense.objects.get().amount, Payment.objects.get().how) == (card, D("4.56"), "card")
    assert (paper.lines.get().asked, paper.lines.get().discount) == (D(240), D(0))
    client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H02", sale_form(request_key="s2", **both))
    assert Expense.objects.count() == 1


@pytest.mark.thorough
def test_the_way_of_the_last_fair_is_proposed(client: Client) -> None:
    ways()
    other = channels.save(name="Another reader", fee_percent=D("2.5"), fixed_cost=D(0))
    made = fair("H01", "H02")
    piece = Article.objects.get(number="H01")
    item = Item("article", D(170), article=piece)
    selling.sell(on=FAIR_DAY, items=[item], fair=made, channel=other, paid=[Paid(None, "card")])
    form = client.get(reverse("fair_sell", args=[made.pk]) + "?piece=H02").context["form"]
    assert form["card"].value() == other.pk


@pytest.mark.thorough
def test_what_a_price_earns_stands_beside_it_and_the_floors_are_folded(client: Client) -> None:
    """(185 × 0.981 - 20.23) ÷ 8.25 = 19.55 an hour."""
    ways()
    made = fair("H01")
    page = text(client.get(reverse("fair_sell", args=[made.pk]) + "?piece=H01"))
    assert "an hour earns <b>19.55 €</b>" in page
    before = page.partition("Least prices")[0]
    assert "20.63 €" not in before


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"price": ""}, "price", "required"),
        ({"price": "x"}, "price", "figure"),
        ({"price": "-1"}, "price", "negative"),
        ({"price": "1.0050"}, "price", "decimals"),
        ({"on": "2025-03-01"}, "on", "was not there to sell"),
        ({"card": "999"}, "card", "valid choice"),
        ({"card": "x"}, "card", "valid choice"),
    ],
)
def test_a_wrong_fair_sale_is_refused_beside_its_box(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    made = fair("H01")
    answer = client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H01", sale_form(**wrong))
    assert said in answer.context["form"].errors[field][0]
    assert not Sale.objects.exists()


@pytest.mark.thorough
def test_a_sold_piece_is_refused_beside_its_price_with_the_way_out(client: Client) -> None:
    made = fair("H01")
    address = reverse("fair_sell", args=[made.pk]) + "?piece=H01"
    client.post(address, sale_form())
    answer = client.post(address, sale_form(request_key="s2"))
    assert "left on 2025-04-12 (sold by S-001)" in answer.context["form"].errors["price"][0]
    assert reverse("article", args=["H01"]) in text(answer)
    assert Sale.objects.count() == 1


@pytest.mark.thorough
def test_the_count_back_names_what_is_missing(client: Client) -> None:
    made = fair("H01", "H02", "H03")
    shelf = factories.place("Finished shelf")
    client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H01", sale_form())
    form = {"back": ["H02"], "to": shelf.pk, "hours": "7", "on": "2025-04-12", "request_key": "c1"}
    answer = client.post(reverse("fair_close", args=[made.pk]), form)
    assert "H03 went to the fair and is neither sold nor back" in answer.context["form"].errors["back"][0]
    made.refresh_from_db()
    assert made.closed_on is None
    form = form | {"back": ["H02", "H03"], "request_key": "c2"}
    for _ in range(2):
        assert client.post(reverse("fair_close", args=[made.pk]), form).status_code == 302
    made.refresh_from_db()
    assert (made.closed_on, made.stall_minutes) == (FAIR_DAY, D(420))
    assert {piece.place for piece in Article.objects.filter(gone_on__isnull=True)} == {shelf}
    answer = client.post(reverse("fair_close", args=[made.pk]), form | {"request_key": "c3"})
    assert "is closed" in text(answer)
    assert "Counted back already" in text(client.get(reverse("fair_sell", args=[made.pk])))


@pytest.mark.thorough
def test_a_fair_says_what_it_left_per_stall_hour_and_what_pays_for_it(client: Client) -> None:
    """170.00 - 20.23 - 35.00 - 12.00 = 102.77 in 7 hours: 14.68 each; 47.00 ÷ (1 - 20.23 ÷ 170.00) = 53.35."""
    made = fair("H01", stall_minutes=D(420))
    client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H01", sale_form())
    for kind, amount in (("pitch", 35), ("fuel", 12)):
        expenses.spend(kind=kind, amount=D(amount), on=FAIR_DAY, fair=made)
    for address in (reverse("fair", args=[made.pk]), reverse("fairs")):
        page = text(client.get(address))
        for figure in ("170.00 €", "102.77 €", "14.68 €"):
            assert figure in page, (address, figure)
    page = text(client.get(reverse("fair", args=[made.pk])))
    assert "53.35 €" in page
    assert "sold 170.00 €" in page
    assert "S-001" in page


@pytest.mark.thorough
def test_a_fair_at_which_goods_cost_all_of_it_says_so(client: Client) -> None:
    made = fair("H01")
    client.post(reverse("fair_sell", args=[made.pk]) + "?piece=H01", sale_form(price="20"))
    assert "raise the prices" in text(client.get(reverse("fair", args=[made.pk])))


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_plans_packs_sells_and_closes(role: str) -> None:
    made = fair("H01")
    other = signed_in(factories.person(role))
    forms = {
        reverse("fair_new"): {"name": "X", "on": "2025-07-05", "request_key": "a"},
        reverse("fair_pack", args=[made.pk]): {"articles": ["H01"], "on": "2025-04-12", "request_key": "b"},
        reverse("fair_sell", args=[made.pk]) + "?piece=H01": sale_form(request_key="c"),
        reverse("fair_close", args=[made.pk]): {"hours": "1", "on": "2025-04-12", "request_key": "d"},
    }
    for address, form in forms.items():
        assert other.post(address, form).status_code == 403, address
    assert not Sale.objects.exists()
    assert "Sell here" not in text(other.get(reverse("fair", args=[made.pk])))


@pytest.mark.thorough
def test_a_gallery_shows_what_it_holds_since_when_and_what_it_sold(client: Client) -> None:
    """140.00 sold, 49.00 kept, 91.00 owed at the end of the month."""
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    page = text(client.get(reverse("gallery", args=[place.pk])))
    assert "No way to sell is tied to this gallery yet" in page
    channel = channels.save(name="Craft Room", fee_percent=D(35), fixed_cost=D(0))
    factories.sells_through(channel, place)
    for number in ("H03", "H07"):
        moves.move(thing=rug(number, "140"), to=place, on=date(2025, 3, 5))
    who = customers.named(name="Craft Room", postal_address="High street 1")
    selling.sell(
        on=date(2025, 3, 20),
        kind="invoice",
        channel=channel,
        customer=who,
        items=[Item("article", D(140), article=Article.objects.get(number="H07"))],
        spent=[Cost("fee", withheld=True)],
    )
    answer = client.get(reverse("gallery", args=[place.pk]), {"month": "2025-03"})
    statement = answer.context["statement"]
    assert (statement.gross, statement.fees, statement.left) == (D(140), D(49), D(91))
    assert [(piece.number, came.on) for piece, came in answer.context["held"]] == [("H03", date(2025, 3, 5))]
    page = text(answer)
    for words in ("INV-001", "5 Mar 2025", "?month=2025-02", "?month=2025-04", "?piece=H03"):
        assert words in page
    assert client.get(reverse("gallery", args=[place.pk])).context["statement"].rows == []
    assert "Craft Room" in text(client.get(reverse("sales")))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("month", ["x", "2025-13", "0000-01", "99999-01", "2025-01-01"])
def test_an_odd_month_is_answered_in_words(client: Client, month: str) -> None:
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    answer = client.get(reverse("gallery", args=[place.pk]), {"month": month}, follow=True)
    assert "is not a month" in text(answer)


@pytest.mark.parametrize("month", ["0001-01", "9999-12"])
def test_the_first_and_the_last_month_of_all_are_shown(client: Client, month: str) -> None:
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    assert client.get(reverse("gallery", args=[place.pk]), {"month": month}).status_code == 200


@pytest.mark.thorough
@pytest.mark.slow
def test_pages_take_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    channel = channels.save(name="Craft Room", fee_percent=D(35), fixed_cost=D(0))
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    factories.sells_through(channel, place)
    made = fair("H01", "H02")
    third = rug("H03")
    moves.move(thing=third, to=place, on=DAY)
    moves.move(thing=rug("H04"), to=place, on=DAY)

    def sell(article: Article, **more: Any) -> None:
        selling.sell(
            on=FAIR_DAY,
            items=[Item("article", D(9), article=article)],
            spent=[Cost("fee", D(1))],
            paid=[Paid(D(2))],
            **more,
        )

    sell(Article.objects.get(number="H01"), fair=made)
    sell(third, channel=channel)
    names = ("fair", "fair_pack", "fair_sell", "fair_close")
    addresses = [reverse("fairs"), reverse("gallery", args=[place.pk]) + "?month=2025-04"]
    addresses += [reverse(name, args=[made.pk]) for name in names]
    rug("H05")
    one = [queries(client, address) for address in addresses]
    factories.skin("H50")
    pieces = factories.finish("H50", pieces=[factories.piece(f"P{n:02d}", "1/30", list_price=D(9)) for n in range(30)])
    fairs.pack(fair=made, articles=pieces[:12], on=FAIR_DAY)
    for piece in pieces[12:24]:
        moves.move(thing=piece, to=place, on=DAY)
    for piece in pieces[:6]:
        sell(piece, fair=made)
    for piece in pieces[12:18]:
        sell(piece, channel=channel)
    for number in range(10):
        fairs.plan(name=f"Fair {number}", on=FAIR_DAY)
    assert [queries(client, address) for address in addresses] == one


@pytest.mark.thorough
def test_a_price_ten_times_the_list_price_is_asked_about_and_the_answer_is_paid_as_it_was(client: Client) -> None:
    ways()
    made = fair("H01")
    address = reverse("fair_sell", args=[made.pk]) + "?piece=H01"
    page = text(client.post(address, sale_form(price="1850", how="card")))
    assert "1 850.00 € is entered as the price of H01; its list price is 185.00 €." in page
    assert '<input type="hidden" name="how" value="card">' in page
    assert not Sale.objects.exists()
