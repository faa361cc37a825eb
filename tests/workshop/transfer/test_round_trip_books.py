"""A workshop whose valuation method changed, and whose books were closed and opened, comes back as it was."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.contrib.auth.models import User

from inventory.base.accounting import selectors as accounting, services as workshop
from inventory.ledger import services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.models import Closing, CostFlowChange, Kind, Movement, Workshop
from inventory.people import services as people
from tests import factories
from tests.factories import DAY
from tests.workshop.transfer import folders
from tests.workshop.transfer.test_round_trip import passing, round_trip
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def _methods(*flows: str, by: User | None = None) -> None:
    """Two prices on the shelf and a draw under each method; one entry is of an earlier day, one is reversed later."""
    workshop.set_up(cost_flow=flows[0])
    alum, soda = (
        factories.material("ALUMK", on_hand=1, value="4.00"),
        factories.material("SODA", on_hand=3, value="3.10"),
    )
    for at, flow in enumerate(flows):
        on = DAY + timedelta(days=10 * at)
        workshop.pin_today(on=on)
        workshop.set_up(cost_flow=flow, by=by)
        factories.delivery(factories.line(alum, 1, 1, f"{9 + at}.01"), on=on + timedelta(days=1))
        factories.take(alum, "0.7", on + timedelta(days=2), Kind.SPOILED)
        factories.take(soda, "0.3", on - timedelta(days=at), Kind.SPOILED)
        ledger.reverse(posting=factories.take(soda, "0.1", on + timedelta(days=2), Kind.GIVEN), reason="not so")
        ledger.count(on=on + timedelta(days=3), material=soda, counted=Decimal(2000 - at))
    assert list(audit.findings()) == []


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("flows", [("average", "fifo"), ("fifo", "average", "fifo"), ("average", "fifo", "average")])
def test_each_entry_keeps_its_value_when_the_method_changed(tmp_path: Path, flows: tuple[str, ...]) -> None:
    before, after = round_trip(lambda: _methods(*flows), tmp_path)
    assert before == after
    rows = (tmp_path / "A" / "valuation.csv").read_text("utf-8").splitlines()
    assert [row.split(",")[1] for row in rows] == ["cost_flow", *flows[1:]]


def test_a_second_owner_changes_the_method_and_it_comes_back(tmp_path: Path) -> None:
    before, after = round_trip(lambda: _methods("average", "fifo", by=people.add(name="aino", role="owner")), tmp_path)
    assert before == after


def test_a_change_of_the_method_that_has_no_number_holds_from_its_day(tmp_path: Path) -> None:
    files = folders.SMALL | {"valuation.csv": "since,cost_flow\n2025-01-12,fifo\n"}
    load(folders.write(tmp_path / "in", files))
    first, *later = Movement.objects.filter(material__code="SALT", kind="use").order_by("on", "pk")
    assert first.on < date(2025, 1, 12) <= later[0].on
    assert not any(draw.value for draw in first.draws.all())
    assert all(sum(draw.value for draw in each.draws.all()) == each.value for each in later)
    assert (accounting.first_cost_flow(), Workshop.objects.get().cost_flow) == ("average", "fifo")


@pytest.mark.thorough
def test_a_method_that_holds_already_is_refused_by_its_row(tmp_path: Path) -> None:
    files = folders.SMALL | {"valuation.csv": "since,cost_flow\n2025-01-12,average\n"}
    with pytest.raises(FolderRefused, match=r"valuation\.csv row 2.*weighted average already"):
        load(folders.write(tmp_path / "in", files))
    assert not CostFlowChange.objects.exists()


def _closed() -> None:
    factories.material("ALUMK", on_hand=1, value="4.00")
    workshop.close_books(to=DAY, by=people.add(name="beata", role="bookkeeper"))
    workshop.close_books(to=DAY - timedelta(days=1), reason="one bill more, of March")
    workshop.close_books(to=DAY)


@pytest.mark.thorough
def test_the_log_of_closings_comes_back(tmp_path: Path) -> None:
    round_trip(_closed, tmp_path)
    with passing():
        load(tmp_path / "A")
        assert list(Closing.objects.order_by("pk").values_list("who", "to", "reason")) == [
            ("beata", DAY, ""),
            ("", DAY - timedelta(days=1), "one bill more, of March"),
            ("", DAY, ""),
        ]
        assert Workshop.objects.get().closed_to == DAY


@pytest.mark.thorough
def test_closings_that_do_not_follow_each_other_are_refused_by_their_row(tmp_path: Path) -> None:
    with passing():
        _closed()
        save(tmp_path / "A")
    folders.change(tmp_path / "A", "closings.csv", 3, "was", "2001-01-01")
    with pytest.raises(FolderRefused, match=r"closings\.csv row 3.*begins as the one before it left"):
        load(tmp_path / "A")
