"""What is measured on a ledger: writing it, reading it, and the papers and forecasts beside it."""

from __future__ import annotations

import csv
import shutil
import time
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from costing.report.audit import selectors as audit
from inventory import units
from inventory.base import selectors as row
from inventory.base.accounting import services as accounting
from inventory.base.chain import selectors as chain
from inventory.base.labels import rules as labels
from inventory.foresight import simulation
from inventory.foresight.demand import Habit
from inventory.foresight.simulation import Stream
from inventory.foresight.supply import Parcel
from inventory.ledger import services as ledger
from inventory.ledger.usage import selectors as usage
from inventory.materials import selectors as stock
from inventory.models import Kind, Lot, LotDraw, Material, Movement, Posting
from tests import factories
from tests.benchmarks import bare, ledger as ledger_of, start
from tests.benchmarks.table import Case, named
from tests.benchmarks.workshops import rows_of
from tests.workshop.documents.examples import care_label
from workshop import transfer
from workshop.documents import printing
from workshop.documents.kit import cards
from workshop.documents.labels import care, care_label as label_of_care

DAY = date(2025, 6, 2)
YEAR_END = date(2025, 12, 31)  # when all that came is there
MONTH = usage.month_of(DAY)
HALF_YEAR = 180
OK = 200
PAGE = 0.120  # seconds
SIZES = tuple(Decimal(grams) for grams in (3, 5, 8, 12))
FOUR_YEARS = 48
MANY = 100_000
TWELVE = 12
SUMS = "SELECT material_id, SUM(quantity), SUM(value) FROM inventory_movement GROUP BY material_id"
CELLS = (
    "SELECT material_id, month, SUM(quantity), SUM(value) FROM inventory_movement "
    "WHERE month BETWEEN %s AND %s AND kind = 'use' GROUP BY material_id, month"
)
WITHIN = "SELECT material_id, kind, SUM(quantity), SUM(value) FROM inventory_movement WHERE month = %s GROUP BY material_id, kind"


def run(folder: Path, *, smoke: bool, movements: int) -> Iterator[Case]:
    """The load comes first, since it needs an empty workshop; the others stand on what it brought."""
    embedded = connection.vendor == "sqlite"
    if embedded:
        yield from start.worker(1 if smoke else 4)
        yield conversion(2_000 if smoke else 20_000)
    yield loading(folder / "year", 200 if smoke else 2000)
    yield posting(30 if smoke else 300, 1, 2.0 if embedded else 1.7)
    yield posting(10 if smoke else 100, TWELVE, 2.0)
    if not embedded:
        return
    yield as_a_set(1000 if smoke else MANY)
    ledger_of.fill(movements, materials=50 if smoke else 1000, last=DAY)
    yield shelf()
    yield month()
    yield four_years()
    yield from pages()
    yield label()
    yield label_run(42 if smoke else 2100)
    yield ahead(20 if smoke else 1000)
    yield from check(folder, movements, materials=50 if smoke else 1000)


def conversion(times: int) -> Case:
    """Within a system, to another by a factor that decimals can say, and by one that none can; the reading of the figures included
    on both sides."""
    pairs = [("0.72", "kg", "g", "1000"), ("2.5", "lb", "g", "453.59237"), ("18.3", "kg", "oz", "35.2739619495804")]

    def ours() -> None:
        for amount, unit, base, _ in pairs:
            units.to_base(Decimal(amount), unit, base)

    def multiplied() -> None:
        for amount, _, _, factor in pairs:
            Decimal(amount) * Decimal(factor)

    ours()  # the first one reads the factors
    turns = [(_busy(ours, times), _busy(multiplied, times)) for _ in range(7)]
    took, bare_time = (min(each) for each in zip(*turns, strict=True))
    return Case("three conversions of units", took * 1e6, bare_time * 1e6, "Decimal multiply", 2.0, unit="µs")


def loading(folder: Path, uses: int) -> Case:
    """A folder with many uses, all of the loader's reading, naming and checking in it; the time is that of a row of any file."""
    write_year(folder, uses)
    ours = _busy(lambda: transfer.load(folder), 1)
    salt = Material.objects.get(code="SALT")
    lot = Lot.objects.filter(material=salt, quantity__gt=0).earliest("pk")
    bare_time = _busy(lambda: bare.post_all(uses, salt.pk, lot.pk, DAY.isoformat(), MONTH), 1)
    what = named("load uses from a folder, a row", connection.vendor)
    return Case(what, ours / rows_of(folder), bare_time / uses, "the SQL of a use, all in one transaction")


def posting(times: int, lines: int, most: float) -> Case:
    """Uses of one gram each, so many lines in one transaction that reaches the disk; the time is that of a line."""
    shelves = Lot.objects.filter(quantity__gt=1000).order_by("material", "pk")
    chosen = list({lot.material_id: lot for lot in shelves.select_related("material")}.values())[:lines]
    draws = [ledger.Draw(lot.material, Decimal(1), "1 g") for lot in chosen]
    ours = seconds(lambda: ledger.issue(kind=Kind.USE, on=DAY, draws=draws), times)
    known = [(lot.material_id, lot.pk) for lot in chosen]
    bare_time = seconds(lambda: bare.post(known, DAY.isoformat(), MONTH), times)
    what = "post one use" if lines == 1 else "post twelve uses at once, a line"
    return Case(named(what, connection.vendor), ours / lines, bare_time / lines, "its SQL without rule or check", most)


def as_a_set(uses: int) -> Case:
    """So many uses given their cost and written in one go, against the same rows given; both are undone again."""
    lot = Lot.objects.filter(material__code="SALT", quantity__gt=1000).select_related("material").earliest("pk")
    draws = [ledger.Draw(lot.material, Decimal("0.001"), "1 mg")] * uses
    with transaction.atomic():
        ours = _busy(lambda: ledger.issue(kind=Kind.USE, on=DAY, draws=draws), 1)
        posting = Posting.objects.latest("pk")
        moved = list(posting.movements.order_by("pk"))
        parts = list(LotDraw.objects.filter(movement__posting=posting).order_by("pk"))
        transaction.set_rollback(True)
    with transaction.atomic():
        posting.save(force_insert=True)
        bare_time = _busy(lambda: (Movement.objects.bulk_create(moved), LotDraw.objects.bulk_create(parts)), 1)
        transaction.set_rollback(True)
    what = "uses given their cost as a set, a row"
    each, each_bare = ours / uses * 1e6, bare_time / uses * 1e6
    return Case(what, each, each_bare, "bulk_create of the same rows", 1.0, unit="µs")


def shelf() -> Case:
    """The list from running balances against the sums that it spares; below one is the point of keeping them."""
    held = Movement.objects.count()
    ours = seconds(lambda: list(stock.shelf()), 5)
    return Case(
        f"shelf over {held:,} movements", ours, seconds(lambda: bare.fetch(SUMS), 5), "SUM over the ledger", 1.0
    )


def month() -> Case:
    """Whole thousandths, as the report reads them, against the sums of the one month without what it began with."""
    ours = seconds(lambda: usage.flows(MONTH), 20)
    bare_time = seconds(lambda: bare.fetch(WITHIN, MONTH), 20)
    return Case("a month's use with opening", ours, bare_time, "the sums of that month alone", 2.0, 0.006)


def four_years() -> Case:
    first = MONTH - FOUR_YEARS + 1
    ours = seconds(lambda: usage.used_cells(first, MONTH), 3)
    bare_time = seconds(lambda: bare.fetch(CELLS, first, MONTH), 3)
    return Case(f"material × month, {FOUR_YEARS} months", ours, bare_time, "its sums over the ledger", 1.3)


def pages() -> Iterator[Case]:
    """Three pages of a workshop with that ledger, as a signed-in owner opens them for the second time."""
    accounting.pin_today(on=DAY)
    client = Client(headers={"host": "localhost"})
    client.force_login(factories.owner())
    code = Material.objects.order_by("-pk")[0].code
    for name, address in (
        ("Today", reverse("today")),
        ("the page of a material", reverse("material", args=[code])),
        ("the page of a month", reverse("books")),
    ):
        if (status := client.get(address).status_code) != OK:
            raise RuntimeError(f"{address} answers {status}")
        took = min(_busy(lambda at=address: client.get(at), 1) for _ in range(5))  # type: ignore[misc]
        yield Case(name, took, PAGE, "120 ms of the processor", 1.0)


def check(folder: Path, movements: int, *, materials: int) -> Iterator[Case]:
    """The whole check on clean books of their own: what was written past the services above is not clean.
    No delivery brought this, and no skin bears it, so it is of other kinds."""
    connection.close()
    shutil.copyfile(folder / "empty.sqlite3", connection.settings_dict["NAME"])
    accounting.set_up()
    factories.material("SALT", on_hand=1)
    ledger_of.fill(movements, materials=materials, last=DAY, came=Kind.COUNT, gone=Kind.SPOILED)
    ledger_of.link()
    turns = 1 if movements > MANY else 3
    took, again, bare_time = (
        min(_busy(work, 1) for _ in range(turns))
        for work in (_clean, lambda: _clean(after=chain.head().position), bare.walk)
    )
    yield Case("check of the books", took, bare_time, "an integer pass over the movements", 10.0)
    yield Case("check of the books, chain followed before", again, bare_time, "the same", 10.0)


def _clean(after: int = 0) -> None:
    if found := audit.findings(after):
        raise RuntimeError(f"The books of the benchmark are not clean: {found[0]}")


def label() -> Case:
    printing.label("care", "H03")  # the first one cuts and reads the type
    with row.remembered():
        ours = seconds(lambda: printing.label("care", "H03"), 20)
    return Case("print a care label", ours, seconds(bare.empty_page, 20), "an empty page of the same library")


def label_run(many: int) -> Case:
    """Care labels of as many pieces, each with its code, on sheets of 3 × 7: fitting, laying out and drawing, all records read."""
    methods = sorted(care.METHODS)
    deck = [label_of_care.card(care_label(article=f"H{n:04}", method=methods[n % len(methods)])) for n in range(many)]
    layout = cards.on_sheet(labels.equal(3, 7, "a4"))
    cards.run(deck[:1], layout=layout)  # the first one cuts and reads the type
    made: list[bytes] = []
    ours = seconds(lambda: made.append(cards.run(deck, layout=layout)), 1)
    drawn = bare.what_is_drawn(made[0])
    bare_time = seconds(lambda: bare.labels(drawn), 1)
    return Case(
        f"{many:,} care labels with code on 3 × 7", ours, bare_time, "a bare canvas with the same text and codes"
    )


def ahead(materials: int) -> Case:
    """Half a year of stock on 1,000 paths for each of many materials, used every few days; below four is asked for."""
    rhythm = [Habit(tuple(range(1, most + 1)), SIZES, DAY, Fraction(1), Fraction(1)) for most in (3, 7, 14, 28)]
    streams = [[Stream(habit, [1.0] * HALF_YEAR)] for habit in rhythm]
    there = [Parcel(Decimal(500))]

    def ours() -> None:
        for number in range(materials):
            simulation.run(there, (), (), streams[number % len(streams)], DAY, HALF_YEAR, origin=number)

    ours_time = seconds(ours, 1)
    bare_time = seconds(lambda: bare.draw(materials, HALF_YEAR, simulation.PATHS), 1)
    return Case(f"{materials:,} materials, half a year ahead", ours_time, bare_time, "draw and cumulative sum", 4.0)


def seconds(work: Callable[[], object], times: int) -> float:
    """The mean of one run, the best of three rounds where it is repeated."""
    rounds = 3 if times > 1 else 1
    return min(_round(work, times) for _ in range(rounds))


def _busy(work: Callable[[], object], times: int) -> float:
    """The processor's seconds of one run, for work that is over before another process is let in."""
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times


def _round(work: Callable[[], object], times: int) -> float:
    start = time.perf_counter()
    for _ in range(times):
        work()
    return (time.perf_counter() - start) / times


def write_year(folder: Path, uses: int) -> None:
    """The demonstration's folder with `uses` more rows of a gram of salt, spread over its first batch's days."""
    demo = settings.BASE_DIR / "fixtures" / "demo"
    folder.mkdir()
    for file in demo.glob("*.csv"):
        (folder / file.name).write_bytes(file.read_bytes())
    with (demo / "uses.csv").open(encoding="utf-8") as source:
        columns = next(csv.reader(source))
    with (folder / "uses.csv").open("a", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
        for number in range(uses):
            day = f"2025-02-{number % 10 + 10}"
            writer.writerow({"date": day, "batch": "B1", "material": "SALT", "quantity": "0.001", "unit": "kg"})
    (folder / "counts.csv").unlink()
