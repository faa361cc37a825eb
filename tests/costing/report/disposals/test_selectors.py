"""What left without a sale: own use, gifts, what spoiled or got lost, with its reason and its book cost."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from costing.report.disposals import report as disposals, selectors as read
from inventory.base.accounting import services as workshop
from inventory.ledger import services as ledger
from inventory.models import Kind
from inventory.places.moves import services as moves
from inventory.report import Form
from tests.factories import DAY, finish, material, skin, take
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
YEAR = (date(2025, 1, 1), date(2025, 12, 31))


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 12, 31))


def piece(tag: str, why: str, on: date = DAY) -> None:
    skin(tag)
    moves.out(article=finish(tag)[0], on=on, why=why, note="to the neighbour")


def values() -> dict[str, Decimal]:
    """By the title of each table of the report: what it comes to."""
    return {table.title: table.sums()["value"] for table in disposals.year(2025).tables(Form.PAGE)}


def test_pieces_and_materials_stand_by_kind_with_their_reason_and_value() -> None:
    oil = material("OILN", "L", on_hand=1, value=10)
    piece("H01", "own_use")
    piece("H02", "given")
    piece("H03", "missing")
    take(oil, "0.25", kind=Kind.OWN_USE)
    take(oil, "0.5", kind=Kind.SPOILED)
    take(oil, "0.1", kind=Kind.OTHER)
    assert values() == {
        "Own use": D("14.50"), "Given away": D(12), "Spoiled": D(5), "Lost or stolen": D(12),
    }  # fmt: skip
    (given,) = [row for row in read.unsold(*YEAR) if row.why == "given" and row.what.page == "article"]
    assert (given.what.text, given.reason) == ("A-H02", "to the neighbour")


def test_what_was_taken_back_or_is_of_another_year_is_left_out() -> None:
    oil = material("OILN", "L", on_hand=1, value=10)
    ledger.reverse(posting=take(oil, "0.25", kind=Kind.OWN_USE), reason="wrong")
    piece("H01", "own_use", date(2026, 1, 1))
    piece("H02", "given")
    moves.reverse(move=moves.Move.objects.get(why="given"))
    assert list(values().values()) == [0, 0, 0, 0]


def test_the_page_lists_the_year_and_leads_to_its_neighbours() -> None:
    client = signed_in()
    piece("H01", "own_use")
    address = reverse("let_go", args=[2025])
    shown = text(client.get(address))
    for words in ("A-H01", "to the neighbour", "12.00 €", "None in 2025", reverse("let_go", args=[2024])):
        assert words in shown
    assert reverse("let_go", args=[2026]) not in shown
    assert client.get(reverse("let_go", args=[99999])).status_code == 404
    assert address in text(client.get(reverse("books")))


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_thirty_rows_as_for_one() -> None:
    client = signed_in()
    oil = material("OILN", "L", on_hand=100, value=100)
    piece("H01", "own_use")
    take(oil, 1, kind=Kind.GIVEN)
    address = reverse("let_go", args=[2025])
    one = queries(client, address)
    for number in range(2, 17):
        piece(f"H{number:02}", "given")
        take(oil, 1, kind=Kind.OWN_USE)
    assert queries(client, address) == one
