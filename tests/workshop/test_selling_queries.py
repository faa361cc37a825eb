"""Every list, page, file and command of selling and of the year asks the database as often for thirty of each as for one."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.models import Fair, Sale
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.fairs import services as fairs
from costing.sell.jobs import services as jobs
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales.credits import services as credits
from inventory.base.accounting import services as workshop
from inventory.models import Article, Place
from inventory.places.moves import services as moves
from tests import factories as make
from tests.inventory.pages import signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.slow, pytest.mark.thorough, pytest.mark.usefixtures("type_is_cut")]
D = Decimal
MARCH = date(2025, 3, 4)

PAGES = (
    "/sales/", "/sales/owed/", "/sales/new/", "/sales/{sale}/", "/sales/{sale}/credit/", "/articles/", "/articles/S00/",
    "/fairs/", "/fairs/{fair}/", "/fairs/{fair}/sell/", "/places/{gallery}/held/", "/jobs/", "/jobs/J-00/", "/customers/",
    "/customers/{customer}/", "/payments/", "/expenses/", "/hours/", "/books/losses/", "/books/let-go/2025/",
    "/books/worth/?on=2025-12-31", "/books/check/", "/books/stock.pdf?on=2025-12-31", "/skins/L00/", "/skins/M00/",
    "/batches/B00/", "/places/", "/setup/channels/", "/setup/rates/",
)  # fmt: skip

TABLES = ("pieces", "by_species", "by_method", "by_channel", "by_fair", "fairs", "given", "waiting")

RESULTS = (
    "/books/results/2025/", "/books/results/2025.pdf", "/books/results/2025.xlsx", "/books/results/2025/summary.csv",
    *(f"/books/results/2025/{table}/" for table in TABLES),
    *(f"/books/results/2025/{table}.csv" for table in TABLES),
)  # fmt: skip


def piece(name: str, on: date) -> Article:
    make.skin(f"H{name}", date_in=on)
    make.work(on, 90, tags=[f"H{name}"])
    return make.finish(f"H{name}", on=on, pieces=[make.piece(name, list_price=D(80))])[0]


def enter(number: int) -> None:
    """One of everything, each with a customer, a channel and a fair of its own."""
    nn, on = f"{number:02d}", MARCH + timedelta(days=number)
    buyer = make.customer(f"Buyer {nn}")
    way = channels.save(name=f"Way {nn}", fee_percent=D(5), fixed_cost=D(0))
    invoice = {"customer": buyer, "channel": way, "on": on}
    part = make.sale(piece(f"S{nn}", on), None, paid=[Paid(D(50))], spent=[Cost("fee", D(5), withheld=True)], **invoice)
    credits.credit(sale=part, on=on, reason="a hole", amounts={part.lines.order_by("pk")[0].pk: D(10)})
    back = make.sale(piece(f"R{nn}", on), paid=[Paid(D(100))], **invoice)
    credits.credit(sale=back, on=on, reason="sent back", refund=Paid(D(100)))
    stall = fairs.plan(name=f"Fair {nn}", on=on, place=make.place(f"Stall {nn}", Place.Kind.FAIR), stall_minutes=D(300))
    packed = [piece(f"F{nn}", on), piece(f"G{nn}", on)]
    fairs.pack(fair=stall, articles=packed, on=on)
    make.sale(packed[0], fair=stall, on=on, paid=[Paid(D(100))])
    expenses.spend(kind="pitch", amount=D(20), on=on, fair=stall)
    expenses.spend(kind="overhead", amount=D(30), on=on, words="power")
    expenses.spend_hours(kind="papers", minutes=D(30), on=on)
    for letter, billed in (("J", True), ("K", False)):
        job = make.job(f"{letter}-{nn}", on=on, customer=buyer, deposit=D(40))
        payments.receive(job=job, amount=D(40), on=on)
        if billed:
            jobs.ready(job=job, on=on)
            make.sale(job, customer=buyer, on=on)
    lost(nn, on)
    held = piece(f"A{nn}", on)
    moves.move(thing=held, to=make.place("Craft room", Place.Kind.GALLERY), on=on)
    moves.out(article=piece(f"X{nn}", on), why="given", on=on, note="to a friend")
    moves.out(article=piece(f"Y{nn}", on), why="own_use", on=on, note="the sofa")


def lost(nn: str, on: date) -> None:
    """One that is written off and sold as scrap, and one whose loss the other of its batch bears."""
    scrap = make.skin(f"L{nn}", date_in=on)
    labour.log(on=on, task="flesh", minutes=D(30), tags=[f"L{nn}"])
    make.sale(losses.lose(skin=scrap, on=on, reason="slipped"), asked=3, on=on)
    slipped, _ = (make.skin(f"{letter}{nn}", date_in=on) for letter in "MN")
    made = make.batch(f"B{nn}", version=make.recipe(f"R{nn}"), start=on, tags=[f"M{nn}", f"N{nn}"])
    make.work(on, 60, batch=made)
    losses.lose(skin=slipped, on=on, reason="slipped", spread=True)


def asked(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as found:
        assert client.get(address).status_code == 200, address
    return len(found)


def test_thirty_of_everything_take_as_many_queries_as_one() -> None:
    workshop.pin_today(on=date(2025, 12, 31))
    client = signed_in()
    enter(0)
    names = {
        "sale": Sale.objects.order_by("pk")[0].number,
        "fair": Fair.objects.get().pk,
        "gallery": Place.objects.get(name="Craft room").pk,
        "customer": Sale.objects.exclude(customer=None).order_by("pk")[0].customer_id,
    }
    addresses = [address.format(**names) for address in (*PAGES, *RESULTS)]
    for address in addresses:
        client.get(address)  # what a first visit alone asks
    one = {address: asked(client, address) for address in addresses}
    for number in range(1, 30):
        enter(number)
    with connection.cursor() as cursor:
        # As a database at work has long done; without it each question takes many times longer.
        cursor.execute("ANALYZE")
    grown = {address: (one[address], now) for address in addresses if (now := asked(client, address)) != one[address]}
    assert grown == {}
