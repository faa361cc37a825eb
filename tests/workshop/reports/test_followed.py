"""A check begins where the last clean one ended, and from the start whenever that does not hold."""

from __future__ import annotations

import json
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from inventory.base.chain import selectors as chain
from inventory.models import Posting
from tests.factories import material, take
from workshop.reports import followed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("aside")]


@pytest.fixture
def mark(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Books that were followed to their end, and after that an old entry was changed."""
    monkeypatch.setattr(followed, "HOLDS", timedelta(days=7))
    salt = material("SALT", on_hand=10)
    take(salt, 1)
    assert followed.findings() == []
    Posting.objects.filter(kind="use").update(reason="rain")
    take(salt, 1)
    return tmp_path / followed.FILE


def test_what_was_followed_is_taken_as_it_stands_until_all_is_asked_for(mark: Path) -> None:
    assert json.loads(mark.read_text())["position"] == 2
    assert followed.findings() == []
    assert json.loads(mark.read_text())["position"] == 3
    with pytest.raises(CommandError):
        call_command("check_books", "--all", stdout=StringIO())
    assert len(followed.findings()) == 1, "a check that found something leaves no mark"


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    "change",
    [
        {"from_the_start": (timezone.now() - timedelta(days=8)).isoformat()},
        {"from_the_start": (timezone.now() + timedelta(days=1)).isoformat()},
        {"digest": "0" * 64},
        {"position": "x"},
    ],
)
def test_a_mark_that_is_old_or_no_longer_holds_is_passed_over(mark: Path, change: dict[str, str]) -> None:
    mark.write_text(json.dumps({**json.loads(mark.read_text()), **change}))
    assert len(followed.findings()) == 1


def test_what_came_since_is_followed(mark: Path) -> None:
    Posting.objects.filter(pk=Posting.objects.latest("pk").pk).update(reason="snow")
    assert len(followed.findings()) == 1
    assert chain.head().position == 3
