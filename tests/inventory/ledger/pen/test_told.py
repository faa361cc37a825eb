"""What the pen tells the chain of a posting is what the database would be read to say."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.base.accounting import services as accounting
from inventory.base.chain import kinds, services as chain
from inventory.base.models import CostFlow
from inventory.ledger import services as ledger
from inventory.models import Kind, Posting
from tests.factories import DAY, material, owner, receive, take

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("flow", [CostFlow.AVERAGE, CostFlow.FIFO])
def test_it_is_what_the_database_says(monkeypatch: pytest.MonkeyPatch, flow: CostFlow) -> None:
    told: dict[int, str] = {}
    real = chain.told

    def heard(row: Posting, said: str) -> None:
        told[row.pk] = said
        real(row, said)

    monkeypatch.setattr(chain, "told", heard)
    accounting.set_up(cost_flow=flow)
    salt, alum = material("SALT", on_hand=10, value="7.77"), material("ALUM", on_hand=1, shelf_life_days=30)
    receive(salt, 5, "2.22")
    ledger.receive(
        kind=Kind.RECEIPT, on=DAY, arrivals=[ledger.Arrival(alum, Decimal("0.5"), Decimal("1.10"), "½ g")], by=owner()
    )
    draws = [
        ledger.Draw(salt, Decimal("12.345"), 'a "tub" \\ of\tit'),
        ledger.Draw(alum, Decimal("0.7")),
        ledger.Draw(salt, Decimal(1)),
    ]
    ledger.issue(kind=Kind.USE, on=DAY + timedelta(days=1), draws=draws, reason="“soft” ä/", by=owner())
    ledger.count(on=DAY + timedelta(days=1), material=salt, counted=Decimal(3))
    ledger.count(on=DAY + timedelta(days=1), material=salt, counted=Decimal(1))
    take(alum, "0.1")
    assert len(told) == Posting.objects.count()
    posting = kinds.named("posting")
    assert posting is not None
    assert told == posting.said(list(told))
