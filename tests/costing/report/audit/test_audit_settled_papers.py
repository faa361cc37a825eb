"""The day a paper was settled, spoiled behind the services, is told beside what its entries say."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from costing.models import Payment, Sale
from costing.report.audit import selectors as audit
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from tests import factories as make
from tests.factories import DAY

pytestmark = pytest.mark.django_db


def test_a_paper_that_is_kept_as_settled_on_another_day_is_found() -> None:
    sale = make.sale(None, paid=[Paid(Decimal(40)), Paid(Decimal(60), on=DAY + timedelta(days=3))])
    assert audit.findings() == []
    Sale.objects.filter(pk=sale.pk).update(settled_on=DAY)
    assert audit.findings() == ["S-001 is kept as settled on 2025-03-04; its entries say settled on 2025-03-07."]
    Sale.objects.filter(pk=sale.pk).update(settled_on=None)
    assert audit.findings() == ["S-001 is kept as open; its entries say settled on 2025-03-07."]


def test_a_paper_that_is_kept_as_settled_while_a_deposit_of_it_is_gone_is_found() -> None:
    job = make.job(price=100)
    payments.receive(amount=Decimal(100), on=DAY, job=job)
    make.sale(job, customer=job.customer, on=DAY)
    assert audit.findings() == []
    Payment.objects.update(amount=Decimal(99))
    assert "INV-001 is kept as settled on 2025-03-04; its entries say open." in audit.findings()
