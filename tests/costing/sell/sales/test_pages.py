"""Pages of sales: the list, selling in few taps, one paper with its money, crediting it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.make.losses import services as losses
from costing.models import Channel, Customer, Expense, Fair, Job, Payment, Sale
from costing.sell.customers import services as customers
from costing.sell.expenses.services import Cost
from costing.sell.fairs import services as fairs
from costing.sell.jobs import services as jobs
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import selectors as sales, services as selling
from costing.sell.sales.invoices import rules as documents
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as workshop
from inventory.models import Article, Kind, Move, Place, Posting
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, signed_in, text
from workshop.today import selectors as today

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = date(2025, 3, 31)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=TODAY)
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))


def rug(number: str = "H03", price: str | None = "185", **details: Any) -> Article:
    """The demo year's H03: book 20.23, 9.25 h, full 206.75."""
    factories.skin(number, price=D("20.23"))
    factories.work(DAY, 450, tags=[number])
    factories.work(DAY, 105, task="lace", tags=[number])
    piece = factories.piece(number, area=D(10100), list_price=None if price is None else D(price), **details)
    return factories.finish(number, pieces=[piece])[0]


def way(name: str = "Fair, card", fee: str = "1.9", **options: Any) -> Channel:
    return channels.save(name=name, fee_percent=D(fee), fixed_cost=D(0), **options)


def gallery() -> tuple[Channel, Place]:
    place = factories.place("Craft Room", Place.Kind.GALLERY)
    channel = way("Craft Room", "35")
    channel.place = place
    channel.save()
    return channel, place


def buyer(name: str = "Helka Suvantola") -> Customer:
    return customers.write(name=name, postal_address="Tervaslampi 8")


def job(number: str = "J-01", *, deposit: str = "66") -> Job:
    skin = factories.skin("H06", price=0, owner="customer", customer="Mrs Tuohi")
    made = jobs.take(
        number=number, customer=buyer("Mrs Tuohi"), skin=skin, work="taw it", price=D(165), deposit=D(66), taken_on=DAY
    )
    if D(deposit):
        payments.receive(job=made, amount=D(deposit), on=DAY)
    factories.finish("H06", pieces=[factories.piece("H06")])
    return made


def sent(*keys: str, key: str = "k1", **more: Any) -> dict[str, Any]:
    """The form of these things as a browser would send it, each asked at 185."""
    lines: dict[str, Any] = {}
    for place, thing in enumerate(keys):
        lines |= {f"line-{place}-thing": thing, f"line-{place}-asked": "185"}
    return lines | {"on": "2025-03-20", "kind": "sale", "boxes": "1", "request_key": key} | more


def sell(client: Client, *keys: str, **more: Any) -> HttpResponse:
    fields = {name.replace("__", "-"): value for name, value in more.items()}
    return client.post(reverse("sale_new"), sent(*keys, **fields))


def sold(number: str = "H03", price: str = "185", **more: Any) -> Sale:
    """A sale through the service."""
    piece = Article.objects.filter(number=number).first() or rug(number)
    return selling.sell(on=date(2025, 3, 20), items=[Item("article", D(price), article=piece)], **more)


def test_pages_open_for_the_owner(client: Client) -> None:
    paper = sold()
    rug("H04")
    addresses = [reverse("sales"), reverse("sale_new"), reverse("sale_new") + "?piece=H04"]
    addresses += [reverse("sale", args=[paper.number]), reverse("sale_credit", args=[paper.number])]
    for address in addresses:
        assert client.get(address).status_code == 200
    assert client.get(reverse("sale", args=["S-999"])).status_code == 404


def test_nothing_sold_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("sales")))
    assert "Nothing sold yet" in page
    assert reverse("sale_new") in page


def test_the_pieces_here_are_offered_with_their_list_price(client: Client) -> None:
    rug()
    page = text(client.get(reverse("sale_new")))
    assert "H03 rug, 185.00 €" in page


@pytest.mark.parametrize("words", ["H03", "h03"])
def test_a_number_or_the_tag_of_its_skin_leads_to_the_piece(client: Client, words: str) -> None:
    factories.skin("H03")
    factories.finish("H03", pieces=[factories.piece("RUG-1", list_price=D(99))])
    page = client.get(reverse("sale_new"), {"find": words}).content.decode()
    assert 'value="article:RUG-1"' in page
    assert 'value="99"' in page


def test_what_nobody_knows_is_said_where_it_was_typed(client: Client) -> None:
    rug()
    page = text(client.get(reverse("sale_new"), {"find": "X99"}))
    assert "Nothing is numbered or tagged 'X99'" in page
    assert 'value="X99"' in page


@pytest.mark.thorough
def test_a_piece_comes_with_its_list_price_and_what_an_hour_earns(client: Client) -> None:
    """At 185.00 by card: (185 × 0.981 - 20.23) ÷ 9.25 = 17.43 an hour."""
    way(usual=True)
    rug()
    answer = client.get(reverse("sale_new"), {"piece": "H03"})
    page = text(answer)
    assert 'value="185"' in page
    assert "At <b>185.00 €</b> an hour earns <b>17.43 €</b>" in page


@pytest.mark.thorough
def test_the_floors_are_there_and_folded_away(client: Client) -> None:
    """Nobody who looks over reads them before the maker opens them."""
    way(usual=True)
    rug()
    page = text(client.get(reverse("sale_new"), {"piece": "H03"}))
    before, floors = page.split("Least prices", 1)
    for floor in ("20.63 €", "171.49 €", "210.76 €"):
        assert floor in floors
        assert floor not in before
    assert before.rstrip().endswith("<details><summary>")


def test_a_bookkeeper_sees_no_floor_and_a_helper_no_sale(client: Client) -> None:
    way(usual=True)
    rug()
    page = text(signed_in(factories.person("bookkeeper")).get(reverse("sale_new"), {"piece": "H03"}))
    assert "Least prices" not in page
    assert signed_in(factories.person("helper")).get(reverse("sale_new"), {"piece": "H03"}).status_code == 403


@pytest.mark.thorough
def test_a_lower_price_is_tried_without_selling(client: Client) -> None:
    """At 170.00 without a fee: (170 - 20.23) ÷ 9.25 = 16.19 an hour."""
    rug()
    answer = sell(client, "article:H03", line__0__taken="170", look="1")
    assert "At <b>170.00 €</b> an hour earns <b>16.19 €</b>" in text(answer)
    assert 'value="170"' in answer.content.decode()
    assert not Sale.objects.exists()


@pytest.mark.thorough
def test_the_haggling_line_answers_alone_while_a_price_is_typed(client: Client) -> None:
    card = way()
    rug()
    asked = {"line": "1", "line-1-thing": "article:H03", "line-1-asked": "185", "line-1-taken": "", "channel": card.pk}
    asked["keeps"] = "on"
    assert "17.43 €" in text(client.get(reverse("sale_earned"), asked))
    # 185.00 less 20.23, over 9.25 h: the fee is not written, so the sale will not show it either.
    assert "17.81 €" in text(client.get(reverse("sale_earned"), {**asked, "keeps": ""} | {"channel": ""}))
    assert "16.19 €" in text(client.get(reverse("sale_earned"), asked | {"line-1-taken": "170,00", "channel": ""}))
    for odd in ("NaN", "1e999", "-5", "x", ""):
        page = text(client.get(reverse("sale_earned"), asked | {"line-1-asked": odd}))
        assert "Type a price" in page
    assert client.get(reverse("sale_earned"), {"line-0-thing": "article:X"}).status_code == 404
    assert client.get(reverse("sale_earned"), asked | {"line": "x"}).status_code == 404


def test_a_piece_is_sold_once_though_sent_twice(client: Client) -> None:
    rug()
    for _ in range(2):
        assert sell(client, "article:H03", how="cash")["location"] == reverse("sale", args=["S-001"])
    paper = Sale.objects.get()
    assert (paper.gross, paper.on, paper.kind) == (D(185), date(2025, 3, 20), "sale")
    assert Payment.objects.get().amount == D(185)
    piece = Article.objects.get()
    assert (piece.gone_on, piece.gone_why) == (date(2025, 3, 20), Move.Why.SOLD)
    assert paper.written_by == factories.owner()


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("lower", [{"line__0__taken": "170"}, {"line__0__discount": "15"}])
def test_what_was_taken_and_what_came_off_are_the_same_said_twice(client: Client, lower: dict[str, str]) -> None:
    rug()
    sell(client, "article:H03", how="cash", **lower)
    line = Sale.objects.get().lines.get()
    assert (line.asked, line.discount, line.gross) == (D(185), D(15), D(170))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"line__0__asked": ""}, "asked", "required"),
        ({"line__0__asked": "much"}, "asked", "is not a figure"),
        ({"line__0__asked": "-5"}, "asked", "negative"),
        ({"line__0__asked": "1.0050"}, "asked", "decimals"),
        ({"line__0__taken": "190"}, "taken", "more than the list price"),
        ({"line__0__discount": "200"}, "discount", "leaves nothing"),
        ({"line__0__taken": "170", "line__0__discount": "10"}, "discount", "is not 170"),
    ],
)
def test_a_wrong_price_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    rug()
    answer = sell(client, "article:H03", **wrong)
    assert said in answer.context["lines"][0].errors[field][0]
    assert "Please correct this" in text(answer)
    assert not Sale.objects.exists()


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"on": ""}, "on", "required"),
        ({"on": "2025-03-01"}, "on", "was not there to sell"),
        ({"kind": "invoice"}, "customer", "made out to somebody"),
        ({"amount": "50"}, "how", "Say how it was paid"),
        ({"how": "cash", "amount": "200"}, "amount", "is more"),
        ({"how": "cash", "amount": "0"}, "amount", "more than nothing"),
        ({"other": "Course"}, "other_price", "sold for"),
        ({"other_price": "5"}, "other", "what was sold"),
        ({"note": "a\x07"}, "note", "control character"),
        ({"fee": "-1"}, None, "negative"),
    ],
)
def test_a_wrong_paper_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str | None, said: str
) -> None:
    rug()
    form = sell(client, "article:H03", **wrong).context["form"]
    assert said in (form.errors[field][0] if field else str(form.errors))
    assert not Sale.objects.exists()
    assert not Payment.objects.exists()
    assert Article.objects.get().gone_on is None


@pytest.mark.thorough
def test_a_sold_piece_is_refused_with_the_way_to_its_sale(client: Client) -> None:
    paper = sold()
    answer = sell(client, "article:H03")
    assert "Credit that sale first" in answer.context["lines"][0].errors["asked"][0]
    assert reverse("sale", args=[paper.number]) in text(answer)
    assert Sale.objects.count() == 1


def test_a_given_piece_is_refused_with_the_way_to_where_it_went(client: Client) -> None:
    moves.out(article=rug(), on=DAY, why=Move.Why.GIVEN)
    page = text(sell(client, "article:H03"))
    assert "H03 left on 2025-03-04 (given away)" in page
    assert f'href="{reverse("article", args=["H03"])}"' in page


@pytest.mark.thorough
def test_a_piece_at_a_gallery_is_sold_through_it_or_moved_back_first(client: Client) -> None:
    channel, place = gallery()
    moves.move(thing=rug(), to=place, on=DAY)
    answer = sell(client, "article:H03")
    assert "Sell it through Craft Room, or move it back first" in answer.context["lines"][0].errors["asked"][0]
    assert reverse("article_move", args=["H03"]) in text(answer)
    assert not Sale.objects.exists()
    assert sell(client, "article:H03", channel=channel.pk).status_code == 302


@pytest.mark.thorough
def test_a_customers_piece_is_billed_by_its_job(client: Client) -> None:
    job()
    answer = sell(client, "article:H06")
    assert "Bill the work on it by its job" in answer.context["lines"][0].errors["asked"][0]
    assert "?job=J-01" in text(answer)


def test_nothing_is_sold_into_closed_books(client: Client) -> None:
    rug()
    workshop.close_books(to=date(2025, 3, 25))
    answer = sell(client, "article:H03")
    assert "books are closed" in answer.context["form"].errors["on"][0]
    assert not Sale.objects.exists()


@pytest.mark.thorough
def test_one_of_two_lines_is_named_by_its_refusal(client: Client) -> None:
    sold()
    rug("H04")
    lines = sell(client, "article:H04", "article:H03").context["lines"]
    assert not lines[0].errors
    assert "left on" in lines[1].errors["asked"][0]


def test_a_thing_that_is_not_there_any_more_is_passed_over_and_nothing_is_sold(client: Client) -> None:
    answer = sell(client, "article:X99")
    assert "Nothing was chosen" in text(answer)
    assert not Sale.objects.exists()


@pytest.mark.thorough
def test_another_piece_is_added_and_what_was_typed_stays(client: Client) -> None:
    rug()
    rug("H04", price="240")
    answer = sell(client, "article:H03", line__0__taken="170", find="h04", more="1", note="hello")
    page = answer.content.decode()
    for value in ("article:H03", "article:H04", "170", "240", "hello"):
        assert f'value="{value}"' in page
    assert not Sale.objects.exists()
    assert "Nothing is numbered" in text(sell(client, "article:H03", find="X9", more="1"))


@pytest.mark.thorough
def test_two_pieces_of_one_tag_are_added_in_a_row_each(client: Client) -> None:
    rug()
    factories.skin("H05")
    factories.finish("H05", pieces=[factories.piece("CUSH1", "1/2"), factories.piece("CUSH2", "1/2")])
    page = sell(client, "article:H03", find="H05", more="1").content.decode()
    for row, key in enumerate(("article:H03", "article:CUSH1", "article:CUSH2")):
        assert f'name="line-{row}-thing" value="{key}"' in page


@pytest.mark.thorough
def test_a_line_can_be_left_out_again(client: Client) -> None:
    rug()
    rug("H04")
    sell(client, "article:H03", "article:H04", line__1__out="on")
    assert [line.article_id for line in Sale.objects.get().lines.all()] == [Article.objects.get(number="H03").pk]


@pytest.mark.thorough
def test_the_channel_keeps_its_percent_only_when_that_is_ticked(client: Client) -> None:
    """1.9 % of 240.00 are 4.56."""
    card = way()
    rug()
    rug("H04")
    sell(client, "article:H03", channel=card.pk)
    assert not Expense.objects.exists()
    sell(client, "article:H04", channel=card.pk, keeps="on", line__0__asked="240", key="k2")
    cost = Expense.objects.get()
    assert (cost.kind, cost.amount, cost.withheld) == ("fee", D("4.56"), False)


@pytest.mark.thorough
def test_a_fee_typed_goes_before_the_percent(client: Client) -> None:
    card = way()
    rug()
    sell(client, "article:H03", channel=card.pk, keeps="on", fee="3,33")
    assert Expense.objects.get().amount == D("3.33")


@pytest.mark.thorough
def test_a_gallery_keeps_its_part_and_owes_the_rest(client: Client) -> None:
    """35 % of 140.00 are 49.00 kept back; 91.00 are owed."""
    channel, place = gallery()
    moves.move(thing=rug(), to=place, on=DAY)
    page = client.get(reverse("sale_new"), {"piece": "H03"}).content.decode()
    assert f'<option value="{channel.pk}" selected' in page
    shop = buyer("Craft Room")
    form = {"channel": channel.pk, "keeps": "on", "withheld": "on", "kind": "invoice", "customer": shop.pk}
    sell(client, "article:H03", line__0__asked="140", **form)
    answer = client.get(reverse("sale", args=["INV-001"]))
    assert answer.context["stands"].balance.left == D(91)
    assert "49.00 €" in text(answer)


@pytest.mark.thorough
def test_a_gallerys_buyer_and_paper_are_proposed_the_next_time(client: Client) -> None:
    channel, place = gallery()
    shop = buyer("Craft Room")
    moves.move(thing=rug(), to=place, on=DAY)
    sold("H03", kind="invoice", channel=channel, customer=shop)
    moves.move(thing=rug("H04"), to=place, on=DAY)
    form = client.get(reverse("sale_new"), {"piece": "H04"}).context["form"]
    assert (form["kind"].value(), form["customer"].value(), form["how"].value()) == ("invoice", shop.pk, "")


@pytest.mark.thorough
def test_a_parcel_takes_a_box_from_the_shelf_and_charges_postage(client: Client) -> None:
    """185.00 and 12.90 postage; 6.5 % of 197.90 are 12.86; post 11.40, box 2.60: 150.81 for 8 hours in the demo year."""
    online = way("Online", "6.5")
    box = factories.material("BOX", "piece", on_hand=10, value="26.00", name="Postal box")
    rug()
    form = {"kind": "invoice", "customer": buyer().pk, "channel": online.pk, "keeps": "on", "how": "bank"}
    answer = sell(client, "article:H03", postage="12.90", posted="11.40", box="now:BOX", **form)
    assert answer["location"] == reverse("sale", args=["INV-001"])
    paper = Sale.objects.get()
    assert paper.gross == D("197.90")
    assert paper.packing is not None
    assert (paper.packing.kind, paper.packing.on) == (Kind.SOLD, paper.on)
    box.refresh_from_db()
    assert (box.on_hand, box.value) == (D(9), D("23.40"))
    assert sorted(Expense.objects.values_list("kind", "amount")) == [("fee", D("12.86")), ("postage", D("11.40"))]
    assert Payment.objects.get().amount == D("197.90")
    result = client.get(reverse("sale", args=["INV-001"])).context["stands"].result
    assert (result.selling, result.left) == (D("26.86"), D("150.81"))


@pytest.mark.thorough
def test_a_box_that_is_not_there_refuses_the_whole_sale(client: Client) -> None:
    factories.material("BOX", "piece", on_hand=1, value="2.60")
    rug()
    answer = sell(client, "article:H03", box="now:BOX", boxes="2", how="cash")
    assert "Not enough" in answer.context["form"].errors["boxes"][0]
    assert not Sale.objects.exists()
    assert Article.objects.get().gone_on is None
    assert not Posting.objects.filter(kind=Kind.SOLD).exists()


def test_the_last_box_goes_once_though_the_form_is_sent_twice(client: Client) -> None:
    factories.material("BOX", "piece", on_hand=1, value="2.60")
    rug()
    for _ in range(2):
        assert sell(client, "article:H03", box="now:BOX").status_code == 302
    assert Posting.objects.filter(kind=Kind.SOLD).count() == 1


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("box", ["now:NONE", "before:99", "before:x", "before:²", "odd"])
def test_a_box_that_nobody_knows_is_refused(client: Client, box: str) -> None:
    rug()
    assert sell(client, "article:H03", box=box).context["form"].errors["box"]
    assert not Sale.objects.exists()


def test_a_price_is_never_read_from_another_things_row(client: Client) -> None:
    rug()
    rug("H04")
    form = sent("article:X99", "article:H03", "article:H03", "article:H04")
    form |= {"line-0-asked": "1", "line-1-asked": "170", "line-2-asked": "2", "line-3-asked": "240"}
    client.post(reverse("sale_new"), form)
    assert [line.gross for line in Sale.objects.get().lines.all()] == [D(170), D(240)]


@pytest.mark.thorough
def test_a_box_taken_before_is_named_once(client: Client) -> None:
    box = factories.material("BOX", "piece", on_hand=3, value="7.80")
    taken = factories.take(box, 1, kind=Kind.SOLD)
    rug()
    assert f'value="before:{taken.pk}"' in client.get(reverse("sale_new"), {"piece": "H03"}).content.decode()
    sell(client, "article:H03", box=f"before:{taken.pk}")
    assert Sale.objects.get().packing == taken
    rug("H04")
    assert f'value="before:{taken.pk}"' not in client.get(reverse("sale_new"), {"piece": "H04"}).content.decode()
    answer = sell(client, "article:H04", box=f"before:{taken.pk}", key="k2")
    assert answer.context["form"].errors["box"]
    assert Sale.objects.count() == 1


def test_work_on_a_customers_skin_is_billed_and_its_deposit_set_off(client: Client) -> None:
    """Agreed 165.00, deposit 66.00: 99.00 are paid at the hand-over."""
    made = job()
    page = client.get(reverse("sale_new"), {"job": "J-01"})
    form = page.context["form"]
    assert (form["kind"].value(), form["customer"].value()) == ("invoice", made.customer_id)
    assert 'value="165"' in page.content.decode()
    more = {"kind": "invoice", "customer": made.customer_id, "how": "cash"}
    sell(client, "job:J-01", line__0__asked="165", **more)
    assert sorted(Payment.objects.values_list("amount", flat=True)) == [D(66), D(99)]
    shown = client.get(reverse("sale", args=["INV-001"]))
    assert shown.context["stands"].balance.left == 0
    assert "deposit" in text(shown)
    assert Article.objects.get().gone_why == Move.Why.DELIVERED


def test_an_invoice_that_is_dated_before_the_last_is_asked_about_and_then_written(client: Client) -> None:
    made = job()
    sold("H03", kind="invoice", customer=buyer("A shop"))
    more = {"kind": "invoice", "customer": made.customer_id, "on": "2025-03-19"}
    asked = sell(client, "job:J-01", line__0__asked="165", **more)
    assert "get the number after INV-001" in text(asked)
    assert Sale.objects.count() == 1
    sell(client, "job:J-01", line__0__asked="165", sure=asked.context["form"].asked.sure, **more)
    assert Sale.objects.order_by("pk").last().number == "INV-002"  # type: ignore[union-attr]


@pytest.mark.thorough
def test_a_job_is_refused_for_another_buyer_and_when_it_is_handed_over(client: Client) -> None:
    made = job()
    other = buyer("Somebody else")
    answer = sell(client, "job:J-01", kind="invoice", customer=other.pk, line__0__asked="165")
    assert "make the paper out to them" in answer.context["form"].errors["customer"][0]
    sell(client, "job:J-01", kind="invoice", customer=made.customer_id, line__0__asked="165", key="k2")
    answer = sell(client, "job:J-01", kind="invoice", customer=made.customer_id, line__0__asked="165", key="k3")
    assert "is billed already" in answer.context["lines"][0].errors["asked"][0]


@pytest.mark.thorough
def test_a_lost_skin_is_sold_as_it_is_and_a_sound_one_is_not(client: Client) -> None:
    skin = factories.skin("H05")
    answer = sell(client, "skin:H05", line__0__asked="10")
    assert "Only a lost skin is sold as scrap" in answer.context["lines"][0].errors["asked"][0]
    losses.lose(skin=skin, on=DAY, reason="slipped")
    assert "?skin=H05" in text(client.get(reverse("skin", args=["H05"])))
    sell(client, "skin:H05", line__0__asked="10", how="cash", key="k2")
    assert Sale.objects.get().lines.get().skin == skin


@pytest.mark.thorough
def test_what_is_no_piece_is_sold_by_its_words(client: Client) -> None:
    assert client.get(reverse("sale_new"), {"other": "1"}).status_code == 200
    sell(client, other="Course of a day", other_price="60", how="cash")
    paper = Sale.objects.get()
    assert (paper.lines.get().words, paper.gross) == ("Course of a day", D(60))
    assert client.get(reverse("sale", args=[paper.number])).context["stands"].result.left == D(60)


@pytest.mark.thorough
def test_a_fair_is_chosen_by_address(client: Client) -> None:
    fair = fairs.plan(name="Spring fair", on=date(2025, 3, 20))
    rug()
    form = client.get(reverse("sale_new"), {"piece": "H03", "fair": fair.pk}).context["form"]
    assert str(form["fair"].value()) == str(fair.pk)
    sell(client, "article:H03", fair=fair.pk)
    assert Sale.objects.get().fair == fair


def test_a_registered_seller_shows_tax_and_may_set_another_rate(client: Client) -> None:
    """185.00 with 25.5 % tax in it: 147.41 and 37.59."""
    terms.set_terms(tax_number="FI12345678", short_limit=D(400))
    rates.set_rates(vat_percent=D("25.5"))
    rug()
    rug("H04")
    sell(client, "article:H03")
    paper = Sale.objects.get()
    assert (paper.net, paper.tax) == (D("147.41"), D("37.59"))
    assert "25.5 % tax on 147.41 €" in text(client.get(reverse("sale", args=[paper.number])))
    sell(client, "article:H04", line__0__tax_percent="14", key="k2")
    assert Sale.objects.latest("pk").lines.get().tax_percent == D(14)


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_sells_and_credits(role: str) -> None:
    rug()
    other = signed_in(factories.person(role))
    assert other.post(reverse("sale_new"), sent("article:H03")).status_code == 403
    paper = sold("H04")
    form = {"on": "2025-03-25", "reason": "sent back", "request_key": "c1"}
    assert other.post(reverse("sale_credit", args=[paper.number]), form).status_code == 403
    assert "Sell it" not in text(other.get(reverse("article", args=["H03"])))
    assert reverse("sale_credit", args=[paper.number]) not in text(other.get(reverse("sale", args=[paper.number])))
    assert Sale.objects.count() == 1


@pytest.mark.thorough
def test_a_paper_shows_what_was_frozen_and_what_it_left(client: Client) -> None:
    """Taken 185.00, fee 3.52, book 20.23: 161.25 for 9.25 hours are 17.43 an hour."""
    paper = sold(kind="invoice", customer=buyer(), channel=way(), spent=[Cost("fee")], paid=[Paid(D(100), "bank")])
    customers.write(customer=paper.customer, name="Another name", postal_address="Elsewhere")
    page = text(client.get(reverse("sale", args=[paper.number])))
    for words in ("Helka Suvantola", "Tervaslampi 8", "Kanervapolku 7", "161.25 €", "17.43 €", "85.00 €", "R-001"):
        assert words in page
    assert "Another name" not in page
    assert "not paid yet" in page


@pytest.mark.thorough
def test_a_paper_past_its_day_is_marked_late(client: Client) -> None:
    paper = sold(kind="invoice", customer=buyer())
    workshop.pin_today(on=date(2025, 4, 10))
    page = text(client.get(reverse("sale", args=[paper.number])))
    assert "payment is late" in page
    assert "7 days ago" in page


@pytest.mark.thorough
def test_an_article_that_is_sold_names_its_sale_and_is_not_offered_again(client: Client) -> None:
    paper = sold()
    page = text(client.get(reverse("article", args=["H03"])))
    assert reverse("sale", args=[paper.number]) in page
    assert "Sell it" not in page
    assert "Remove from stock" not in page
    rug("H04")
    assert "?piece=H04" in text(client.get(reverse("article", args=["H04"])))


def test_a_sale_is_credited_once_and_its_piece_comes_back(client: Client) -> None:
    shelf = factories.place("Finished shelf")
    moves.move(thing=rug(), to=shelf, on=DAY)
    paper = sold("H03", paid=[Paid(None, "cash")])
    address = reverse("sale_credit", args=[paper.number])
    line = paper.lines.get()
    page = client.get(address)
    assert page.context["form"]["back_to"].value() == shelf.pk
    form = {"on": "2025-03-25", "reason": "sent back", "how": "cash", "back_to": shelf.pk, "request_key": "c1"}
    form[f"line-{line.pk}"] = "on"
    for _ in range(2):
        assert client.post(address, form)["location"] == reverse("sale", args=["CN-001"])
    credit = Sale.objects.get(kind="credit")
    assert (credit.gross, credit.reason) == (D(-185), "sent back")
    assert sorted(Payment.objects.values_list("amount", flat=True)) == [D(-185), D(185)]
    piece = Article.objects.get()
    assert (piece.gone_on, piece.place, piece.book_cost) == (None, shelf, D("20.23"))
    assert "CN-001" in text(client.get(reverse("sale", args=[paper.number])))
    assert "Credits" in text(client.get(reverse("sale", args=["CN-001"])))


@pytest.mark.thorough
def test_a_price_cut_leaves_the_piece_sold(client: Client) -> None:
    paper = sold("H03", paid=[Paid(None, "cash")])
    line = paper.lines.get()
    form = {"on": "2025-03-25", "reason": "a scar", "how": "cash", "request_key": "c1"}
    form |= {f"line-{line.pk}": "on", f"cut-{line.pk}": "20,00"}
    client.post(reverse("sale_credit", args=[paper.number]), form)
    assert Sale.objects.get(kind="credit").gross == D(-20)
    assert Payment.objects.latest("pk").amount == D(-20)
    assert Article.objects.get().gone_on is not None


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"reason": ""}, "reason", "required"),
        ({"on": "2025-03-19"}, "on", "before it"),
        ({"how": "", "amount": "5"}, "how", "Say how it went back"),
        ({"line": ""}, None, "no line was chosen"),
        ({"line": "", "cut": "200"}, None, "more than the 185.00 that is left"),
        ({"how": "cash", "amount": "500"}, "amount", "cannot be paid back"),
    ],
)
def test_a_wrong_credit_is_refused_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str | None, said: str
) -> None:
    paper = sold("H03", paid=[Paid(None, "cash")])
    line = paper.lines.get()
    form = {"on": "2025-03-25", "reason": "sent back", "how": "cash", "line": "on", "request_key": "c1"} | wrong
    form[f"line-{line.pk}"], form[f"cut-{line.pk}"] = form.pop("line"), form.pop("cut", "")
    answer = client.post(reverse("sale_credit", args=[paper.number]), form)
    errors = answer.context["form"].errors
    assert said in (errors[field][0] if field else str(errors).replace("&#x27;", "'"))
    assert Sale.objects.count() == 1
    assert Article.objects.get().gone_on is not None


@pytest.mark.thorough
def test_a_credit_and_a_credited_sale_offer_no_further_credit(client: Client) -> None:
    paper = sold()
    line = paper.lines.get()
    form = {"on": "2025-03-25", "reason": "sent back", f"line-{line.pk}": "on", "request_key": "c1"}
    client.post(reverse("sale_credit", args=[paper.number]), form)
    for number, said in (("S-001", "credited already"), ("CN-001", "is a credit note")):
        assert said in text(client.get(reverse("sale_credit", args=[number])))
        assert "Credit it" not in text(client.get(reverse("sale", args=[number])))


@pytest.mark.thorough
def test_the_list_is_narrowed_and_says_what_it_comes_to(client: Client) -> None:
    card, fair = way(), fairs.plan(name="Spring fair", on=date(2025, 3, 20))
    sold("H03", "170", fair=fair)
    who = buyer()
    sold("H04", "240", channel=card, kind="invoice", customer=who)
    everything = client.get(reverse("sales"))
    assert everything.context["table"].totals["gross"] == D(410)
    for asked, expected in [
        ({"kind": "invoice"}, D(240)),
        ({"channel": card.pk}, D(240)),
        ({"fair": fair.pk}, D(170)),
        ({"customer": who.pk}, D(240)),
        ({"year": "2025"}, D(410)),
        ({"words": "H03"}, D(170)),
        ({"words": "suvantola"}, D(240)),
        ({"words": "nowhere"}, D(0)),
    ]:
        answer = client.get(reverse("sales"), asked)
        assert answer.context["table"].totals["gross"] == expected, asked
    for order in ("number", "-on", "to", "channel", "net", "-gross"):
        assert client.get(reverse("sales"), {"sort": order}).status_code == 200


@pytest.mark.thorough
def test_a_year_without_a_sale_is_no_choice(client: Client) -> None:
    sold()
    assert "not one of the available" in str(
        client.get(reverse("sales"), {"year": "1999"}).context["finder"].form.errors
    )


@pytest.mark.thorough
@pytest.mark.slow
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    sold("H03", channel=way(), paid=[Paid(None)])
    one = queries(client, reverse("sales"))
    thirty()
    assert queries(client, reverse("sales")) == one


def thirty() -> None:
    factories.skin("H50")
    pieces = factories.finish("H50", pieces=[factories.piece(f"P{n:02d}", "1/29", list_price=D(9)) for n in range(29)])
    who = buyer("Often here")
    for piece in pieces:
        selling.sell(
            on=date(2025, 3, 20),
            kind="invoice",
            customer=who,
            items=[Item("article", D(9), article=piece)],
            paid=[Paid(D(5))],
        )


@pytest.mark.thorough
def test_a_form_of_many_things_takes_as_many_queries_as_of_one(client: Client) -> None:
    rug()
    one = queries(client, reverse("sale_new") + "?piece=H03")
    factories.skin("H50")
    factories.finish("H50", pieces=[factories.piece(f"P{n:02d}", "1/29", list_price=D(9)) for n in range(29)])
    many = "&".join(f"piece=P{n:02d}" for n in range(29))
    assert queries(client, f"{reverse('sale_new')}?piece=H03&{many}") == one


@pytest.mark.thorough
def test_the_pieces_to_pick_take_as_many_queries_for_thirty_as_for_one(client: Client) -> None:
    rug()
    one = queries(client, reverse("sale_new"))
    factories.skin("H50")
    factories.finish("H50", pieces=[factories.piece(f"P{n:02d}", "1/29", list_price=D(9)) for n in range(29)])
    assert queries(client, reverse("sale_new")) == one


@pytest.mark.thorough
@pytest.mark.slow
def test_a_paper_of_many_lines_takes_as_many_queries_as_of_one(client: Client) -> None:
    factories.skin("H49"), factories.skin("H50")
    item = Item("article", D(9), article=factories.finish("H49")[0])
    paper = selling.sell(on=date(2025, 3, 20), items=[item], paid=[Paid(None)], spent=[Cost("fee", D(1))])
    one = queries(client, reverse("sale", args=[paper.number]))
    pieces = factories.finish("H50", pieces=[factories.piece(f"P{n:02d}", "1/29") for n in range(29)])
    items = [Item("article", D(9), article=piece) for piece in pieces]
    many = selling.sell(
        on=date(2025, 3, 20),
        items=items,
        paid=[Paid(D(5)), Paid(D(5))],
        spent=[Cost("fee", D(1)), Cost("postage", D(2))],
    )
    assert queries(client, reverse("sale", args=[many.number])) == one


@pytest.mark.thorough
def test_a_fair_that_is_not_there_is_left_out(client: Client) -> None:
    rug()
    assert client.get(reverse("sale_new"), {"piece": "H03", "fair": "99"}).status_code == 200
    assert client.get(reverse("sale_new"), {"piece": "H03", "channel": "99"}).status_code == 404
    assert not Fair.objects.exists()


@pytest.mark.thorough
def test_habits_are_those_of_the_last_sale_through_a_channel() -> None:
    card = way()
    usual = {"kind": "sale", "how": "cash", "customer": None}
    assert sales.habit(None) == sales.habit(card) == usual
    sold("H03", channel=card, paid=[Paid(None, "card")])
    assert sales.habit(card) == usual | {"how": "card"}


@pytest.mark.thorough
def test_a_piece_that_left_without_a_price_asks_for_none_any_more(client: Client) -> None:
    made = rug(price=None)
    assert list(today.unpriced()) == [made]
    sold("H03")
    assert not today.unpriced()


@pytest.mark.thorough
def test_a_paper_shows_the_words_it_was_issued_with(client: Client) -> None:
    row = factories.sale(factories.article())
    terms.set_terms(untaxed_words="Words of another year.")
    page = text(client.get(reverse("sale", args=[row.number])))
    assert "Words of another year." not in page
    assert documents.NO_TAX_WORDS in page


@pytest.mark.thorough
def test_a_price_ten_times_the_list_price_is_asked_about_beside_its_line(client: Client) -> None:
    rug()
    page = text(sell(client, "article:H03", line__0__asked="1850"))
    assert "1 850.00 € is entered as the price of H03; its list price is 185.00 €." in page
    assert 'href="#id_line-0-asked">Change it' in page
    assert not Sale.objects.exists()
