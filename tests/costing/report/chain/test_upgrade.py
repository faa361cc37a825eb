"""Books from before the chain are chained by the upgrade that brings its table, and by no later one."""

from __future__ import annotations

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from costing import apps
from costing.report.audit import selectors as audit
from inventory.base.chain import kinds, selectors as chain
from inventory.base.chain.rules import Head
from inventory.models import ChainLink
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_the_upgrade_chains_what_is_there_and_a_later_one_does_not_heal_a_chain_that_is_gone() -> None:
    make.take(make.material("SALT", on_hand=10), 1)
    make.sale(make.article("A1"))
    ChainLink.objects.all().delete()
    steps = [
        step for step in MigrationExecutor(connection).loader.disk_migrations.values() if step.app_label == "inventory"
    ]
    bringing = [step for step in steps if step.name.endswith("_chain")]
    apps._brought_up(plan=[(step, False) for step in steps if step not in bringing])
    assert chain.head() == Head()
    assert all("is not in the chain" in found for found in audit.findings())
    apps._brought_up(plan=[(step, False) for step in bringing])
    assert chain.head().position == sum(kind.model._default_manager.count() for kind in kinds.known())
    assert audit.findings() == []
