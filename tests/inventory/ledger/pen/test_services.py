"""A posting as the database sees it: how many statements it is, and what it goes by."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import OperationalError, connection, transaction
from django.test.utils import CaptureQueriesContext

from inventory.base import selectors as workshop_read
from inventory.base.accounting import services as workshop
from inventory.base.chain import services as chain
from inventory.deliveries.corrections import services as corrections
from inventory.errors import ClosedPeriod
from inventory.ledger import services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.ledger.pen import services as pen
from inventory.models import Kind, Monthly, Movement, Posting
from tests.at_once import together
from tests.factories import DAY, delivery, line, material, take

D = Decimal
ONE_WRITER = connection.vendor == "sqlite"


@pytest.mark.django_db
@pytest.mark.parametrize("lines", [1, 12])
def test_a_posting_asks_as_much_whatever_its_lines(lines: int) -> None:
    workshop.set_up(name="Test")
    held = [material(f"M{n}", on_hand=1, value="10.00") for n in range(lines)]
    # The chain's links are written when its block ends, after what is counted here.
    with workshop_read.remembered(), chain.together(), CaptureQueriesContext(connection) as said:
        workshop_read.current()
        ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(each, D(100), "100 g") for each in held])
    # Many rows sent at once are told as "12 times: UPDATE".
    trips = [each["sql"].split(" times: ")[-1].split()[0] for each in said if "SAVEPOINT" not in each["sql"]]
    if ONE_WRITER:
        # The row that the page remembers, the row as it stands, shelves with lots, later days, the keys to come.
        assert trips.count("SELECT") == 5
        assert trips.count("INSERT") == 4, "posting, movements, draws, months"
        assert trips.count("UPDATE") == 2, "shelves, lots"
    else:
        assert trips == ["SELECT", "SELECT", "SELECT", "INSERT"], "what follows goes along"
    assert list(audit.findings()) == []


@pytest.mark.django_db
def test_nobody_is_given_the_keys_that_a_posting_will_have() -> None:
    salt, alum = material("SALT", on_hand=1), material("ALUM", on_hand=1)
    with transaction.atomic():
        shelves = pen.shelves([salt.pk, alum.pk], DAY, lines=3)
        [key], movements = shelves.ahead["inventory_posting"], shelves.ahead["inventory_movement"]
        assert movements == sorted(set(movements))
        assert len(movements) == 3
        assert not Posting.objects.filter(pk__gte=key).exists()
        assert not Movement.objects.filter(pk__gte=movements[0]).exists()
    for _ in range(2):
        ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(salt, D(1)), ledger.Draw(alum, D(1))])
    after = Posting.objects.create(kind=Kind.USE, on=DAY)
    assert after.pk == Posting.objects.latest("pk").pk, "what is written past the pen goes on after it"
    assert Movement.objects.count() == 6
    assert after.pk > key or ONE_WRITER


@pytest.mark.django_db
@pytest.mark.skipif(ONE_WRITER, reason="one table tells all last keys there")
@pytest.mark.parametrize("table", ["inventory_posting", "inventory_movement"])
def test_keys_are_taken_from_the_sequence_of_the_table(table: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_get_serial_sequence(%s, 'id')::regclass = %s::regclass", [table, f"{table}_id_seq"])
        assert cursor.fetchone() == (True,)


@pytest.mark.django_db
def test_more_lines_than_one_statement_takes_are_all_written() -> None:
    salt = material("SALT", on_hand=1, value="10.00")
    posting = ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(salt, D(1))] * 600)
    rows = list(Movement.objects.filter(posting=posting).order_by("pk"))
    assert [row.quantity_left for row in rows] == [D(999 - n) for n in range(600)]
    assert list(audit.findings()) == []


@pytest.mark.django_db
@pytest.mark.parametrize("later", [False, True])
def test_lines_of_one_material_change_its_month_together(later: bool) -> None:
    salt, alum = material("SALT", on_hand=1, value="10.00"), material("ALUM", on_hand=1, value="7.00")
    if later:
        take(salt, "0.1", on=DAY + timedelta(days=40))
    lines = [(salt, 3), (alum, 5), (salt, 4), (alum, 6)]
    ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(each, D(grams)) for each, grams in lines])
    (row,) = Monthly.objects.filter(material=salt, used_quantity=D(-7))
    assert row.month == DAY.year * 12 + DAY.month - 1
    assert list(audit.findings()) == []


@pytest.mark.django_db
def test_a_posting_is_found_by_the_moment_it_was_written() -> None:
    posting = take(material(on_hand=1), "0.1")
    assert Posting.objects.get(written_at=posting.written_at) == posting
    assert Posting.objects.get(pk=posting.pk).written_at == posting.written_at


def close(on: date) -> None:
    """The books are closed by somebody else, on a connection of his own."""
    (answer,) = together(lambda: workshop.close_books(to=on))
    if isinstance(answer, Exception):
        raise answer


@pytest.mark.usefixtures("shared_database")
def test_a_closing_that_a_page_has_not_seen_holds_for_its_posting() -> None:
    salt = material("SALT", on_hand=1, value="10.00")
    used = take(salt, "0.1")
    came = delivery(line(salt))
    with workshop_read.remembered():
        assert workshop_read.current().closed_to is None
        close(DAY + timedelta(days=1))
        draw, arrival = ledger.Draw(salt, D(1)), ledger.Arrival(salt, D(1), D(1))
        for write in (
            lambda: ledger.issue(kind=Kind.USE, on=DAY, draws=[draw]),
            lambda: ledger.receive(kind=Kind.RECEIPT, on=DAY, arrivals=[arrival]),
            lambda: ledger.count(on=DAY, material=salt, counted=D(5)),
            lambda: ledger.reverse(posting=used, reason="wrong"),
            lambda: corrections.correct(delivery=came, on=DAY, reason="wrong"),
        ):
            with pytest.raises(ClosedPeriod):
                write()
        assert workshop_read.current().closed_to is not None, "what was remembered was wrong and is forgotten"
    assert Posting.objects.count() == 3


@pytest.mark.skipif(ONE_WRITER, reason="a second writer waits for the first whatever he writes")
@pytest.mark.usefixtures("shared_database")
def test_books_are_not_closed_under_a_posting_that_is_being_written() -> None:
    salt = material("SALT", on_hand=1, value="10.00")

    def impatient() -> None:
        with connection.cursor() as cursor:
            cursor.execute("SET lock_timeout = '200ms'")
        workshop.close_books(to=DAY)

    workshop.set_up(name="Test")
    with transaction.atomic():
        take(salt, "0.1")
        (answer,) = together(impatient)
    assert isinstance(answer, OperationalError)
