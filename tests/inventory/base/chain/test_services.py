"""The chain of the books: every row that says something for good is linked once, in its transaction, by whoever writes it."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from inventory.base.accounting import services as accounting
from inventory.base.chain import kinds, rules, selectors as chain, services
from inventory.base.chain.rules import START, Head, digest
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.models import ChainLink, Kind, Posting
from inventory.stocktake import services as stocktake
from tests.at_once import together
from tests.factories import DAY, material, put, receive, skin, take

pytestmark = pytest.mark.django_db


def test_every_column_of_a_chained_row_is_held_or_said_to_change() -> None:
    """A column that is added later is no part of older links: whoever adds it says here that it may change."""
    for kind in kinds.known():
        parts = [(part.model, {*part.stays, *part.changes, part.by}) for part in kind.parts]
        for model, said in [(kind.model, {*kind.stays, *kind.changes}), *parts]:
            assert {field.name for field in model._meta.concrete_fields} - {"id"} == said, model


def test_every_entry_of_the_books_is_chained() -> None:
    entries = [model for app in ("inventory", "costing") for model in apps.get_app_config(app).get_models()]
    reversed_by_rows = {model for model in entries if any(field.name == "reverses" for field in model._meta.fields)}
    assert reversed_by_rows <= {kind.model for kind in kinds.known()}


def test_who_writes_many_rows_at_once_tells_the_chain() -> None:
    names = {kind.model.__name__ for kind in kinds.known()}
    for path in (
        *Path(settings.BASE_DIR, "costing").rglob("*.py"),
        *Path(settings.BASE_DIR, "inventory").rglob("*.py"),
    ):
        for name in re.findall(r"(\w+)\.objects\.bulk_create", text := path.read_text("utf-8")):
            assert name not in names or f"chain.note({name}," in text, path


@pytest.mark.parametrize("words", ['“salt”, "fine" \\ coarse/\x7f', "ä\u2028\U0001f9c2", "tab\tline\nbell\x07"])
def test_the_database_writes_a_row_as_the_rules_do(words: str) -> None:
    posting = Posting.objects.create(kind=Kind.USE, on=DAY, reason=words)
    told = kinds.named("posting").said([posting.pk])[posting.pk]  # type: ignore[union-attr]
    assert told == rules.text([rules.row(json.loads(told)[0])])
    assert json.loads(told)[0][2] == words


def test_a_link_stands_on_the_one_before_it() -> None:
    salt = material("SALT", on_hand=10)
    posting = take(salt, 1)
    before, last = ChainLink.objects.order_by("position")
    said = kinds.named("posting").said([posting.pk])[posting.pk]  # type: ignore[union-attr]
    assert last.digest == digest(before.digest, 2, "posting", posting.pk, said)
    assert chain.head() == Head(2, last.digest)


@pytest.mark.parametrize(
    "words", ["", "“salt”, 'fine' \\ coarse/", "100% %s {} $1; --", "ä\n\U0001f9c2 e\u0301", "E'\\n'"]
)
def test_a_link_is_the_same_wherever_it_is_worked_out(words: str) -> None:
    salt = material("SALT", on_hand=10)
    draw = ledger.Draw(salt, Decimal("0.5"), f"{words[:20]} 1 g")
    posting = ledger.issue(kind=Kind.USE, on=DAY, draws=[draw], reason=words)
    before, last = ChainLink.objects.order_by("position")
    said = kinds.named("posting").said([posting.pk])[posting.pk]  # type: ignore[union-attr]
    assert last.digest == digest(before.digest, last.position, "posting", posting.pk, said)
    assert list(chain.findings()) == []


def test_the_first_link_of_all_stands_on_nothing() -> None:
    posting = receive(material("SALT"), 1, "1.00")
    (link,) = ChainLink.objects.all()
    said = kinds.named("posting").said([posting.pk])[posting.pk]  # type: ignore[union-attr]
    assert link.digest == digest(START, 1, "posting", posting.pk, said)


def test_a_posting_that_was_taken_back_alone_has_no_link() -> None:
    salt = material("SALT", on_hand=10)
    with services.together():
        with transaction.atomic():
            take(salt, 1)
            transaction.set_rollback(True)
        assert Posting.objects.count() == 1
    assert ChainLink.objects.count() == 1
    assert list(chain.findings()) == []


def test_what_a_service_writes_is_linked_in_the_order_it_was_written() -> None:
    salt = material("SALT", on_hand=10)
    skin("H01")
    put(None, salt, 1, tags=["H01"])
    assert list(ChainLink.objects.order_by("position").values_list("kind", flat=True)) == [
        "posting",
        "skin",
        "posting",
        "use",
    ]
    assert list(chain.findings()) == []


def test_what_was_refused_or_only_tried_has_no_link() -> None:
    salt = material("SALT", on_hand=10)
    with pytest.raises(Refused):
        take(salt, 11)
    stocktake.look(on=DAY, counted=[stocktake.Counted(salt, salt.on_hand - 1, "g", "")])
    assert ChainLink.objects.count() == Posting.objects.count() == 1


def test_a_posting_costs_a_look_at_the_end_and_one_row_and_is_not_read_again() -> None:
    salt = material("SALT", on_hand=10)
    with CaptureQueriesContext(connection) as asked:
        take(salt, 1)
    mine = [each["sql"] for each in asked if "chainlink" in each["sql"] or "FROM inventory_posting" in each["sql"]]
    assert len(mine) == (3 if connection.vendor == "sqlite" else 1), "a server works the link out itself"
    assert "JOIN" not in "".join(mine)


def test_books_that_began_already_do_not_come_from_elsewhere() -> None:
    accounting.close_books(to=DAY)
    services.come_from(Head(3, "a" * 64))
    assert chain.came_from() is None
    assert list(chain.findings()) == []


def test_links_that_were_followed_before_are_taken_as_they_stand() -> None:
    salt = material("SALT", on_hand=10)
    first = take(salt, 1)
    end = chain.head().position
    take(salt, 1)
    Posting.objects.filter(pk=first.pk).update(reason="other")
    assert list(chain.findings(after=end)) == []
    assert len(list(chain.findings())) == 1


def test_more_than_fifty_differences_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(chain, "MOST", 1)
    monkeypatch.setattr(chain, "AT_ONCE", 2)
    salt = material("SALT", on_hand=10)
    for _ in range(3):
        take(salt, 1)
    Posting.objects.update(reason="other")
    assert list(chain.findings())[1] == "The chain: 3 more entries are not as they were written."


def test_a_value_is_found_however_it_was_written_down() -> None:
    material("SALT", on_hand=10)
    head = chain.head()
    assert (
        chain.found(head.value) == chain.found(head.value.upper().replace(" ", "-")) == chain.found(head.digest) == head
    )
    assert chain.found("0" * 16) is None
    assert chain.found("salt") is None
    assert START not in head.digest


@pytest.mark.slow
def test_two_who_write_at_once_make_one_chain(shared_database: None) -> None:
    salt, alum = material("SALT", on_hand=100), material("ALUM", on_hand=100)

    def write(of: object) -> None:
        for _ in range(8):
            take(of, 1)  # type: ignore[arg-type]

    def write_both() -> None:
        with services.together():
            receive(salt, 1, 1)
            ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(alum, salt.on_hand / 100)])

    assert together(lambda: write(salt), lambda: write(alum), write_both) == [None, None, None]
    assert chain.head().position == 2 + 16 + 2
    assert list(chain.findings()) == []


def test_what_is_taken_back_within_a_service_is_passed_over() -> None:
    salt = material("SALT", on_hand=10)
    with services.together():
        with transaction.atomic():
            take(salt, 1)
            transaction.set_rollback(True)
        take(salt, 2)
    assert ChainLink.objects.count() == Posting.objects.count() == 2
    assert list(chain.findings()) == []
