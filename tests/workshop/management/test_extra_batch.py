"""`manage.py restock --extra-batch`: the answer as if one more batch were begun; refusals that say what to write; nothing kept."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from costing.models import Batch

pytestmark = pytest.mark.usefixtures("demo")


def said(*words: str) -> str:
    out = StringIO()
    call_command("restock", *words, stdout=out)
    return out.getvalue()


def asked(*words: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(said(*words, "--json"))
    return found


def test_one_more_batch_of_the_demonstration_presses_on_the_alum() -> None:
    now = asked("--material", "ALUMK")
    then = asked("--material", "ALUMK", "--extra-batch", "R1:3")
    assert "extra" not in now
    assert then["extra"] == {
        "recipe": "R1",
        "version": "1",
        "skins": "3",
        "litres": "18",
        "missing": [],
        "assumed": ["It begins on 31 Dec 2025 and keeps to the days of the recipe."],
    }
    (before,), (after,) = now["alerts"], then["alerts"]
    # 18 L at 80 g more than the 1.92 kg of B5.
    assert (before["needed"], after["needed"]) == ("1.92", "3.36")
    assert (before["short"], after["short"]) == ("1.36", "2.8")
    assert after["runs_out_on"] == "2026-01-09"
    assert after["order_by"] < before["order_by"]
    assert after["advice"]["quantity"] == "4"


def test_in_words_it_stands_above_the_materials() -> None:
    first, *rest = said("--extra-batch", "r1:3").splitlines()
    assert first.replace("\u00a0", " ") == (
        "With one more batch by R1, skins: 3, 18 L of bath. It begins on 31 Dec 2025 and keeps to the days of the recipe."
    )
    assert any(line.startswith("Potash alum: ") for line in rest)


@pytest.mark.thorough
def test_nothing_of_it_is_kept() -> None:
    before = Batch.objects.count()
    plain = asked("--all")
    asked("--all", "--extra-batch", "R3:2")
    assert Batch.objects.count() == before
    assert asked("--all") == plain


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        ("R9:3", r"^There is no recipe R9\. Recipes: R1, R2, R3, R4\.$"),
        ("R1", r"^'R1' is no further batch\. Write the recipe and how many skins, from 1 to 500, as R1:3\.$"),
        ("R1:", "is no further batch"),
        (":3", "is no further batch"),
        ("R1:2.5", "is no further batch"),
        ("R1:-2", "is no further batch"),
        ("R1:two", "is no further batch"),
        ("R1:²", "is no further batch"),
        ("R1:99999999999999999999", "is no further batch"),
        ("R1:0", r"^A batch of 0 skins cannot be; say from 1 to 500\.$"),
        ("R1:501", r"^A batch of 501 skins cannot be; say from 1 to 500\.$"),
    ],
)
def test_what_is_no_batch_is_refused(words: str, refusal: str) -> None:
    with pytest.raises(CommandError, match=refusal):
        said("--extra-batch", words)
