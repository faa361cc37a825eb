"""Pages of money and hours beside the pieces: payments, costs, hours, who owes."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Expense, Payment, Sale, SideHours
from costing.sell.customers import services as customers
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.jobs import services as jobs
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = date(2025, 3, 31)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=TODAY)
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")


def invoice(number: str = "H07", price: str = "140", **more: Any) -> Sale:
    """140.00 to be paid within 14 days of 10 March."""
    factories.skin(number)
    piece = factories.finish(number, pieces=[factories.piece(number)])[0]
    who = customers.named(name="Craft Room", postal_address="High street 1")
    return selling.sell(
        on=date(2025, 3, 10), kind="invoice", customer=who, items=[Item("article", D(price), article=piece)], **more
    )


def job(number: str = "J-01", tag: str = "H06") -> Any:
    skin = factories.skin(tag, price=0, owner="customer", customer="Mrs Tuohi")
    who = customers.named(name="Mrs Tuohi", postal_address="Somewhere 1")
    return jobs.take(number=number, customer=who, skin=skin, work="taw it", price=D(165), deposit=D(66), taken_on=DAY)


def sent(**more: Any) -> dict[str, Any]:
    return {"amount": "91", "how": "bank", "on": "2025-03-20", "request_key": "k1"} | more


def test_pages_open_for_the_owner(client: Client) -> None:
    paper, work = invoice(), job()
    paid = payments.receive(sale=paper, amount=D(40), on=TODAY)
    cost = expenses.spend(kind="overhead", amount=D(96), on=TODAY, words="phone")
    row = expenses.spend_hours(kind="papers", minutes=D(120), on=TODAY)
    addresses = [reverse(name) for name in ("owed", "payments", "expenses", "hours", "expense_new", "hours_new")]
    addresses += [reverse("payment_new") + f"?sale={paper.number}", reverse("payment_new") + f"?job={work.number}"]
    addresses += [reverse("payment_reverse", args=[paid.pk]), reverse("expense_reverse", args=[cost.pk])]
    addresses += [reverse("hours_reverse", args=[row.pk]), reverse("expense_new") + f"?sale={paper.number}"]
    for address in addresses:
        assert client.get(address).status_code == 200, address
    for address in ("?sale=X", "?job=X", ""):
        assert client.get(reverse("payment_new") + address).status_code == 404
    for address in ("?fair=99", "?fair=x", "?sale=X"):
        assert client.get(reverse("expense_new") + address).status_code == 404


def test_empty_lists_say_what_to_do_first(client: Client) -> None:
    for name, words in (("payments", "No payment yet"), ("expenses", "No cost yet"), ("hours", "No hours yet")):
        assert words in text(client.get(reverse(name)))
    assert "Nobody owes you anything" in text(client.get(reverse("owed")))


def test_what_is_left_is_proposed_and_paid_once_though_sent_twice(client: Client) -> None:
    paper = invoice()
    address = reverse("payment_new") + f"?sale={paper.number}"
    assert 'value="140"' in client.get(address).content.decode()
    for _ in range(2):
        assert client.post(address, sent())["location"] == reverse("sale", args=[paper.number])
    made = Payment.objects.get()
    assert (made.amount, made.how, made.on, made.sale) == (D(91), "bank", date(2025, 3, 20), paper)
    assert made.written_by == factories.owner()
    assert "The balance due is 49.00 €" in text(client.get(address))


@pytest.mark.thorough
def test_a_jobs_payment_is_a_deposit(client: Client) -> None:
    work = job()
    address = reverse("payment_new") + f"?job={work.number}"
    assert 'value="66"' in client.get(address).content.decode()
    assert client.post(address, sent(amount="66"))["location"] == reverse("job", args=[work.number])
    page = client.get(reverse("owed"))
    assert page.context["owing"].held == D(66)
    assert "J-01" in text(page)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"amount": ""}, "amount", "required"),
        ({"amount": "0"}, "amount", "more than nothing"),
        ({"amount": "-5"}, "amount", "negative"),
        ({"amount": "140.01"}, "amount", "140.00 is the balance due"),
        ({"amount": "1.0050"}, "amount", "decimals"),
        ({"how": "shells"}, "how", "valid choice"),
        ({"on": ""}, "on", "required"),
        ({"on": "2099-01-01"}, "on", "too far"),
        ({"note": "a\x07"}, "note", "control character"),
    ],
)
def test_a_wrong_payment_is_refused_beside_its_box(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    paper = invoice()
    answer = client.post(reverse("payment_new") + f"?sale={paper.number}", sent() | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not Payment.objects.exists()


def test_closed_books_take_no_payment(client: Client) -> None:
    paper = invoice()
    workshop.close_books(to=date(2025, 3, 25))
    answer = client.post(reverse("payment_new") + f"?sale={paper.number}", sent())
    assert "books are closed" in answer.context["form"].errors["on"][0]
    assert not Payment.objects.exists()


def test_a_payment_is_taken_back_once_and_both_stay(client: Client) -> None:
    paper = invoice()
    paid = payments.receive(sale=paper, amount=D(140), on=date(2025, 3, 20))
    address = reverse("payment_reverse", args=[paid.pk])
    assert 'value="2025-03-20"' in client.get(address).content.decode()
    for _ in range(2):
        client.post(address, {"on": "2025-03-20", "request_key": "b1"})
    assert list(Payment.objects.order_by("pk").values_list("amount", flat=True)) == [D(140), D(-140)]
    answer = client.post(address, {"on": "2025-03-20", "request_key": "b2"})
    assert "reversed already" in text(answer)
    assert "reversed" in text(client.get(reverse("sale", args=[paper.number])))
    assert "reversed" in text(client.get(reverse("payments")))


def test_a_helper_may_not_write_money_and_a_bookkeeper_may() -> None:
    paper = invoice()
    pages = [
        (reverse("payment_new") + f"?sale={paper.number}", sent(amount="10")),
        (reverse("expense_new"), {"kind": "overhead", "amount": "9", "on": "2025-03-31", "request_key": "k2"}),
        (reverse("hours_new"), {"kind": "papers", "minutes": "9", "on": "2025-03-31", "request_key": "k3"}),
    ]
    helper, keeper = signed_in(factories.person("helper")), signed_in(factories.person("bookkeeper"))
    for address, form in pages:
        assert helper.post(address, form).status_code == 403
    assert not any(model.objects.exists() for model in (Payment, Expense, SideHours))
    for address, form in pages:
        assert keeper.post(address, form).status_code == 302


@pytest.mark.thorough
def test_who_owes_is_listed_since_when_and_how_late(client: Client) -> None:
    invoice()
    page = text(client.get(reverse("owed")))
    assert "Craft Room" in page
    assert "24 Mar 2025" in page
    assert "7 days" in page
    workshop.pin_today(on=date(2025, 3, 25))
    assert "1 day" in text(client.get(reverse("owed")))
    workshop.pin_today(on=date(2025, 3, 24))
    assert client.get(reverse("owed")).context["owing"].late == 0


@pytest.mark.thorough
def test_lists_are_narrowed_and_say_what_they_come_to(client: Client) -> None:
    paper = invoice()
    payments.receive(sale=paper, amount=D(40), on=TODAY, how="bank")
    payments.receive(sale=paper, amount=D(50), on=TODAY)
    for asked, expected in (({}, 90), ({"how": "bank"}, 40), ({"words": "craft"}, 90), ({"year": "2025"}, 90)):
        assert client.get(reverse("payments"), asked).context["table"].total == expected
    expenses.spend(kind="overhead", amount=D(96), on=TODAY, words="phone")
    expenses.spend(kind="fee", amount=D(4), on=TODAY, sale=paper)
    for asked, expected in (({}, 100), ({"kind": "fee"}, 4), ({"words": "phone"}, 96), ({"words": "INV"}, 4)):
        assert client.get(reverse("expenses"), asked).context["table"].total == expected
    expenses.spend_hours(kind="papers", minutes=D(60), on=TODAY, words="photos")
    for asked, expected in (({"kind": "papers"}, 60), ({"kind": "stall"}, 0), ({"words": "photo"}, 60)):
        assert client.get(reverse("hours"), asked).context["table"].total == expected


@pytest.mark.thorough
@pytest.mark.slow
def test_lists_take_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    def enter(number: int) -> None:
        paper = invoice(f"K{number:02d}")
        payments.receive(sale=paper, amount=D(1), on=TODAY)
        work = job(f"J-{number:02d}", f"C{number:02d}")
        payments.receive(job=work, amount=D(1), on=TODAY)
        cost = expenses.spend(kind="fee", amount=D(1), on=TODAY, sale=paper)
        expenses.reverse(expense=cost)
        expenses.spend_hours(kind="papers", minutes=D(1), on=TODAY)

    names = ("owed", "payments", "expenses", "hours")
    enter(0)
    one = [queries(client, reverse(name)) for name in names]
    for number in range(1, 30):
        enter(number)
    assert [queries(client, reverse(name)) for name in names] == one


def overpaid() -> Sale:
    """140.00 paid, of which a credit takes off 30.00."""
    paper = invoice(paid=[Paid(how="bank")])
    credits.credit(sale=paper, on=date(2025, 3, 12), reason="a stain", amounts={paper.lines.get().pk: D(30)})
    return paper


@pytest.mark.thorough
def test_what_was_paid_too_much_is_offered_and_paid_back_once_though_sent_twice(client: Client) -> None:
    paper = overpaid()
    address = reverse("payment_back") + f"?sale={paper.number}"
    page = client.get(reverse("sale", args=[paper.number]))
    assert page.context["stands"].back == 30
    assert "Owed back" in text(page)
    assert address in page.content.decode()
    assert 'value="30"' in client.get(address).content.decode()
    for _ in range(2):
        assert client.post(address, sent(amount="30"))["location"] == reverse("sale", args=[paper.number])
    made = Payment.objects.get(amount__lt=0)
    assert (made.amount, made.how, made.on, made.sale) == (D(-30), "bank", date(2025, 3, 20), paper)
    after = client.get(reverse("sale", args=[paper.number]))
    assert reverse("payment_pdf", args=[made.number]) in after.content.decode(), "it has a receipt"
    assert reverse("payment_back") not in after.content.decode()
    assert "paid back, bank" in text(after)


@pytest.mark.thorough
def test_where_nothing_is_owed_back_there_is_no_button_and_a_clear_refusal(client: Client) -> None:
    paper = invoice(paid=[Paid()])
    address = reverse("payment_back") + f"?sale={paper.number}"
    assert reverse("payment_back") not in client.get(reverse("sale", args=[paper.number])).content.decode()
    assert f"Nothing is owed back on {paper.number}." in text(client.get(address))
    assert "0.00 was paid too much on INV-001; 1.00 is more" in text(client.post(address, sent(amount="1")))
    assert Payment.objects.count() == 1


def test_what_a_payer_kept_back_is_not_offered_to_be_paid_back(client: Client) -> None:
    paper = invoice(paid=[Paid(D(91))], spent=[Cost("fee", D(49), withheld=True)])
    credits.credit(sale=paper, on=date(2025, 3, 12), reason="back")
    page = client.get(reverse("sale", args=[paper.number]))
    assert "49.00 € of it was kept back by who paid you" in text(page)
    assert 'value="91"' in client.get(reverse("payment_back") + f"?sale={paper.number}").content.decode()


@pytest.mark.thorough
def test_a_deposit_is_paid_back_from_the_page_of_its_job(client: Client) -> None:
    work = job()
    payments.receive(job=work, amount=D(66), on=DAY)
    address = reverse("payment_back") + "?job=J-01"
    assert address in client.get(reverse("job", args=["J-01"])).content.decode()
    assert "66.00 € is held as a deposit" in text(client.get(address))
    assert client.post(address, sent(amount="66"))["location"] == reverse("job", args=["J-01"])
    assert Payment.objects.get(amount__lt=0).job == work
    page = client.get(reverse("job", args=["J-01"]))
    assert reverse("payment_back") not in page.content.decode()
    assert "Paid back, bank" in text(page)
    assert "deposit paid back" in text(client.get(reverse("payments")))
    assert "Nothing is owed back on J-01" in text(client.get(address))


@pytest.mark.parametrize("address", ["", "?sale=X", "?job=X"])
def test_money_goes_back_on_something_that_is_there(client: Client, address: str) -> None:
    assert client.get(reverse("payment_back") + address).status_code == 404


def test_a_helper_pays_nothing_back() -> None:
    paper = overpaid()
    helper = signed_in(factories.person("helper"))
    assert "Pay back" not in text(helper.get(reverse("sale", args=[paper.number])))
    assert helper.post(reverse("payment_back") + f"?sale={paper.number}", sent(amount="30")).status_code == 403
    assert Payment.objects.count() == 1


@pytest.mark.thorough
def test_money_that_did_not_go_back_after_all_is_taken_back(client: Client) -> None:
    paper = overpaid()
    row = payments.refund(sale=paper, amount=D(30), on=TODAY)
    address = reverse("payment_reverse", args=[row.pk])
    assert address in client.get(reverse("sale", args=[paper.number])).content.decode()
    assert "For money that did not go back after all" in text(client.get(address))
    client.post(address, {"on": "2025-03-31", "request_key": "b"})
    assert sum(Payment.objects.values_list("amount", flat=True)) == 140
