"""Pages of jobs: taking one at the door, its page by how it stands, the notice, the list."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from costing.make.cost.rates import services as rates
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.models import Customer, Job, Payment, Reading
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.jobs.quotes import selectors as asking
from costing.sell.payments import services as payments
from costing.sell.sales import services as selling
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.base import selectors as shop
from inventory.base.accounting import services as workshop
from inventory.models import Skin
from tests import factories as make
from tests.costing.make.readings.test_photos import from_a_phone
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
IN = date(2025, 3, 2)
DONE = date(2025, 5, 10)

DOOR: dict[str, Any] = {
    "customer": "Mrs Tuohiköngäs",
    "postal_address": "Kotipolku 3",
    "electronic_address": "rouva@example.org",
    "skin": "~now",
    "tag": "H06",
    "species": "reindeer",
    "sex_age": "bull",
    "green_weight": "4,8",
    "weight_unit": "kg",
    "condition": "salted, hair firm\r\none old scar",
    "work": "tawed, hair on",
    "price": "165",
    "deposit": "",
    "ready_by": "2025-06-01",
    "amount": "66",
    "how": "bank",
    "number": "J-01",
    "taken_on": "2025-03-02",
    "note": "her father's",
    "request_key": "k",
}


def take(number: str = "J-01", tag: str = "H06", **given: Any) -> Job:
    who = Customer.objects.first() or customers.write(name="Mrs Tuohiköngäs", postal_address="Kotipolku 3")
    skin = make.skin(tag, price=0, owner="customer", customer=who.name, species="reindeer", date_in=IN)
    plain: dict[str, Any] = {"work": "tawed, hair on", "price": D(165), "deposit": D(66), "taken_on": IN}
    return jobs.take(number=number, customer=who, skin=skin, **{**plain, **given})


def finish(job: Job) -> Job:
    make.work(on=IN, minutes=300, tags=[job.skin.tag])
    make.finish(job.skin.tag, on=DONE)
    return Job.objects.get(pk=job.pk)


def bill(job: Job) -> Any:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    items = [Item("work", job.price, job=job)]
    return selling.sell(kind="invoice", on=DONE, customer=job.customer, items=items)


def at(name: str, number: str = "J-01") -> str:
    return reverse(name, args=[number])


@pytest.mark.thorough
def test_pages_open_for_all_who_are_signed_in(client: Client) -> None:
    take()
    addresses = [
        reverse("jobs"),
        reverse("job_new"),
        *map(at, ("job", "job_edit", "job_ready", "job_give_up", "job_goes_on")),
    ]
    for address in addresses:
        assert client.get(address).status_code == 200
        assert signed_in(make.person("bookkeeper")).get(address).status_code == 200
        # What is agreed in money is not for a helper to read; how a job stands, and telling that it is ready, is.
        open_to_all = address in (reverse("jobs"), at("job"), at("job_ready"))
        assert signed_in(make.person("helper")).get(address).status_code == (200 if open_to_all else 403)


def test_no_job_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("jobs")))
    assert "No job yet" in page
    assert reverse("job_new") in page


def test_a_job_is_taken_at_the_door_in_one_go_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        assert client.post(reverse("job_new"), DOOR)["location"] == at("job")
    job = Job.objects.get()
    assert (job.customer.name, job.customer.postal_address) == ("Mrs Tuohiköngäs", "Kotipolku 3")
    assert (job.skin.owner, job.skin.customer, job.skin.green_weight) == ("customer", "Mrs Tuohiköngäs", D(4800))
    assert (job.price, job.deposit, job.ready_by) == (D(165), D(66), date(2025, 6, 1))
    assert job.condition == Reading.objects.get().note == "salted, hair firm\none old scar"
    paid = Payment.objects.get()
    assert (paid.amount, paid.how, paid.on, paid.job) == (D(66), "bank", IN, job)
    assert "J-01 is taken for Mrs Tuohiköngäs." in text(client.get(at("job")))


def test_a_job_is_taken_with_a_photo_of_the_skin(client: Client, settings: Settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    photo = SimpleUploadedFile("skin.jpg", from_a_phone(), "image/jpeg")
    client.post(reverse("job_new"), DOOR | {"photo": photo})
    assert reverse("photo", args=[Reading.objects.get().photo]) in text(client.get(at("job")))


def test_a_job_is_taken_on_a_skin_that_is_here_for_a_known_customer(client: Client) -> None:
    who = customers.write(name="Mrs Tuohiköngäs")
    make.skin("H06", price=0, owner="customer", customer=who.name, species="reindeer", date_in=IN)
    page = text(client.get(reverse("job_new"), {"skin": "H06"}))
    assert "H06: reindeer, Mrs Tuohiköngäs's own" in page
    assert '<option value="H06" selected>' in page
    assert 'value="Mrs Tuohiköngäs"' in page
    sent = DOOR | {"skin": "H06", "tag": "", "species": "", "amount": ""}
    for _ in range(2):
        assert client.post(reverse("job_new"), sent)["location"] == at("job")
    assert (Job.objects.get().customer, Skin.objects.count()) == (who, 1)


@pytest.mark.thorough
def test_a_customers_page_opens_the_form_with_their_name(client: Client) -> None:
    who = customers.write(name="Ella Niittykangas")
    assert 'value="Ella Niittykangas"' in text(client.get(reverse("job_new"), {"customer": who.pk}))
    for strange in ("x", "99999", "9" * 40, "٣"):
        assert client.get(reverse("job_new"), {"customer": strange, "skin": strange}).status_code == 200


def test_the_form_proposes_the_next_number_and_tag(client: Client) -> None:
    take("J-09", "H14")
    page = text(client.get(reverse("job_new")))
    assert 'value="J-10"' in page
    assert 'value="H15"' in page


@pytest.mark.thorough
def test_a_deposit_left_empty_is_the_share_of_the_terms_and_nought_is_none(client: Client) -> None:
    terms.set_terms(deposit_percent=D(30))
    client.post(reverse("job_new"), DOOR | {"amount": ""})
    assert Job.objects.get().deposit == D("49.50")
    client.post(
        reverse("job_new"), DOOR | {"amount": "", "deposit": "0", "number": "J-02", "tag": "H07", "request_key": "l"}
    )
    assert Job.objects.get(number="J-02").deposit == D(0)


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"customer": ""}, "customer", "required"),
        ({"customer": "a\x07"}, "customer", "control character"),
        ({"tag": ""}, "tag", "required"),
        ({"tag": "H 6"}, "tag", "cannot be used"),
        ({"species": ""}, "species", "required"),
        ({"skin": "H99"}, "skin", "no such skin"),
        ({"work": ""}, "work", "required"),
        ({"price": ""}, "price", "required"),
        ({"price": "-1"}, "price", "negative"),
        ({"price": "1.0050"}, "price", "decimals"),
        ({"price": "0", "deposit": "1"}, "deposit", "more than the price"),
        ({"deposit": "166"}, "deposit", "more than the price"),
        ({"amount": "166"}, "amount", "more than the rest"),
        ({"amount": "-1"}, "amount", "greater than or equal"),
        ({"how": "shells"}, "how", "not one of"),
        ({"ready_by": "2025-03-01"}, "ready_by", "before it was taken"),
        ({"taken_on": "1925-03-01"}, "taken_on", "Check the year"),
        ({"number": "J 1"}, "number", "cannot be used"),
        ({"green_weight": "-1"}, "green_weight", "more than nothing"),
    ],
)
def test_a_wrong_entry_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = client.post(reverse("job_new"), DOOR | wrong)
    assert answer.status_code == 200
    assert said in answer.context["form"].errors[field][0]
    for kind in (Job, Skin, Customer, Payment, Reading):
        assert not kind.objects.exists()


@pytest.mark.thorough
def test_the_quote_says_how_it_was_calculated(client: Client) -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    for tag, minutes in (("H01", 480), ("H02", 495), ("H03", 555)):
        make.skin(tag, species="reindeer", date_in=IN)
        make.work(on=IN, minutes=minutes, tags=[tag])
        make.finish(tag, on=DONE)
    page = text(client.get(reverse("job_new"), {"species": "reindeer"}))
    for said in (
        "165.00 €",
        "160.00 €",
        "185.00 €",
        "Usual 8.25 h: 8.00 h to 9.25 h over 3 finished",
        "20.00 € an hour",
    ):
        assert said in page
    assert "0 of 3 were lost, too few to tell much" in page
    assert "40 % of that, at least what you pay out: <b>66.00 €</b>" in page


@pytest.mark.thorough
def test_a_species_without_history_says_so(client: Client) -> None:
    assert "No moose skin with hours is finished yet" in text(client.get(reverse("job_new"), {"species": "moose"}))
    assert "Least price" not in text(client.get(reverse("job_new")))


def test_working_out_a_price_keeps_what_was_typed_and_writes_nothing(client: Client) -> None:
    answer = client.post(reverse("job_new"), DOOR | {"price": "abc", "number": "J-77", "calculate": "1"})
    page = text(answer)
    for kept in ('value="abc"', 'value="Mrs Tuohiköngäs"', 'value="J-77"', 'value="reindeer"', 'value="4,8"'):
        assert kept in page
    assert "salted, hair firm" in page
    assert not answer.context["form"].errors
    assert answer.context["species"] == "reindeer"
    for kind in (Job, Skin, Customer, Payment):
        assert not kind.objects.exists()


def test_the_button_that_takes_the_job_stands_first_so_that_enter_takes_it(client: Client) -> None:
    page = client.get(reverse("job_new")).content.decode()
    assert page.index(">Take the job<") < page.index('name="calculate"')


def test_the_species_of_the_chosen_skin_is_the_one_asked_for(client: Client) -> None:
    take()
    answer = client.post(reverse("job_new"), DOOR | {"skin": "H06", "species": "sheep", "calculate": "1"})
    assert answer.context["species"] == "reindeer"


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_who_sets_no_prices_takes_and_changes_no_job(role: str) -> None:
    take()
    client = signed_in(make.person(role))
    assert client.post(reverse("job_new"), DOOR | {"number": "J-02", "tag": "H07"}).status_code == 403
    agreed = {"work": "x", "price": "1", "deposit": "0", "request_key": "k"}
    assert client.post(at("job_edit"), agreed).status_code == 403
    assert reverse("job_new") not in text(client.get(reverse("jobs")))
    assert at("job_edit") not in text(client.get(at("job")))
    assert Job.objects.get().price == D(165)


def test_a_helper_tells_that_it_is_ready_and_a_bookkeeper_does_not() -> None:
    finish(take())
    sent = {"on": "2025-05-12", "request_key": "k"}
    keeper, helper = signed_in(make.person("bookkeeper")), signed_in(make.person("helper"))
    assert keeper.post(at("job_ready"), sent).status_code == 403
    assert at("job_ready") not in text(keeper.get(at("job")))
    assert at("job_ready") in text(helper.get(at("job")))
    assert helper.post(at("job_ready"), sent)["location"] == at("job")
    assert Job.objects.get().ready_on == date(2025, 5, 12)


@pytest.mark.thorough
def test_what_was_agreed_is_changed_and_shown_again(client: Client) -> None:
    take(ready_by=date(2025, 6, 1), condition="dry")
    page = text(client.get(at("job_edit")))
    for shown in ('value="tawed, hair on"', 'value="165"', 'value="66"', 'value="2025-06-01"', "dry</textarea>"):
        assert shown in page
    sent = {"work": "tawed, combed", "price": "180", "deposit": "", "condition": "damp", "request_key": "k"}
    assert client.post(at("job_edit"), sent)["location"] == at("job")
    job = Job.objects.get()
    assert (job.work, job.price, job.deposit, job.condition) == ("tawed, combed", D(180), D(72), "damp")


@pytest.mark.thorough
def test_a_job_in_work_says_where_the_skin_is_and_what_is_due(client: Client) -> None:
    take(ready_by=shop.today() - timedelta(days=2))
    steps = [Step("Bath", task="Take out", lasts_days=11, uses="tub")]
    tub = make.place("Taw tub", kind="tub")
    make.batch("B1", version=make.recipe("R1", steps=steps), start=shop.today(), tags=["H06"], place=tub)
    page = text(client.get(at("job")))
    for said in ("B1", "Take out", "Taw tub", "2 days past the day promised", "The deposit is not in."):
        assert said in page
    assert reverse("steps", args=["B1"]) in page
    assert reverse("sale_new") not in page


@pytest.mark.thorough
def test_a_job_says_what_it_earns_so_far(client: Client) -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    take(price=D(150))
    make.work(on=IN, minutes=300, tags=["H06"])
    page = text(client.get(at("job")))
    for said in ("cost so far, rates of today", "5.00 h", "30.00 €", "100.00 €", "50.00 €"):
        assert said in page


@pytest.mark.thorough
def test_a_finished_job_leads_to_the_notice_and_a_told_one_to_the_bill(client: Client) -> None:
    terms.set_terms(storage_free_days=10, storage_per_day=D(1))
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    payments.receive(job=finish(take()), amount=D(66), on=IN)
    assert at("job_ready") in text(client.get(at("job")))
    page = text(client.get(at("job_ready")))
    for said in (
        "K. Routamo, Routamo Skins",
        "is ready since",
        "Still to pay: 99.00 €",
        "Storage is free until",
        "local law",
    ):
        assert said in page
    client.post(at("job_ready"), {"on": "2025-05-12", "request_key": "k"})
    told = text(client.get(at("job")))
    assert f"{reverse('sale_new')}?job=J-01" in told
    assert "ready since 12 May 2025" in told
    days = (shop.today() - date(2025, 5, 12)).days
    assert f"{days} days ago; free until 22 May 2025, {days - 10} days charged since" in told


@pytest.mark.thorough
def test_the_bill_of_a_job_opens_with_its_work_and_price(client: Client) -> None:
    job = finish(take())
    page = text(client.get(f"{reverse('sale_new')}?job={job.number}"))
    assert "J-01" in page
    assert 'value="165"' in page


@pytest.mark.thorough
def test_an_unfinished_skin_is_not_told_ready(client: Client) -> None:
    take()
    assert "Not finished yet." in text(client.get(at("job_ready")))
    answer = client.post(at("job_ready"), {"on": "2025-05-12", "request_key": "k"})
    assert "not finished yet" in answer.context["form"].errors["on"][0]


@pytest.mark.thorough
def test_a_job_handed_over_leads_to_its_paper_and_asks_for_no_money(client: Client) -> None:
    sale = bill(finish(take()))
    page = text(client.get(at("job")))
    assert reverse("sale", args=[sale.number]) in page
    for gone in (reverse("payment_new"), at("job_edit"), at("job_ready"), "Deposit held"):
        assert gone not in page


def test_the_deposit_of_a_lost_skin_is_named_as_money_to_give_back(client: Client) -> None:
    payments.receive(job=take(), amount=D(66), on=IN)
    losses.lose(skin=Skin.objects.get(), on=DONE, reason="slipped")
    page = text(client.get(at("job")))
    assert "You still hold 66.00 €" in page
    assert reverse("payment_reverse", args=[Payment.objects.get().pk]) in page


@pytest.mark.thorough
def test_a_payment_taken_back_is_not_offered_to_be_taken_back(client: Client) -> None:
    paid = payments.receive(job=take(), amount=D(66), on=IN)
    back = payments.reverse(payment=paid)
    page = text(client.get(at("job")))
    assert "R-001" in page
    assert "R-002" in page
    for row in (paid, back):
        assert reverse("payment_reverse", args=[row.pk]) not in page


@pytest.mark.thorough
def test_a_mail_is_offered_only_to_an_address_of_mail(client: Client) -> None:
    job = finish(take())
    assert "mailto:" not in text(client.get(at("job_ready")))
    customers.write(name="Mrs Tuohiköngäs", electronic_address="rouva@example.org", customer=job.customer)
    assert 'href="mailto:rouva@example.org?subject=J-01&amp;body=' in text(client.get(at("job_ready")))


@pytest.mark.thorough
def test_the_list_finds_by_words_and_by_how_it_stands(client: Client) -> None:
    take()
    finish(take("J-02", "H07", work="mended"))
    for asked, found in (
        ({"words": "H07"}, ["J-02"]),
        ({"words": "mended"}, ["J-02"]),
        ({"words": "tuohik"}, ["J-01", "J-02"]),
        ({"state": "done"}, ["J-02"]),
        ({"state": "open"}, ["J-01", "J-02"]),
        ({"state": "over"}, []),
        ({"state": "nonsense"}, ["J-01", "J-02"]),
    ):
        page = text(client.get(reverse("jobs"), asked))
        assert [number for number in ("J-01", "J-02") if at("job", number) in page] == found


@pytest.mark.thorough
@pytest.mark.slow
def test_the_list_and_a_job_take_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    bill(finish(take("J-0", "K0")))
    payments.receive(job=take("J-00", "K00"), amount=D(1), on=IN)
    one, page = queries(client, reverse("jobs")), queries(client, at("job", "J-00"))
    for number in range(1, 15):
        bill(finish(take(f"J-{number}", f"K{number}")))
        payments.receive(job=take(f"I-{number}", f"I{number}"), amount=D(1), on=IN)
        payments.receive(job=Job.objects.get(number="J-00"), amount=D(1), on=IN)
    assert queries(client, reverse("jobs")) == one
    assert queries(client, at("job", "J-00")) == page


def test_the_quote_is_not_asked_without_a_species(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asking, "quote", lambda *_: pytest.fail("asked"))
    assert client.get(reverse("job_new")).status_code == 200


@pytest.mark.thorough
def test_a_customers_skin_leads_to_its_job_or_to_taking_one(client: Client) -> None:
    make.skin("H07", price=0, owner="customer", species="reindeer", date_in=IN)
    take()
    assert at("job") in text(client.get(reverse("skin", args=["H06"])))
    offer = f"{reverse('job_new')}?skin=H07"
    assert offer in text(client.get(reverse("skin", args=["H07"])))
    assert offer not in text(signed_in(make.person("helper")).get(reverse("skin", args=["H07"])))


def test_a_job_leads_to_its_card_and_to_the_receipts_of_its_money(client: Client) -> None:
    payments.receive(job=take(), amount=D(66), on=IN)
    page = text(client.get(at("job")))
    for address in (at("job_pdf"), at("payment_pdf", "R-001")):
        assert f'href="{address}"' in page


def test_a_job_is_given_up_from_its_page_once_though_sent_twice(client: Client) -> None:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    job = take()
    payments.receive(job=job, amount=D(66), on=IN)
    assert at("job_give_up") in client.get(at("job")).content.decode()
    page = client.get(at("job_give_up"))
    assert "H06 goes home to Mrs Tuohiköngäs undone. You hold 66.00 € of their money." in text(page)
    assert "local law" in text(page)
    sent = {
        "on": "2025-03-20",
        "reason": "moves away",
        "kept": "20",
        "paper": "invoice",
        "how": "cash",
        "request_key": "g",
    }
    for _ in range(2):
        assert client.post(at("job_give_up"), sent)["location"] == at("job")
    job.refresh_from_db()
    assert (job.given_up_on, job.given_up_why, job.given_back) == (date(2025, 3, 20), "moves away", True)
    assert list(Payment.objects.order_by("pk").values_list("amount", flat=True)) == [D(66), D(-46)]
    page = client.get(at("job"))
    said = text(page)
    assert "20 Mar 2025: moves away" in said
    assert "the skin went home that day" in said
    assert "INV-001" in said
    assert f'"{at("job_give_up")}"' not in page.content.decode()
    assert f'"{at("job_goes_on")}"' not in page.content.decode(), "its bill is credited first"
    assert "Receive money" not in said
    skin = text(client.get(reverse("skin", args=["H06"])))
    assert "Went home" in skin
    assert "How the loss is allocated" not in skin
    assert "moves away" in text(client.get(reverse("skins")))
    listed = client.get(reverse("jobs") + "?state=given")
    assert "Cancelled" in text(listed)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"how": ""}, "amount", "would stay here"),
        ({"how": "", "amount": "5"}, "how", "Say how it goes back"),
        ({"amount": "67"}, "amount", "is held for J-01"),
        ({"reason": ""}, "reason", "required"),
        ({"on": "2025-03-01"}, "on", "was taken on"),
        ({"kept": "-1"}, "kept", "greater than or equal"),
        ({"kept": "20"}, None, "Your address"),
    ],
)
def test_what_cannot_be_given_up_so_is_refused_beside_its_box(
    client: Client, wrong: dict[str, str], field: str | None, said: str
) -> None:
    payments.receive(job=take(), amount=D(66), on=IN)
    sent = {"on": "2025-03-20", "reason": "moves away", "paper": "invoice", "how": "cash", "request_key": "g", **wrong}
    answer = client.post(at("job_give_up"), sent)
    form = answer.context["form"]
    assert "H06 goes home to Mrs Tuohiköngäs undone. You hold 66.00 € of their money." in text(answer)
    assert said.lower() in str(form.errors.get(field or "__all__")).lower(), form.errors
    assert Job.objects.get().given_up_on is None


@pytest.mark.thorough
def test_a_job_without_a_deposit_is_not_asked_what_goes_back(client: Client) -> None:
    take()
    page = client.get(at("job_give_up"))
    assert "You hold no money of theirs." in text(page)
    assert not {"how", "amount"} & set(page.context["form"].fields)
    client.post(at("job_give_up"), {"on": "2025-03-20", "reason": "moves away", "request_key": "g"})
    assert Job.objects.get().given_back


@pytest.mark.thorough
def test_a_job_given_up_by_mistake_goes_on(client: Client) -> None:
    cancellations.cancel(job=take(), on=IN, reason="a slip")
    assert at("job_goes_on") in client.get(at("job")).content.decode()
    assert client.post(at("job_goes_on"), {"request_key": "b"})["location"] == at("job")
    assert Job.objects.get().given_up_on is None
    assert "J-01 is not cancelled" in text(client.post(at("job_goes_on"), {"request_key": "c"}))


def test_who_sets_no_prices_gives_no_job_up() -> None:
    take()
    for role in ("helper", "bookkeeper"):
        other = signed_in(make.person(role))
        assert "Cancel job" not in text(other.get(at("job")))
        assert other.post(at("job_give_up"), {"on": "2025-03-20", "reason": "x", "request_key": "g"}).status_code == 403
        assert other.post(at("job_goes_on"), {"request_key": "g"}).status_code == 403


@pytest.mark.thorough
def test_a_finished_job_offers_no_cancellation(client: Client) -> None:
    finish(take())
    assert at("job_give_up") not in client.get(at("job")).content.decode()


def waiting(days: int = 14) -> Job:
    """Told on 10 May; ten days are free, each after them costs 1.50."""
    terms.set_terms(storage_free_days=10, storage_per_day=D("1.50"))
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    workshop.pin_today(on=DONE + timedelta(days=days))
    return jobs.ready(job=finish(take()), on=DONE)


def billed(job: Job, **more: str) -> dict[str, str]:
    own = {"line-0-thing": "job:J-01", "line-0-asked": "165", "line-0-storage": "6"}
    paper = {"kind": "invoice", "customer": str(job.customer_id), "on": "2025-05-24", "request_key": "s"}
    return {**own, **paper, **more}


@pytest.mark.thorough
def test_the_bill_offers_storage_so_far_and_adds_it_only_when_ticked(client: Client) -> None:
    job = waiting()
    address = reverse("sale_new") + "?job=J-01"
    page = client.get(address)
    assert "4 days after 20 May 2025, by your terms, come to 6.00 €." in text(page)
    line = page.context["lines"][0]
    assert (line["store"].value(), line["storage"].value()) == (None, "6")
    client.post(address, billed(job))
    assert [row.words for row in Job.objects.get().sale_lines.get().sale.lines.all()] == ["J-01 tawed, hair on"]


@pytest.mark.thorough
def test_storage_that_is_ticked_is_a_line_of_its_own_at_the_sum_in_the_box(client: Client) -> None:
    job = waiting()
    address = reverse("sale_new") + "?job=J-01"
    client.post(address, billed(job, **{"line-0-store": "on", "line-0-storage": "4.50"}))
    paper = Job.objects.get().sale_lines.get().sale
    assert [(row.words, row.gross) for row in paper.lines.all()] == [
        ("J-01 tawed, hair on", 165),
        ("Storage of J-01", D("4.50")),
    ]


@pytest.mark.thorough
def test_storage_without_a_sum_is_refused_beside_its_box(client: Client) -> None:
    job = waiting()
    page = client.post(reverse("sale_new") + "?job=J-01", billed(job, **{"line-0-store": "on", "line-0-storage": ""}))
    assert "Say what the storage comes to" in text(page)


@pytest.mark.thorough
def test_a_job_in_its_free_days_offers_no_storage(client: Client) -> None:
    waiting(days=10)
    assert "Charge the storage" not in text(client.get(reverse("sale_new") + "?job=J-01"))


@pytest.mark.thorough
def test_the_bill_of_a_lost_skin_leads_to_giving_its_job_up(client: Client) -> None:
    losses.lose(skin=take().skin, on=IN, reason="slipped")
    page = client.get(reverse("sale_new") + "?job=J-01").content.decode()
    assert at("job_give_up") in page
    assert "Finish" not in page


def test_a_given_up_job_bills_no_agreed_price_and_names_its_day(client: Client) -> None:
    cancellations.cancel(job=take(), on=IN, reason="moves away")
    page = client.get(reverse("sale_new") + "?job=J-01")
    assert "Bill what you keep for the work until 2 Mar 2025" in text(page)
    assert page.context["lines"][0]["asked"].value() is None


@pytest.mark.thorough
def test_an_agreed_price_ten_times_the_usual_and_a_weight_that_no_skin_has_are_asked_about_together(
    client: Client,
) -> None:
    assert client.post(reverse("job_new"), DOOR).status_code == 302
    page = text(
        client.post(
            reverse("job_new"),
            DOOR | {"price": "1650", "green_weight": "480", "number": "J-02", "tag": "H07", "request_key": "k9"},
        )
    )
    assert "1 650.00 € is entered as the price of work on a reindeer skin; it was agreed at 165.00 € so far." in page
    assert "480 kg is entered for a reindeer skin" in page
    assert page.count("Keep it") == 1
    assert Job.objects.count() == 1
