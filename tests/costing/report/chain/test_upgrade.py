"""Books from before the chain are chained once, by the `migrate` that brings its table or, was that cut short, by the next one."""

from __future__ import annotations

from importlib import import_module

import pytest
from django.apps import apps as models
from django.db import connection

from costing import apps
from costing.report.audit import selectors as audit
from inventory.base.chain import kinds, selectors as chain
from inventory.base.chain.rules import Head
from inventory.models import ChainLink
from tests import factories as make

pytestmark = pytest.mark.django_db


def _upgraded() -> None:
    """The table as its migration leaves it."""
    ChainLink.objects.all().delete()
    import_module("inventory.migrations.0035_chain").mark(models, connection.schema_editor())


def test_an_upgrade_that_was_cut_short_is_finished_by_the_next_migrate() -> None:
    make.take(make.material("SALT", on_hand=10), 1)
    make.sale(make.article("A1"))
    _upgraded()
    assert audit.findings() == [
        "The chain: the upgrade that begins it was cut short. Start the program again, or run manage.py migrate."
    ]
    assert chain.came_from() is None
    apps._brought_up(plan=[])
    assert chain.head().position == sum(kind.model._default_manager.count() for kind in kinds.known())
    assert audit.findings() == []


def test_what_was_written_before_it_is_finished_keeps_its_link() -> None:
    salt = make.material("SALT", on_hand=10)
    _upgraded()
    make.take(salt, 1)
    head = chain.head()
    apps._brought_up(plan=[])
    assert chain.found(head.value) == head
    assert audit.findings() == []


def test_no_migrate_heals_a_chain_that_is_gone() -> None:
    make.take(make.material("SALT", on_hand=10), 1)
    ChainLink.objects.all().delete()
    apps._brought_up(plan=[])
    assert chain.head() == Head()
    assert all("is not in the chain" in found for found in audit.findings())


def test_a_new_database_ends_without_the_mark() -> None:
    assert not ChainLink.objects.exists()
