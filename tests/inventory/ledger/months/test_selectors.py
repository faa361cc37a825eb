"""The month balances against the movements, and the audit that finds where they part."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from inventory.ledger import selectors as books, services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.ledger.months import columns, selectors as read, services as months
from inventory.ledger.months.rules import month_of
from inventory.models import Kind, Material, Monthly
from tests.factories import material, receive, take

pytestmark = pytest.mark.django_db
D = Decimal
JAN, FEB, MAR, MAY = (date(2025, month, 10) for month in (1, 2, 3, 5))
NEW_YEAR = month_of(JAN)


def kept() -> list[tuple[object, ...]]:
    return list(Monthly.objects.order_by("material", "month").values_list("material", "month", *columns.FIGURES))


@pytest.fixture
def alum() -> Material:
    """A jar that moved in January, February and May, and not between."""
    row = material(on_hand=1, value="4.00", on=JAN)
    receive(row, 2, "11.00", FEB)
    take(row, "0.5", FEB)
    take(row, "0.25", MAY, Kind.SOLD)
    take(row, "0.25", MAY, Kind.SPOILED)
    return row


def test_each_kind_has_its_column() -> None:
    assert {kind: columns.place(kind) for kind in Kind.values} == {
        "opening": "opening",
        "receipt": "came",
        "correct": "came",
        "use": "used",
        "sold": "sold",
        **dict.fromkeys(("spoiled", "own_use", "given", "other", "count"), "other"),
    }


def test_a_month_begins_where_the_one_before_ended(alum: Material) -> None:
    first, second, last = Monthly.objects.order_by("month")
    assert (first.first_quantity, first.opening_quantity, first.opening_value) == (0, D(1000), D("4.00"))
    assert (second.first_quantity, second.first_value) == (D(1000), D("4.00"))
    assert (second.came_quantity, second.used_quantity, second.used_value) == (D(2000), D(-500), D("-2.50"))
    assert (last.first_quantity, last.sold_quantity, last.other_quantity) == (D(2500), D(-250), D(-250))


def test_what_is_written_late_changes_what_later_months_began_with(alum: Material) -> None:
    take(alum, "0.1", MAR)
    march, may = Monthly.objects.order_by("month")[2:]
    assert (march.first_quantity, march.used_quantity, may.first_quantity) == (D(2500), D(-100), D(2400))
    receive(alum, 1, "4.00", date(2024, 12, 31))
    assert list(Monthly.objects.order_by("month").values_list("first_quantity", flat=True)) == [
        0,
        D(1000),
        D(2000),
        D(3500),
        D(3400),
    ]
    assert list(audit.findings()) == []


def test_the_end_of_a_day_is_the_sum_up_to_it(alum: Material) -> None:
    salt = material("SALT", on_hand=3, value="1.00", on=MAR)
    for day, alone in (
        (date(2024, 12, 31), 0),
        (JAN, 1),
        (date(2025, 2, 9), 1),
        (FEB, 1),
        (date(2025, 4, 30), 2),
        (MAY, 2),
    ):
        assert books.balances(day) == by_movements(day), day
        assert len(books.balances(day)) == alone
        assert books.balances(day, [salt]) == {pk: each for pk, each in by_movements(day).items() if pk == salt.pk}
    assert books.balances(MAY, []) == {}
    assert books.balances(date.max) == by_movements(date.max)


def by_movements(day: date) -> dict[int, books.Balance]:
    return books.sums(books.Movement.objects.filter(on__lte=day), "material")


def test_all_is_made_anew_from_the_movements_alone(alum: Material) -> None:
    take(alum, "0.1", MAR)
    known = kept()
    Monthly.objects.filter(month=NEW_YEAR).delete()
    Monthly.objects.update(first_quantity=7, came_value=9)
    months.rebuild()
    assert kept() == known


def test_an_older_database_is_filled_as_all_is_made_anew(alum: Material) -> None:
    known = kept()
    Monthly.objects.all().delete()
    import_module("inventory.migrations.0032_monthly").fill(apps, SimpleNamespace(connection=connection))
    assert kept() == known


BREAKS: dict[str, tuple[Callable[[], object], str]] = {
    **{
        figure: (
            lambda figure=figure: Monthly.objects.filter(month=NEW_YEAR + 1).update(**{figure: 77}),  # type: ignore[misc]
            f"ALUMK in 2025-02: the month balance says {figure.replace('_', ' ')} 77.000, the movements say",
        )
        for figure in columns.FIGURES
    },
    "a month gone": (
        lambda: Monthly.objects.filter(month=NEW_YEAR + 1).delete(),
        "ALUMK in 2025-02 has no month balance, and movements that need one.",
    ),
    "a month too many": (
        lambda: Monthly.objects.create(material=Material.objects.get(), month=NEW_YEAR + 2),
        "ALUMK in 2025-03 has a month balance without any movement.",
    ),
}


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize("name", BREAKS)
def test_a_month_that_parts_from_its_movements_is_named(alum: Material, name: str) -> None:
    breaking, said = BREAKS[name]
    breaking()
    (finding,) = audit.findings()
    assert finding.startswith(said)


def test_months_with_entries_are_found_by_their_own_and_newest_first(alum: Material) -> None:
    assert read.known() == [NEW_YEAR + 4, NEW_YEAR + 1, NEW_YEAR]


def test_nothing_is_known_before_anything_moved() -> None:
    assert (read.known(), read.left(NEW_YEAR), read.month_rows(NEW_YEAR)) == ([], {}, [])


def test_many_materials_are_named_as_few_are(alum: Material, monkeypatch: pytest.MonkeyPatch) -> None:
    material("SALT", on_hand=1, on=JAN)
    few = read.left(NEW_YEAR, [alum.pk])
    monkeypatch.setattr(read, "_MOST_NAMED", 0)
    assert few == read.left(NEW_YEAR, [alum.pk]) == {alum.pk: (1_000_000, 4000)}


def test_a_refused_entry_leaves_the_month_as_it_was(alum: Material) -> None:
    known = kept()
    with pytest.raises(ledger.ShortStock):
        take(alum, 100, MAY)
    assert kept() == known
