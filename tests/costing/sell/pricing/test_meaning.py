"""A price means one thing on every page and paper: what the buyer pays, what is tax, what the channel keeps, what stays here."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.management import call_command
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.models import ArticleCost, Channel, Customer, Expense, Job, Sale, SaleLine
from costing.report.audit import selectors as audit
from costing.report.valuation.stock_sheet import selectors as stock_sheet
from costing.sell.fairs import services as fairs
from costing.sell.galleries import selectors as galleries
from costing.sell.jobs import selectors as jobs_read, services as jobs
from costing.sell.payments import selectors as payments_read, services as payments
from costing.sell.pricing import rules as pricing, selectors as prices
from costing.sell.pricing.articles import selectors as articles
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import selectors as sales, services as selling
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.models import Article, Place
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import text
from workshop.answers import daily as answers
from workshop.documents.records import articles as labels, goods, invoices, jobs as cards

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = date(2025, 3, 20)


def words(answer: object) -> str:
    """What a reader reads of a page, or of a paper's text."""
    page = answer if isinstance(answer, str) else text(answer)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page)).strip()


def rug(number: str = "H03", price: str = "185", **details: Any) -> Article:
    """The demo year's H03: book 20.23, 9.25 h of the maker's own, one lacing."""
    factories.skin(number, price=D("20.23"))
    factories.work(DAY, 450, tags=[number])
    factories.work(DAY, 105, task="lace", tags=[number])
    return factories.finish(number, pieces=[factories.piece(number, list_price=D(price), **details)])[0]


@pytest.fixture
def us() -> None:
    """USD, 6.25 % sales tax on top of every price."""
    workshop.pin_today(on=TODAY)
    workshop.set_up(
        name="Cold Creek Hides",
        maker="J. Poole",
        postal_address="Creek Road 4",
        electronic_address="j@cold.example",
        currency="USD",
    )
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"), vat_percent=D("6.25"))
    factories.registered(prices_with_tax=False, short_limit=D(1000))


@pytest.fixture
def eu() -> None:
    """EUR, 25.5 % inside every price."""
    workshop.pin_today(on=TODAY)
    workshop.set_up(
        name="Routamo Skins",
        maker="K. Routamo",
        postal_address="Kanervapolku 7",
        electronic_address="k@routamo.example",
        currency="EUR",
    )
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"), vat_percent=D("25.5"))
    factories.registered(short_limit=D(1000))


def reader() -> Channel:
    return channels.save(name="Card", fee_percent=D("2.6"), fee_fixed=D("0.10"), fixed_cost=D(0), usual=True)


def gallery(relief: str = "") -> tuple[Channel, Place]:
    place = factories.place("North Gallery", Place.Kind.GALLERY)
    made = channels.save(
        name="North Gallery", fee_percent=D(40), fixed_cost=D(0), resells=True, relief=relief, place=place
    )
    return made, place


def sent(thing: str = "article:H03", asked: str = "185", **more: Any) -> dict[str, Any]:
    line = {"line-0-thing": thing, "line-0-asked": asked}
    return line | {"on": "2025-03-20", "kind": "sale", "boxes": "1", "request_key": "k1", "keeps": "on"} | more


def sell(client: Client, **more: Any) -> HttpResponse:
    return client.post(reverse("sale_new"), sent(**more))


def test_least_prices_are_prices_as_they_are_typed_and_tax_comes_on_top(us: None) -> None:
    """(20.23 + 0.10) ÷ (1 - 2.6 % × 1.0625) = 20.91; the buyer pays 22.22, 0.68 of it fee, 1.31 tax, 20.23 stay."""
    reader()
    rug()
    price = prices.find("H03", prices.channel())
    assert price.floors.cash == D("20.91")
    sums = price.meaning(price.floors.cash)
    assert (sums.pays, sums.fee, sums.tax, sums.kept) == (D("22.22"), D("0.68"), D("1.31"), D("20.23"))
    # 185.00 less the fee of 5.21 on 196.56, less 20.23, over 9.25 h.
    assert price.earned_per_hour == D("17.25")


def test_without_a_tax_number_no_rate_is_in_any_price(client: Client) -> None:
    workshop.pin_today(on=TODAY)
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"), vat_percent=D("25.5"))
    piece = rug()
    price = prices.find("H03", prices.NO_CHANNEL)
    assert (price.floors.cash, price.floors.full) == (D("20.23"), D("206.75"))
    assert price.earned_per_hour == D("17.81")
    found = offers.haggling(piece, offers.terms(None), D(185))
    assert found.sums is not None
    assert (found.earned, found.sums.tax, found.ladder[0][1]) == (D("17.81"), 0, D("17.81"))
    assert "tax" not in words(client.get(reverse("article", args=["H03"]))).casefold().replace("taxidermy", "")


def test_the_counter_says_who_pays_and_keeps_what_before_the_tap(us: None, client: Client) -> None:
    reader()
    rug()
    page = words(client.get(reverse("sale_new"), {"piece": "H03"}))
    assert "The buyer pays 196.56 $, 11.56 $ of it tax; you keep 179.79 $ after a fee of 5.21 $." in page
    assert "Least prices, Card, before tax" in page
    assert "158.00 $167.88 $" in page  # 15 % off in whole coins, and with its tax
    [line] = client.get(reverse("sale_new"), {"piece": "H03"}).context["lines"]
    # 158.00 less the fee of 4.46 on 167.88, less 20.23, over 9.25 h.
    assert [(sums.typed, earned) for sums, earned in line.haggling.ladder][3] == (158, D("14.41"))


def test_a_price_for_an_hours_pay_is_one_to_type_and_tax_comes_on_top(us: None) -> None:
    """(20.23 + 9.25 h × 16.00 + 0.10) ÷ (1 - 2.6 % × 1.0625) = 173.12; the buyer pays 183.94."""
    reader()
    rug()
    asked = articles.ask(prices.find("H03", prices.channel()), hourly=D(16))
    assert (asked.least.typed, asked.ask.typed, asked.ask.pays, asked.earned) == (
        D("173.12"),
        D("173.12"),
        D("183.94"),
        D(16),
    )


def test_the_page_of_a_list_price_says_who_pays_and_keeps_what(us: None, client: Client) -> None:
    reader()
    rug()
    page = words(client.get(reverse("article_price", args=["H03"])))
    assert "The buyer pays 196.56 $, 11.56 $ of it tax; you keep 179.79 $ after a fee of 5.21 $." in page


def test_the_sale_shows_the_pay_that_its_form_promised_with_the_whole_fee(us: None, client: Client) -> None:
    reader()
    rug()
    form = client.get(reverse("sale_new"), {"piece": "H03"})
    assert form.context["form"]["keeps"].value() is True
    promised = form.context["lines"][0].haggling
    sell(client, channel=Channel.objects.get().pk, how="card")
    paper = Sale.objects.get()
    fee = Expense.objects.get()
    assert (paper.net, paper.tax, paper.gross, fee.amount) == (D(185), D("11.56"), D("196.56"), D("5.21"))
    result = sales.stands(paper, TODAY).result
    assert result.per_hour == promised.earned == D("17.25")
    assert promised.sums.kept == paper.net - fee.amount


def test_a_fee_that_is_not_written_is_not_promised_either(us: None, client: Client) -> None:
    card = reader()
    rug()
    asked = {"line": "0", "line-0-thing": "article:H03", "line-0-asked": "185", "channel": card.pk}
    assert "17.81 $" in words(client.get(reverse("sale_earned"), asked))
    assert "17.25 $" in words(client.get(reverse("sale_earned"), asked | {"keeps": "on"}))


def test_the_fee_of_a_way_that_is_not_the_usual_one_is_written_too(us: None, client: Client) -> None:
    """It is chosen by hand after the page opened, and nobody ticks anything."""
    card = channels.save(name="Card", fee_percent=D("2.6"), fee_fixed=D("0.10"), fixed_cost=D(0))
    rug()
    assert client.get(reverse("sale_new"), {"piece": "H03"}).context["form"]["keeps"].value() is True
    sell(client, channel=card.pk, how="card")
    assert Expense.objects.get().amount == D("5.21")


def test_the_stall_says_it_too_and_books_the_whole_fee(us: None, client: Client) -> None:
    card = reader()
    fair = fairs.plan(name="Spring fair", on=TODAY, place=factories.place("Fair box", Place.Kind.FAIR))
    fairs.pack(fair=fair, articles=[rug()], on=TODAY)
    address = reverse("fair_sell", args=[fair.pk]) + "?piece=H03"
    assert "The buyer pays 196.56 $" in words(client.get(address))
    [piece] = goods.fair_day(fair).pieces
    assert (piece.list_price, piece.pays) == (185, D("196.56"))
    form = {"price": "185", "on": "2025-03-20", "how": "card", "card": card.pk, "request_key": "s1"}
    client.post(address, form)
    assert Expense.objects.get().amount == D("5.21")
    assert Sale.objects.get().gross == D("196.56")


def test_the_stall_says_what_cash_leaves_where_no_fee_is_taken_of_it(us: None, client: Client) -> None:
    """(185.00 - 20.23) ÷ 9.25 h = 17.81, as the sale for cash then shows; by card 17.25."""
    reader()
    cash = channels.save(name="Stall, cash", fee_percent=D(0), fixed_cost=D(0))
    fair = fairs.plan(name="Spring fair", on=TODAY, place=factories.place("Fair box", Place.Kind.FAIR))
    fairs.pack(fair=fair, articles=[rug()], on=TODAY)
    address = reverse("fair_sell", args=[fair.pk]) + "?piece=H03"
    page = words(client.get(address))
    assert "you keep 179.79 $ after a fee of 5.21 $." in page
    assert "For cash you keep 185.00 $, and an hour earns 17.81 $." in page
    client.post(address, {"price": "185", "on": "2025-03-20", "how": "cash", "cash": cash.pk, "request_key": "s1"})
    assert not Expense.objects.exists()
    assert sales.stands(Sale.objects.get(), TODAY).result.per_hour == D("17.81")


def test_a_ticket_says_that_tax_comes_on_top(us: None) -> None:
    rug()
    assert words(labels.price_ticket("H03").price) == "185.00 $ + tax"


def test_a_ticket_of_a_price_with_its_tax_says_the_price(eu: None) -> None:
    rug()
    assert words(labels.price_ticket("H03").price) == "185.00 €"


def test_a_gallery_that_sells_itself_is_charged_no_sales_tax_and_keeps_its_part_of_the_price(us: None) -> None:
    """40 % of 185.00 are 74.00; 111.00 are owed. The reason stands on the line and on the paper."""
    channel, place = gallery("Sale for resale")
    moves.move(thing=rug(), to=place, on=DAY)
    paper = selling.sell(
        on=TODAY,
        kind="invoice",
        customer=factories.customer("North Gallery"),
        channel=channel,
        items=[Item("article", D(185), article=Article.objects.get())],
        spent=[selling.Cost("fee", withheld=True)],
    )
    assert (paper.net, paper.tax, paper.gross) == (185, 0, 185)
    assert paper.lines.get().relief == "Sale for resale"
    assert Expense.objects.get().amount == D(74)
    statement = galleries.statement(place, channel, DAY, TODAY)
    assert (statement.gross, statement.fees, statement.left) == (185, 74, 111)
    assert "Sale for resale" in invoices.invoice(paper).lines[0].exemption


def test_a_gallerys_list_says_what_is_payable_by_the_same_rule(us: None) -> None:
    _channel, place = gallery("Sale for resale")
    moves.move(thing=rug(), to=place, on=DAY)
    [held] = goods.gallery_paper(place).held
    assert (held.price, held.fee, held.payable) == (185, 74, 111)


def test_a_gallerys_list_takes_its_part_of_the_price_without_its_tax(eu: None) -> None:
    """40 % of 147.41 are 58.96, and the gallery pays 126.04."""
    _channel, place = gallery()
    moves.move(thing=rug(), to=place, on=DAY)
    [held] = goods.gallery_paper(place).held
    assert (held.price, held.fee, held.payable) == (185, D("58.96"), D("126.04"))


def test_a_stock_sheet_says_what_a_list_price_brings_without_its_tax(eu: None) -> None:
    """147.41, less the fee of 4.91 on 185.00."""
    reader()
    rug()
    [line] = stock_sheet.at(TODAY).lines
    assert line.realisable == D("142.50")


def test_vat_is_on_the_invoice_to_a_gallery_whose_part_is_of_the_price_without_it(eu: None) -> None:
    """185.00 / 1.255 = 147.41; 40 % of that are 58.96, and the gallery pays 126.04."""
    channel, place = gallery()
    piece = rug()
    moves.move(thing=piece, to=place, on=DAY)
    price = prices.of_article(piece, prices.plain(channel), prices.footing())
    assert price.at_list is not None
    assert (price.at_list.tax, price.at_list.fee, price.at_list.kept) == (D("37.59"), D("58.96"), D("88.45"))
    # 20.23 ÷ 0.6 = 33.72, and 42.32 with tax: its part is not of the tax in a least price either.
    assert (price.floors.cash, price.meaning(price.floors.cash).kept) == (D("42.32"), D("20.23"))
    paper = selling.sell(
        on=TODAY,
        kind="invoice",
        customer=factories.customer("North Gallery", tax_number="XX9"),
        channel=channel,
        items=[Item("article", D(185), article=piece)],
        spent=[selling.Cost("fee", withheld=True)],
    )
    assert (paper.net, paper.tax, Expense.objects.get().amount) == (D("147.41"), D("37.59"), D("58.96"))
    assert payments_read.balance(paper, TODAY).left == D("126.04")


def test_only_who_sells_to_the_public_is_charged_no_tax() -> None:
    with pytest.raises(Refused, match="Only who sells to the public itself") as caught:
        channels.save(name="Card", fee_percent=D(2), fixed_cost=D(0), relief="Sale for resale")
    assert caught.value.field == "relief"


def test_who_has_a_certificate_pays_no_tax_and_the_paper_says_why(us: None, client: Client) -> None:
    shop = factories.customer("Rug Shop", tax_number="RC-88", relief="Resale certificate")
    rug()
    asked = {"line": "0", "line-0-thing": "article:H03", "line-0-asked": "185", "keeps": "on", "customer": shop.pk}
    assert "The buyer pays 185.00 $;" in words(client.get(reverse("sale_earned"), asked))
    sell(client, customer=shop.pk)
    line = SaleLine.objects.get()
    assert (line.tax_percent, line.relief, line.gross) == (0, "Resale certificate", 185)


def test_postage_and_something_else_can_be_without_tax_on_the_page(us: None, client: Client) -> None:
    rug()
    more = {"other": "Pattern", "other_price": "10", "other_relief": "Exempt book", "postage": "12"}
    sell(client, postage_relief="Postage apart", **more)
    lines = SaleLine.objects.order_by("position").values_list("kind", "tax", "relief")
    assert [*lines] == [("article", D("11.56"), ""), ("other", 0, "Exempt book"), ("postage", 0, "Postage apart")]


def test_a_line_without_a_cost_of_its_own_says_what_is_paid_too(us: None, client: Client) -> None:
    factories.job("J-09", finished=False)
    page = words(client.get(reverse("sale_new"), {"job": "J-09"}))
    assert "The buyer pays 106.25 $, 6.25 $ of it tax; you keep 100.00 $." in page


def test_a_sum_and_its_sign_stay_together(us: None, client: Client) -> None:
    rug()
    page = client.get(reverse("sale_earned"), {"line": "0", "line-0-thing": "article:H03", "line-0-asked": "185"})
    assert "196.56\xa0$" in page.content.decode()


def test_an_unregistered_maker_is_asked_for_no_reason(client: Client) -> None:
    rug()
    assert "without tax, because" not in words(client.get(reverse("sale_new"), {"piece": "H03"}))


def job(deposit: str = "66", **who: str) -> Job:
    skin = factories.skin("H06", price=0, owner="customer", species="Elk")
    made = jobs.take(
        number="J-01",
        customer=factories.customer("Ann Hill", **who),
        skin=skin,
        work="taw it",
        price=D(175),
        taken_on=DAY,
    )
    if D(deposit):
        payments.receive(job=made, amount=D(deposit), on=DAY)
    factories.work(DAY, 300, tags=["H06"])
    factories.finish("H06", pieces=[factories.piece("H06")])
    return made


def standing(made: Job) -> jobs_read.Standing:
    return jobs_read.standing(jobs_read.listed().get(pk=made.pk), TODAY)


def test_still_to_pay_has_the_tax_in_it_on_page_notice_and_card(us: None, client: Client) -> None:
    """175.00 and 10.94 tax are 185.94; 66.00 are paid."""
    made = job()
    stands = standing(made)
    assert stands.left == D("119.94")
    said = "Still to pay: 119.94 $: 175.00 $ agreed and 10.94 $ tax, less 66.00 $ paid before."
    assert said in words(jobs_read.ready_words(stands, TODAY))
    assert said in words(client.get(reverse("job_ready", args=["J-01"])))
    page = words(client.get(reverse("job", args=["J-01"])))
    assert "185.94 $ with tax" in page
    assert "119.94 $" in page
    card = cards.job_card(made)
    assert (card.price, card.tax, card.paid) == (175, D("10.94"), 66)
    # 175.00 without tax over five hours: the tax is nobody's pay.
    assert jobs_read.earning(stands).per_hour == D(35)
    client.post(reverse("sale_new"), sent("job:J-01", "175", kind="invoice", customer=made.customer_id))
    assert payments_read.balance(Sale.objects.get(), TODAY).left == D("119.94")


def test_a_job_is_paid_with_its_tax_before_it_is_fetched_and_no_more(us: None) -> None:
    made = job("0")
    payments.receive(job=made, amount=D("185.94"), on=TODAY)
    assert standing(made).left == 0
    assert list(audit.findings()) == []
    with pytest.raises(Refused, match=r"agreed at 175\.00 \(185\.94 with tax\)"):
        payments.receive(job=made, amount=D("0.01"), on=TODAY)


def test_an_exempt_customers_job_is_due_without_tax(us: None) -> None:
    assert standing(job(relief="Museum", tax_number="E-1")).left == D(109)


def test_what_is_kept_of_a_job_that_ends_says_its_tax_and_can_be_without(us: None, client: Client) -> None:
    skin = factories.skin("H06", price=0, owner="customer")
    customer = factories.customer("Ann Hill")
    made = jobs.take(number="J-01", customer=customer, skin=skin, work="taw it", price=D(175), taken_on=DAY)
    address = reverse("job_give_up", args=["J-01"])
    assert "6.25 % tax comes on top of it." in words(client.get(address))
    asked = {"of": "kept", "kept": "40"}
    assert "The buyer pays 42.50 $, 2.50 $ of it tax" in words(client.get(reverse("price_meaning"), asked))
    form = {"on": "2025-03-20", "reason": "wanted back", "kept": "40", "paper": "invoice", "request_key": "g1"}
    client.post(address, form | {"relief": "Damages"})
    paper = Sale.objects.get()
    assert (paper.gross, paper.lines.get().relief) == (40, "Damages")
    assert standing(made).left == 40


def test_storage_bears_the_tax_of_its_line(us: None, client: Client) -> None:
    made = job("0")
    row = Customer.objects.get()
    factories.registered(
        prices_with_tax=False, short_limit=D(1000), storage_free_days=0, storage_per_day=D(1), untaxed_words=""
    )
    jobs.ready(job=made, on=date(2025, 3, 10))
    line = {"line-0-tax_percent": "0", "line-0-relief": "Export", "line-0-store": "on", "line-0-storage": "10"}
    client.post(reverse("sale_new"), sent("job:J-01", "175", kind="invoice", customer=row.pk, **line))
    assert [*SaleLine.objects.values_list("relief", flat=True)] == ["Export", "Export"]


def test_a_quote_is_a_price_to_type(eu: None) -> None:
    """Five hours at 20.00 are 100.00 without tax, 125.50 with it: that is what has to be agreed."""
    from costing.sell.jobs.quotes import selectors as quotes

    factories.skin("S1", price=0, species="Elk")
    factories.work(DAY, 300, tags=["S1"])
    factories.finish("S1")
    asked = quotes.quote("Elk")
    assert asked is not None
    assert (asked.quote.usual, asked.usual.typed, asked.usual.net) == (100, D("125.50"), 100)


def test_a_job_says_nothing_of_the_next_sale_through_the_channel(us: None) -> None:
    card = reader()
    made = job("0")
    rug()
    selling.sell(on=TODAY, kind="invoice", customer=made.customer, channel=card, items=[Item("work", D(175), job=made)])
    assert sales.habit(card)["kind"] == Sale.Kind.SALE


def late() -> Article:
    """120 minutes are logged on H03 once it is finished."""
    workshop.pin_today(on=TODAY)
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))
    channels.save(name="Card", fee_percent=D("1.9"), fixed_cost=D(0), usual=True)
    piece = rug()
    factories.work(TODAY, 120, tags=["H03"])
    piece.refresh_from_db()
    return piece


def test_late_hours_are_paid_by_every_price(client: Client) -> None:
    """20.23 + 11.25 h × 16.00 = 200.23; ÷ 0.981 = 204.11. (185.00 - 3.52 - 20.23) ÷ 11.25 h = 14.33."""
    piece = late()
    price = prices.find("H03", prices.channel())
    assert (price.full, price.floors.wage, price.earned_per_hour) == (D("246.75"), D("204.11"), D("14.33"))
    assert price.hours == D("11.25")
    found = offers.haggling(piece, offers.terms(Channel.objects.get().pk), D(185))
    assert (found.earned, found.floors.wage, found.ladder[0][1]) == (D("14.33"), D("204.11"), D("14.33"))
    page = words(client.get(reverse("article", args=["H03"]), {"hourly": "20"}))
    assert "2.00 h of work with it" in page
    assert "204.11 €" in page
    # (20.23 + 11.25 h × 20.00) ÷ 0.981
    assert "Ask249.98 €" in page
    fair = fairs.plan(name="Spring fair", on=TODAY)
    fairs.pack(fair=fair, articles=[piece], on=TODAY)
    [packed] = goods.fair_day(fair).pieces
    assert packed.least == D("200.23")


def test_late_hours_are_in_the_sale_line_and_its_result() -> None:
    piece = late()
    paper = selling.sell(
        on=TODAY,
        channel=Channel.objects.get(),
        items=[Item("article", D(185), article=piece)],
        spent=[selling.Cost("fee")],
    )
    assert paper.lines.get().own_minutes == D(675)
    assert sales.stands(paper, TODAY).result.per_hour == D("14.33")


def test_late_hours_are_in_a_job(us: None) -> None:
    made = job("0")
    factories.work(TODAY, 120, tags=["H06"])
    earning = jobs_read.earning(standing(made))
    assert (earning.minutes, earning.per_hour) == (420, D(25))


@pytest.mark.thorough
def test_hours_of_rows_older_than_their_columns_are_worked_out_and_checked() -> None:
    late()
    ArticleCost.objects.update(late_minutes=None, late_own_minutes=None)
    own, whole = audit.findings()
    assert "H03 has 555.000000000 minutes of your own; its skins' lines say 675" in own
    assert "H03 has 555.000000000 minutes; its skins' lines say 675" in whole
    call_command("migrate", verbosity=0)
    assert [*ArticleCost.objects.values_list("late_minutes", "late_own_minutes")] == [(120, 120)]
    assert list(audit.findings()) == []


def test_a_markup_is_of_the_cost_and_a_margin_of_the_price_on_the_page(client: Client) -> None:
    """206.75 × 1.20 = 248.10; 206.75 ÷ 0.80 = 258.44, rounded up."""
    workshop.pin_today(on=TODAY)
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))
    rug()
    for aim, price in (("markup", "248.10 €"), ("margin", "258.44 €")):
        assert price in words(client.get(reverse("article", args=["H03"]), {aim: "20"}))


def test_a_price_that_cannot_be_read_says_only_where_the_tax_is(us: None, client: Client) -> None:
    for typed in ("x", "", "-4", "1e999"):
        page = words(client.get(reverse("price_meaning"), {"of": "price", "price": typed}))
        assert page.strip() == "6.25 % tax comes on top of it."
    assert pricing.Footing(D("6.25"), included=False).on_top


def test_the_command_says_it_in_words_and_figures(us: None) -> None:
    reader()
    rug()
    found = answers.price_answer("H03", None)
    assert found["tax"] == {"percent": "6.25", "in_price": False}
    assert found["at_list_price"] == {"buyer_pays": "196.56", "tax": "11.56", "fee": "5.21", "kept": "179.79"}
    assert "The buyer pays 196.56 USD, 11.56 USD of it tax; you keep 179.79 USD." in answers.price_lines(found)
