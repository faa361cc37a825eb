"""What is remembered of usual use hides nothing: after any entry every outlook is the one that the books alone give."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings, strategies as st
from hypothesis.extra.django import TestCase

from inventory.base import signals
from inventory.errors import Refused
from inventory.foresight import demand, past, rules, selectors as foresight
from inventory.foresight.selectors import Outlook
from inventory.ledger import services as ledger
from inventory.models import Material
from tests import factories as make
from tests.properties import few
from tests.properties.test_ledger import FIRST, LAST, Event, events, play

D = Decimal
END = FIRST + timedelta(days=LAST)


def anew(on: date) -> list[Outlook]:
    """Nothing is remembered of what was asked before."""
    past._slot.cache_clear()
    rules.forecast.cache_clear()
    return foresight.outlooks(on)


def check(on: date) -> None:
    """As it is remembered first: what is worked out anew would fill the memory."""
    alerts, outlooks = foresight.alerts(on), foresight.outlooks(on)
    fresh = anew(on)
    assert outlooks == fresh
    assert alerts == [each for each in fresh if each.forecast.alert]


@pytest.mark.slow
class WhatIsRemembered(TestCase):
    @given(
        events("receive", "issue", "issue", "count", "reverse", "batch"),
        events("issue", "count", "reverse", "batch"),
        st.integers(0, LAST),
    )
    @settings(max_examples=few(6))
    def test_after_any_run_of_entries_every_outlook_is_that_of_the_books(
        self, before: list[Event], after: list[Event], day: int
    ) -> None:
        material = make.material("SALT", on_hand=20, on=FIRST, lead_days=9)
        make.material("LIME", on_hand=1, on=FIRST)
        batch = make.batch("B1", tags=[make.skin("H1", date_in=FIRST).tag], start=FIRST)
        for run in (before, after):
            play(material, [event for event in run if event.kind != "batch"])
            for event in run:
                if event.kind == "batch":
                    with suppress(Refused):  # too little is left
                        make.put(batch, material, D(event.amount) / 5000, on=FIRST + timedelta(days=event.day))
            for on in (END, FIRST + timedelta(days=day)):
                check(on)


@pytest.mark.django_db
def test_use_is_reckoned_from_the_first_day_on_the_shelf() -> None:
    """However many entries there are: 60 days with two baths, not the days since the last of them."""
    salt = make.material("SALT", on_hand=20, on=FIRST)
    batch = make.batch("B1", tags=[make.skin("H1", date_in=FIRST).tag], start=FIRST)
    for after in (20, 45):
        make.put(batch, salt, D(1), on=FIRST + timedelta(days=after))
    on = FIRST + timedelta(days=60)
    used = [(FIRST + timedelta(days=after), D(1000), batch.pk) for after in (20, 45)]
    assert past.usual([salt.pk], on)[salt.pk].rate == demand.usual(used, FIRST, on).rate


@pytest.mark.django_db
def test_an_entry_that_was_taken_back_with_its_transaction_is_not_remembered() -> None:
    """The next entry of the material has the same key, and leaves the same."""
    salt = make.material("SALT", on_hand=20, on=FIRST)
    make.take(salt, 1, on=FIRST)
    with transaction.atomic():
        make.take(salt, 3, on=END - timedelta(days=90))
        foresight.outlooks(END)
        transaction.set_rollback(True)
    salt.refresh_from_db()
    make.take(salt, 3, on=END - timedelta(days=2))
    check(END)


@pytest.mark.django_db
def test_uses_are_read_only_of_what_was_written_of_since() -> None:
    rows = [make.material(f"M{number}", on_hand=20, on=FIRST) for number in range(3)]
    for row in rows:
        make.take(row, 1, on=FIRST)
    foresight.outlooks(END)
    asked: list[list[int]] = []

    def listen(sender: object, *, materials: list[int], **_: object) -> dict[int, list[object]]:
        asked.append(sorted(materials))
        return {}

    signals.uses_sought.connect(listen)
    try:
        foresight.outlooks(END)
        posting = make.take(rows[1], 1, on=FIRST)
        foresight.outlooks(END)
        ledger.reverse(posting=posting, reason="wrong")
        foresight.alerts(END)
        foresight.outlooks(END + timedelta(days=1))
    finally:
        signals.uses_sought.disconnect(listen)
    assert asked == [[rows[1].pk], [rows[1].pk], sorted(row.pk for row in rows)]


@pytest.mark.thorough
@pytest.mark.django_db
def test_alerts_read_no_more_queries_for_more_materials() -> None:
    def counted() -> int:
        foresight.alerts(END)
        with CaptureQueriesContext(connection) as asked:
            foresight.alerts(END)
        return len(asked)

    make.material("M0", on_hand=1, on=FIRST)
    one = counted()
    for number in range(1, 12):
        make.material(f"M{number}", on_hand=1, on=FIRST)
    assert Material.objects.count() == 12
    assert counted() == one
