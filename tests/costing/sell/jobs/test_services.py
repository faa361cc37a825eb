"""Jobs: agreed, changed, told ready; as they stand on a day; taken at the door in one go."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from pytest_django import Settings

from costing.make.cost.rates import services as rates
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.models import Customer, Job, Payment, Reading
from costing.sell.customers import services as customers
from costing.sell.jobs import selectors as notices, selectors as read, services as jobs
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.jobs.intake import services as intake
from costing.sell.jobs.quotes.rules import Storage
from costing.sell.payments import services as payments
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused, Taken
from inventory.models import Article, Place, Skin
from inventory.skins import services as skins
from tests import factories as make
from tests.at_once import together
from tests.costing.make.readings.test_photos import from_a_phone

pytestmark = pytest.mark.django_db
D = Decimal
IN = date(2025, 3, 2)
DONE = date(2025, 5, 10)
TOLD = date(2025, 5, 12)
FETCHED = date(2025, 5, 24)


def customer(name: str = "Mrs Tuohiköngäs") -> Customer:
    return Customer.objects.filter(name=name).first() or customers.write(name=name, postal_address="Kotipolku 3")


def their_skin(tag: str = "H06", **details: Any) -> Skin:
    return make.skin(tag, price=0, owner="customer", date_in=IN, species="reindeer", **details)


def take(number: str = "J-01", skin: Skin | None = None, **given: Any) -> Job:
    plain: dict[str, Any] = {"work": "tawed, hair on", "price": D(165), "deposit": D(66), "taken_on": IN}
    return jobs.take(number=number, customer=customer(), skin=skin or their_skin(), **{**plain, **given})


def finished(**given: Any) -> Job:
    job = take(**given)
    make.work(on=date(2025, 4, 1), minutes=240, tags=[job.skin.tag])
    make.finish(job.skin.tag, on=DONE)
    job.skin.refresh_from_db()
    return job


def hand_over(job: Job, on: date = FETCHED) -> Any:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7, 99999 Utuharju")
    return selling.sell(kind="invoice", on=on, customer=job.customer, items=[Item("work", job.price, job=job)])


def stands(number: str = "J-01", on: date = FETCHED) -> read.Standing:
    return read.standing(read.listed().get(number=number), on)


def test_a_job_is_kept_as_agreed() -> None:
    take(condition="one old scar\r\nat the flank", ready_by=date(2025, 6, 1), note="her father's")
    row = Job.objects.get()
    assert (row.number, row.customer, row.skin.tag, row.taken_on) == ("J-01", customer(), "H06", IN)
    assert (row.work, row.price, row.deposit, row.ready_by) == ("tawed, hair on", D(165), D(66), date(2025, 6, 1))
    assert (row.condition, row.note) == ("one old scar\nat the flank", "her father's")
    assert (row.ready_on, row.handed_over_on) == (None, None)


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"number": "J 1"}, "number", "cannot be used"),
    ({"work": ""}, "work", "is missing"),
    ({"price": D(-1)}, "price", "negative"),
    ({"price": D("1.005")}, "price", "decimals"),
    ({"deposit": D(166)}, "deposit", "more than the price of 165.00"),
    ({"taken_on": date(2025, 3, 1)}, "taken_on", "came in on 2025-03-02"),
    ({"ready_by": date(2025, 3, 1)}, "ready_by", "before it was taken"),
    ({"condition": "x" * 501}, "condition", "longer than 500"),
]


@pytest.mark.parametrize(("wrong", "field", "said"), REFUSED)
def test_a_wrong_job_is_refused_beside_its_box_and_nothing_is_written(
    wrong: dict[str, Any], field: str, said: str
) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        take(**wrong)
    assert refusal.value.field == field
    assert not Job.objects.exists()


def test_the_makers_own_skin_is_no_job() -> None:
    with pytest.raises(Refused, match="H01 is your own"):
        take(skin=make.skin("H01", date_in=IN))


def test_a_skin_has_one_job() -> None:
    job = take()
    with pytest.raises(Refused, match="belongs to J-01 already"):
        take("J-02", job.skin)


def test_a_number_is_taken_in_any_spelling() -> None:
    take()
    with pytest.raises(Taken):
        take("j-01", their_skin("H07"))


def test_no_work_is_agreed_on_a_skin_after_it_was_lost() -> None:
    skin = losses.lose(skin=their_skin(), on=date(2025, 3, 10), reason="slipped")
    with pytest.raises(Refused, match="was lost on 2025-03-10"):
        take(skin=skin, taken_on=date(2025, 3, 11))
    assert take(skin=skin, taken_on=date(2025, 3, 10)), "taken at the door and lost the same day"


def test_what_was_agreed_is_changed_until_the_hand_over() -> None:
    job = finished()
    changed: dict[str, Any] = {"work": "tawed and combed", "price": D(180), "deposit": D(72)}
    jobs.change(job=job, ready_by=date(2025, 6, 1), condition="dry", note="", **changed)
    job.refresh_from_db()
    assert {name: getattr(job, name) for name in changed} == changed
    assert (job.condition, job.ready_by) == ("dry", date(2025, 6, 1))
    hand_over(job)
    with pytest.raises(Refused, match="was handed over on 2025-05-24"):
        jobs.change(job=job, **changed)


def test_a_change_promises_no_day_before_it_was_taken() -> None:
    with pytest.raises(Refused, match="before it was taken") as refusal:
        jobs.change(job=take(), work="taw", price=D(165), deposit=D(0), ready_by=date(2025, 3, 1))
    assert refusal.value.field == "ready_by"


def test_the_price_does_not_fall_below_what_is_paid() -> None:
    job = take()
    payments.receive(job=job, amount=D(66), on=IN)
    with pytest.raises(Refused, match=r"66\.00 is paid towards J-01 already") as refusal:
        jobs.change(job=job, work="taw", price=D(60), deposit=D(10))
    assert refusal.value.field == "price"
    job.refresh_from_db()
    assert job.price == D(165)
    assert jobs.change(job=job, work="taw", price=D(66), deposit=D(10)).price == D(66)


def test_ready_is_told_of_a_finished_skin_from_the_day_it_was_finished() -> None:
    job = take()
    with pytest.raises(Refused, match="H06 is not finished yet"):
        jobs.ready(job=job, on=TOLD)
    make.finish("H06", on=DONE)
    job.skin.refresh_from_db()
    with pytest.raises(Refused, match="was finished on 2025-05-10, after 2025-05-09"):
        jobs.ready(job=job, on=date(2025, 5, 9))
    assert jobs.ready(job=job, on=DONE).ready_on == DONE
    assert jobs.ready(job=job, on=TOLD).ready_on == TOLD
    hand_over(job)
    with pytest.raises(Refused, match="handed over"):
        jobs.ready(job=job, on=FETCHED)


def test_who_may_agree_and_who_may_tell() -> None:
    job = finished(by=make.owner())
    for role in ("helper", "bookkeeper"):
        person = make.person(role)
        with pytest.raises(NotAllowed):
            take("J-02", their_skin(f"K-{role}"), by=person)
        with pytest.raises(NotAllowed):
            jobs.change(job=job, work="taw", price=D(1), deposit=D(0), by=person)
    with pytest.raises(NotAllowed):
        jobs.ready(job=job, on=TOLD, by=make.person("bookkeeper"))
    assert jobs.ready(job=job, on=TOLD, by=make.person("helper")).ready_on == TOLD


def test_the_next_number_follows_the_highest() -> None:
    assert read.next_number() == "J-01"
    for tag, number in (("H06", "j-09"), ("H07", "J-3"), ("H08", "commission")):
        take(number, their_skin(tag))
    assert read.next_number() == "J-10"


@pytest.mark.usefixtures("shared_database")
def test_of_two_jobs_on_one_skin_at_once_one_is_told() -> None:
    customer()
    skin = their_skin()
    answers = together(*[lambda number=number: take(number, skin) for number in ("J-01", "J-02")])
    assert sorted(type(answer).__name__ for answer in answers) == ["Job", "Refused"]
    assert Job.objects.count() == 1


@pytest.mark.usefixtures("shared_database")
def test_of_two_jobs_with_one_number_at_once_one_is_told() -> None:
    customer()
    both = [their_skin("H06"), their_skin("H07")]
    answers = together(*[lambda skin=skin: take("J-01", skin) for skin in both])
    assert sorted(type(answer).__name__ for answer in answers) == ["Job", "Taken"]
    assert Job.objects.count() == 1


def test_a_job_stands_by_what_was_done_on_its_skin() -> None:
    job = take()
    assert stands().state == "raw"
    make.batch("B1", start=IN, tags=["H06"])
    make.work(on=IN, batch=job.skin.stays.get().batch)
    assert stands().state in ("raw", "work")
    Skin.objects.filter(pk=job.skin_id).update(stage=Skin.Stage.IN_WORK)
    assert (stands().state, stands().mark) == ("work", "now")
    make.finish("H06", on=DONE)
    assert (stands().state, stands().words) == ("done", "Finished, not told")
    jobs.ready(job=Job.objects.get(), on=TOLD)
    assert stands().state == "told"
    hand_over(Job.objects.get())
    assert (stands().state, stands().mark) == ("over", "ok")


def test_a_lost_skin_leaves_nothing_to_pay_and_its_deposit_is_held() -> None:
    payments.receive(job=take(), amount=D(66), on=IN)
    losses.lose(skin=Skin.objects.get(tag="H06"), on=DONE, reason="slipped")
    now = stands()
    assert (now.state, now.mark, now.left, now.deposit) == ("lost", "late", D(0), D(66))


def test_each_state_is_found_and_open_is_all_that_is_still_here() -> None:
    for number, tag in enumerate(("H06", "H07", "H08", "H09", "H10"), start=1):
        take(f"J-0{number}", their_skin(tag))
    Skin.objects.filter(tag="H07").update(stage=Skin.Stage.IN_WORK)
    for tag in ("H08", "H09"):
        make.finish(tag, on=DONE)
    jobs.ready(job=Job.objects.get(number="J-04"), on=TOLD)
    losses.lose(skin=Skin.objects.get(tag="H10"), on=DONE, reason="slipped")
    done = finished(number="J-06", skin=their_skin("H11"))
    hand_over(done)
    cancellations.cancel(job=take("J-07", their_skin("H12")), on=DONE, reason="changed their mind")
    found = {
        state: sorted(read.in_state(Job.objects.all(), state).values_list("number", flat=True))
        for state in ("open", *read.STATES)
    }
    assert found == {
        "open": ["J-01", "J-02", "J-03", "J-04"],
        "raw": ["J-01"],
        "work": ["J-02"],
        "done": ["J-03"],
        "told": ["J-04"],
        "over": ["J-06"],
        "lost": ["J-05"],
        "given": ["J-07"],
    }
    now = read.standings(read.listed(), FETCHED).values()
    assert all(each.job.number in found[each.state] for each in now)


def test_it_is_late_from_the_day_after_the_promise_until_it_is_finished() -> None:
    take(ready_by=DONE)
    assert [stands(on=DONE + timedelta(days=days)).late for days in (0, 1, 30)] == [0, 1, 30]
    assert stands(on=DONE + timedelta(days=1)).mark == "late"
    make.finish("H06", on=DONE + timedelta(days=30))
    assert stands(on=DONE + timedelta(days=31)).late == 0


def test_the_deposit_is_held_until_the_hand_over_and_then_off_the_invoice() -> None:
    job = finished()
    payments.receive(job=job, amount=D(66), on=IN)
    assert (stands().deposit, stands().left) == (D(66), D(99))
    sale = hand_over(job)
    now = stands()
    assert (now.deposit, now.left, now.sale) == (D(0), D(99), sale)
    payments.receive(sale=sale, amount=D(99), on=FETCHED)
    assert stands().left == D(0)


def test_a_credited_hand_over_makes_the_deposit_a_debt_again() -> None:
    job = finished()
    payments.receive(job=job, amount=D(66), on=IN)
    sale = hand_over(job)
    credits.credit(sale=sale, on=FETCHED, reason="the wrong skin", back_to=make.place())
    now = stands()
    assert (now.state, now.deposit, now.left, now.sale) == ("done", D(66), D(99), None)


def test_storage_runs_from_the_notice_by_the_terms_until_it_is_fetched() -> None:
    terms.set_terms(storage_free_days=10, storage_per_day=D("1.00"))
    job = finished()
    assert stands().storage is None
    jobs.ready(job=job, on=DONE)
    assert stands(on=date(2025, 5, 24)).storage == Storage(14, date(2025, 5, 20), 4, D("4.00"))
    assert stands(on=date(2025, 5, 20)).mark == "wait"
    assert stands(on=date(2025, 5, 21)).mark == "watch"
    hand_over(job)
    later = stands(on=date(2025, 12, 31)).storage
    assert later is not None
    assert later.charge == D("4.00")


def test_the_place_is_that_of_the_skin_then_of_what_was_made_of_it() -> None:
    tub, shelf = make.place("Taw tub", kind=Place.Kind.TUB), make.place("Finished shelf")
    take(skin=their_skin(place=tub))
    assert stands().place == tub
    make.finish("H06", on=DONE, pieces=[make.piece("H06")])
    Article.objects.update(place=shelf)
    assert stands().place == shelf
    assert [piece.number for piece in stands().pieces] == ["H06"]


def test_what_is_due_next_is_what_its_batch_asks_first() -> None:
    steps = [Step("Bath", task="Take out", lasts_days=11, uses="tub"), Step("Oil", minutes=45)]
    take()
    make.batch("B1", version=make.recipe("R1", steps=steps), start=date(2025, 3, 4), tags=["H06"])
    now = stands(on=date(2025, 3, 5))
    assert now.batch is not None
    assert now.next is not None
    assert (now.batch.number, now.next.words, now.next.on) == ("B1", "Take out", date(2025, 3, 15))


def test_what_it_earns_is_the_price_less_its_cost_for_each_own_hour() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    job = take(price=D(150))
    make.work(on=IN, minutes=300, tags=["H06"])
    earning = read.earning(stands())
    assert (earning.book, earning.full, earning.minutes) == (D(0), D(100), Fraction(300))
    assert (earning.over, earning.per_hour) == (D(50), D(30))
    make.finish("H06", on=DONE)
    rates.set_rates(wage_per_hour=D(99), overhead_per_hour=D(4))
    frozen = read.earning(stands())
    assert (frozen.full, frozen.per_hour) == (D(100), D(30))
    assert job.pk


def test_an_hour_earns_what_is_left_without_the_tax_in_the_price() -> None:
    rates.set_rates(wage_per_hour=D(16), vat_percent=D(25))
    take(price=D(150))
    make.work(on=IN, minutes=300, tags=["H06"])
    assert read.earning(stands()).per_hour == D(30)
    terms.set_terms(tax_number="FI1")
    assert read.earning(stands()).per_hour == D(24)
    terms.set_terms(tax_number="FI1", prices_with_tax=False)
    assert read.earning(stands()).per_hour == D(30)


def test_without_hours_no_hour_earns() -> None:
    take()
    assert read.earning(stands()).per_hour is None


def test_skins_that_wait_for_a_job_are_customers_own_and_here() -> None:
    make.skin("H01", date_in=IN)
    for tag in ("H06", "H07", "H08"):
        their_skin(tag)
    take(skin=Skin.objects.get(tag="H06"))
    losses.lose(skin=Skin.objects.get(tag="H08"), on=DONE, reason="slipped")
    assert [skin.tag for skin in read.waiting_skins()] == ["H07"]


@pytest.mark.thorough
@pytest.mark.slow
def test_four_jobs_are_read_with_as_many_queries_as_one() -> None:
    version = make.recipe("R1", steps=[Step("Bath", task="Take out", lasts_days=11, uses="tub")])

    def more(number: int) -> None:
        take(f"J-{number}", their_skin(f"K{number}"))
        make.batch(f"B{number}", version=version, start=date(2025, 3, 4), tags=[f"K{number}"])
        hand_over(finished(number=f"I-{number}", skin=their_skin(f"F{number}")))

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert read.standings(read.listed(), FETCHED)
        return len(seen)

    more(0)
    first = queries()
    for number in range(1, 4):
        more(number)
    assert queries() == first


def test_the_notice_names_the_maker_the_goods_the_place_the_sum_and_the_storage() -> None:
    workshop.set_up(
        name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7\n99999 Utuharju", currency="EUR"
    )
    terms.set_terms(storage_free_days=10, storage_per_day=D("1.00"))
    payments.receive(job=finished(), amount=D(66), on=IN)
    said = notices.ready_words(stands(), DONE).replace("\u202f", " ").replace("\u00a0", " ")
    assert said.splitlines() == [
        "K. Routamo, Routamo Skins",
        "Kanervapolku 7",
        "99999 Utuharju",
        "",
        "Mrs Tuohiköngäs,",
        "",
        "your reindeer skin (J-01, tag H06: tawed, hair on) is ready since 10 May 2025.",
        "It can be fetched from Kanervapolku 7, 99999 Utuharju.",
        "Still to pay: 99.00 €: 165.00 € agreed, less 66.00 € paid before.",
        "Storage is free until 20 May 2025; from 21 May 2025 on it costs 1.00 € a day.",
    ]
    assert "local law" in notices.CAUTION


def test_the_notice_without_deposit_or_storage_says_only_what_holds() -> None:
    terms.set_terms(storage_free_days=10)
    finished()
    said = notices.ready_words(stands(), DONE)
    assert "agreed, less" not in said
    assert "Please fetch it by 20 May 2025." in said
    terms.set_terms(storage_free_days=0, storage_per_day=D(2))
    assert "For storage, from 11 May 2025 on it costs" in notices.ready_words(stands(), DONE)


def test_the_notice_of_a_paid_job_says_that_nothing_is_left() -> None:
    payments.receive(job=finished(), amount=D(165), on=IN)
    assert "The balance due is zero." in notices.ready_words(stands(), DONE)


def at_the_door(**given: Any) -> Job:
    details = skins.Details(species="reindeer", date_in=IN, owner="customer", customer="Mrs Tuohiköngäs")
    plain: dict[str, Any] = {
        "number": "J-01",
        "customer": "Mrs Tuohiköngäs",
        "postal_address": "Kotipolku 3",
        "skin": ("H06", details),
        "work": "tawed, hair on",
        "price": D(165),
        "deposit": D(66),
        "condition": "one old scar",
        "ready_by": date(2025, 6, 1),
        "taken_on": IN,
        "amount": D(66),
    }
    return intake.take(**{**plain, **given})


def test_a_job_at_the_door_writes_customer_skin_job_deposit_and_what_was_seen() -> None:
    job = at_the_door(by=make.owner())
    assert (job.customer.name, job.customer.postal_address) == ("Mrs Tuohiköngäs", "Kotipolku 3")
    assert (job.skin.tag, job.skin.owner, job.skin.price, job.skin.date_in) == ("H06", "customer", D(0), IN)
    paid = Payment.objects.get()
    assert (paid.number, paid.amount, paid.job, paid.on, paid.customer) == ("R-001", D(66), job, IN, job.customer)
    seen = Reading.objects.get()
    assert (seen.skin, seen.note, seen.written_by) == (job.skin, "one old scar", make.owner())
    assert f"{timezone.localtime(seen.at):%Y-%m-%d %H:%M}" == "2025-03-02 12:00"


def test_a_job_at_the_door_takes_a_skin_and_a_customer_that_are_known() -> None:
    row, skin = customer(), their_skin()
    job = at_the_door(customer="mrs tuohiköngäs", postal_address="", skin=skin, amount=None)
    assert (job.customer, job.skin) == (row, skin)
    assert Customer.objects.get().postal_address == "Kotipolku 3"
    assert not Payment.objects.exists()


def test_a_photo_is_kept_with_what_was_seen(settings: Settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    at_the_door(condition="", photo=from_a_phone(), amount=None)
    seen = Reading.objects.get()
    assert (seen.note, bool(seen.photo)) == ("", True)
    assert (tmp_path / "photos" / seen.photo).is_file()


def test_nothing_seen_is_no_reading() -> None:
    at_the_door(condition="", amount=None)
    assert not Reading.objects.exists()


def test_the_same_form_twice_takes_one_job() -> None:
    first = at_the_door(request_key="k")
    assert at_the_door(request_key="k") == first
    assert (Job.objects.count(), Skin.objects.count(), Payment.objects.count()) == (1, 1, 1)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"amount": D(166)}, "amount"),
        ({"work": ""}, "work"),
        ({"number": "J 1"}, "number"),
        ({"customer": ""}, "name"),
        ({"condition": "a\x07"}, "condition"),
    ],
)
def test_a_refusal_at_the_door_writes_nothing_at_all(wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        at_the_door(**wrong)
    assert refusal.value.field == field
    for kind in (Job, Skin, Customer, Payment, Reading):
        assert not kind.objects.exists()


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_who_sets_prices_takes_a_job(role: str) -> None:
    with pytest.raises(NotAllowed):
        at_the_door(by=make.person(role))
    assert not Customer.objects.exists()
