"""What a row says for the chain is the same text on every database, or a workshop that moves would find its own past false."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from costing.models import Sale, SaleLine
from inventory.base.chain import kinds
from inventory.models import Closing, Delivery, Lot, Movement, Posting
from tests import factories as make
from tests.factories import DAY

pytestmark = pytest.mark.django_db
WHEN = datetime(2025, 3, 4, 12, 0, tzinfo=UTC)


def said(name: str, row: Any) -> str:
    kind = kinds.named(name)
    assert kind is not None
    return kind.said([row.pk])[row.pk]


def test_a_delivery_and_its_posting() -> None:
    delivery = make.delivery(make.line(make.material("SALT")), ref="P-“1”")
    Posting.objects.update(written_at=WHEN)
    movement, lot = Movement.objects.get(), Lot.objects.get()
    posted = f'"receipt","2025-03-04","delivery P-“1”",null,"2025-03-04 12:00:00.000000",null,{movement.material_id},"receipt"'
    moved = f'"2025-03-04",24302,2000000,11600,2000000,11600,"{movement.typed}",{lot.material_id},"2025-03-04",null'
    assert said("posting", delivery.posting) == f"[[{posted},{moved},null,null,null,null]]"
    bill = f'{delivery.supplier_id},null,{delivery.posting_id},"2025-03-04","P-“1”",0,"",null,0,null,0,null,""'
    line = f"{movement.pk},1000,2000000,11600,0,null,0"
    assert said("delivery", Delivery.objects.get()) == f"[[{bill},{line}]]"


def test_a_paper_whose_seller_is_json() -> None:
    Sale.objects.filter(pk=make.sale(make.article("A1"), asked=50).pk).update(
        written_at=WHEN.replace(microsecond=120), seller={"name": "Ä", "address": "1 “Lane”"}, buyer={"b": "", "a": "x"}
    )
    paper, line = Sale.objects.get(), SaleLine.objects.get()
    frozen = '"EUR",{"address":"1 “Lane”","name":"Ä"},{"a":"x","b":""},0,1,"rate","half_up",50000,0,50000'
    first = f'"sale",1,"{paper.number}","2025-03-04","2025-03-04",null,null,null,null,null,null,"","",{frozen}'
    sold = f'null,1,"article",{line.article_id},null,null,"{line.words}",1000,50000,0,0,"",50000,0,50000,12000,12000,0'
    assert said("paper", paper) == f'[[{first},"2025-03-04 12:00:00.000120",null,{sold}]]'


def test_a_closing_with_days_of_nothing() -> None:
    row = Closing.objects.create(at=WHEN, who="ann", was=None, to=DAY)
    assert said("closing", row) == '[["2025-03-04 12:00:00.000000","ann",null,"2025-03-04",""]]'
