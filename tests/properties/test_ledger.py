"""What must hold on the shelf after any run of receipts, issues, counts and reversals, by either cost flow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings, strategies as st
from hypothesis.extra.django import TestCase

from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.deliveries.corrections import services as corrections
from inventory.errors import Refused
from inventory.ledger import selectors as read, services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.ledger.months.rules import month_of
from inventory.ledger.usage import selectors as usage
from inventory.models import CostFlow, Delivery, Kind, Lot, Material, Movement, Posting
from tests import factories
from tests.inventory.ledger.usage import by_movements
from tests.properties import few

FIRST = date(2025, 1, 1)
LAST = 120  # days after the first; some months between may have no entry


@dataclass(frozen=True)
class Event:
    """`amount` in grams, `cents` only for what comes in, `day` days after the first; `pick` chooses what is taken back."""

    kind: str
    amount: int
    cents: int
    day: int
    pick: int


def events(*kinds: str) -> st.SearchStrategy[list[Event]]:
    event = st.builds(
        Event,
        kind=st.sampled_from(kinds),
        amount=st.integers(1, 5000),
        cents=st.integers(0, 9999),
        day=st.integers(0, 40) | st.integers(90, 100),
        pick=st.integers(0, 50),
    )
    return st.lists(event, min_size=1, max_size=14)


def play(material: Material, run: Sequence[Event]) -> list[bool]:
    """Post the run; True for each event that was taken, False for each that was refused."""
    return [_post(material, event) for event in run]


def _post(material: Material, event: Event) -> bool:
    on, amount = FIRST + timedelta(days=event.day), Decimal(event.amount)
    try:
        if event.kind == "receive":
            arrival = ledger.Arrival(material, amount, Decimal(event.cents) / 100)
            ledger.receive(kind=Kind.RECEIPT, on=on, arrivals=[arrival])
        elif event.kind == "issue":
            ledger.issue(kind=Kind.USE, on=on, draws=[ledger.Draw(material, amount)])
        elif event.kind == "empty":
            material.refresh_from_db()
            ledger.issue(
                kind=Kind.SPOILED, on=FIRST + timedelta(days=LAST), draws=[ledger.Draw(material, material.on_hand)]
            )
        elif event.kind == "count":
            ledger.count(on=on, material=material, counted=amount)
        elif event.kind == "deliver":
            cents = Decimal(event.cents) / 100
            line = deliveries.Line(material, Decimal(1), amount, cents, "g")
            deliveries.record(supplier=factories.supplier(), on=on, lines=[line, line], carriage=cents)
        elif event.kind == "correct":
            came = list(Delivery.objects.order_by("pk"))
            if not came:
                return False
            wrong = came[event.pick % len(came)]
            corrections.correct(delivery=wrong, on=max(on, wrong.on), reason="wrong")
        elif event.kind == "flow":
            workshop.set_up(cost_flow=CostFlow.values[event.pick % 2])
        else:
            standing = list(Posting.objects.filter(reverses__isnull=True, reversed_by__isnull=True).order_by("pk"))
            if not standing:
                return False
            posting = standing[event.pick % len(standing)]
            ledger.reverse(posting=posting, reason="wrong", on=max(on, posting.on) if event.amount % 2 else None)
    except Refused:
        return False
    return True


def check_months() -> None:
    """The month balances say of every month, before, between and after, what its movements add up to."""
    first, last = month_of(FIRST), month_of(FIRST + timedelta(days=LAST))
    for month in range(first - 1, last + 2):
        found = {
            flow.code: {name: getattr(flow, name) for name in ("opening", "received", "used", "other")}
            for flow in usage.flows(month)
        }
        assert found == by_movements.flows(month), usage.month_text(month)
    cells = {(cell.code, cell.month): cell.used for cell in usage.used_cells(first, last)}
    assert cells == by_movements.used(first, last)
    by_month = [
        sum((each.value for (_, at), each in cells.items() if at == month), Decimal(0))
        for month in range(first, last + 1)
    ]
    assert list(usage.used_by_month(first, last).values()) == by_month
    assert usage.months_with_entries() == sorted({row.month for row in Movement.objects.all()}, reverse=True)


@pytest.mark.slow
class LedgerRules(TestCase):
    def check(self, flow: str, run: list[Event]) -> None:
        workshop.set_up(name="Test", cost_flow=flow)
        material = factories.material("SALT")
        play(material, run)
        material.refresh_from_db()
        rows = list(Movement.objects.filter(material=material))
        assert material.on_hand == sum((row.quantity for row in rows), Decimal(0)) >= 0
        assert material.value == sum((row.value for row in rows), Decimal(0)) >= 0
        assert material.on_hand or not material.value, "an emptied shelf holds value"
        assert material.on_hand == sum((lot.quantity for lot in Lot.objects.all()), Decimal(0))
        for day in {row.on for row in rows}:
            assert read.balances(day) == read.sums(Movement.objects.filter(on__lte=day), "material"), day
            quantity, value = read.balances(day)[material.pk]
            assert quantity >= 0, day
            assert value >= 0, day
            assert quantity or not value, f"an empty shelf held value on {day}"
        assert list(audit.findings()) == []
        check_months()

    @given(events("receive", "issue", "empty", "count", "reverse"))
    @settings(max_examples=few(10))
    def test_average_conserves_quantity_and_value(self, run: list[Event]) -> None:
        self.check(CostFlow.AVERAGE, run)

    @given(events("receive", "issue", "empty", "count", "reverse"))
    @settings(max_examples=few(10))
    def test_first_in_first_out_conserves_quantity_and_value(self, run: list[Event]) -> None:
        self.check(CostFlow.FIFO, run)

    @given(events("deliver", "issue", "correct", "issue", "count", "reverse"))
    @settings(max_examples=few(10))
    def test_average_holds_when_deliveries_are_corrected_late(self, run: list[Event]) -> None:
        self.check(CostFlow.AVERAGE, run)

    @given(events("deliver", "issue", "correct", "issue", "count", "reverse"))
    @settings(max_examples=few(10))
    def test_first_in_first_out_holds_when_deliveries_are_corrected_late(self, run: list[Event]) -> None:
        self.check(CostFlow.FIFO, run)

    @given(events("receive", "issue", "empty", "count", "deliver", "correct", "reverse", "flow"))
    @settings(max_examples=few(10))
    def test_changes_of_the_cost_flow_between_conserve_quantity_and_value(self, run: list[Event]) -> None:
        self.check(CostFlow.AVERAGE, run)

    @given(events("receive", "issue", "empty"))
    @settings(max_examples=few(8))
    def test_average_and_first_in_first_out_agree_on_quantities(self, run: list[Event]) -> None:
        ordered = sorted(run, key=lambda event: event.day)
        seen = []
        for code, flow in (("AV", CostFlow.AVERAGE), ("FI", CostFlow.FIFO)):
            workshop.set_up(name="Test", cost_flow=flow)
            material = factories.material(code)
            taken = play(material, ordered)
            material.refresh_from_db()
            seen.append((taken, material.on_hand))
        assert seen[0] == seen[1]

    @given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(1, 900)), min_size=1, max_size=8))
    @settings(max_examples=few(10))
    def test_one_request_key_posts_once(self, sendings: list[tuple[str, int]]) -> None:
        material = factories.material("SALT", on_hand=100, value=50)
        before = Posting.objects.count()
        for key, grams in sendings:
            ledger.issue(
                kind=Kind.USE, on=factories.DAY, draws=[ledger.Draw(material, Decimal(grams))], request_key=key
            )
        first = dict(reversed(sendings))
        material.refresh_from_db()
        assert Posting.objects.count() - before == len(first)
        assert material.on_hand == 100_000 - sum(first.values())
