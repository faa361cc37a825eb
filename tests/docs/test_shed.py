"""The pages about the shed: the commands they show say what they show, their figures come out, their words are on the pages."""

from __future__ import annotations

import re
from datetime import date, timedelta
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from costing.make.cost import rules as rollup, selectors as costs
from costing.make.cost.rates import selectors as rates
from costing.make.labour.sessions.selectors import LONGEST
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.agenda import selectors as dues
from costing.models import Batch, RecipeVersion
from inventory.base import pictures, services as undo
from inventory.models import Skin
from tests.docs import pages
from tests.docs.test_demo_year import quoted

STEPS, SIGNAL, SITTING = (
    pages.text(f"how-to/{name}.md")
    for name in ("run-a-batch-by-steps", "work-without-signal", "time-a-softening-session")
)

SHED = pages.one_line(pages.text("explanation/shed.md"))
TUTORIAL = pages.one_line(pages.text("tutorial/demo-year.md"))


def words_of_the_program() -> str:
    """All templates and the names that views and forms give to their pages and buttons."""
    roots = [pages.ROOT / name for name in ("inventory", "costing", "workshop")]
    files = [file for root in roots for pattern in ("*.html", "*.py") for file in root.rglob(pattern)]
    return "\n".join(file.read_text(encoding="utf-8") for file in files)


def test_every_button_that_a_page_names_is_on_a_page() -> None:
    program = words_of_the_program()
    for page in (STEPS, SIGNAL, SITTING):
        for named in re.findall(r"\*\*([^*]+)\*\*", page):
            assert pages.one_line(named) in program, named


@pytest.mark.slow
@pytest.mark.parametrize(("command", "shown"), quoted(STEPS), ids=[command for command, _ in quoted(STEPS)])
def test_a_command_of_the_page_says_what_the_page_shows(
    command: str, shown: list[str], demo: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    out = StringIO()
    call_command(*command.split(), stdout=out)
    assert out.getvalue().splitlines() == shown


def test_seconds_hours_and_megabytes_are_those_of_the_program() -> None:
    numbers = {10: "ten", 12: "twelve"}
    assert f"{numbers[undo.SECONDS]} seconds" in STEPS
    assert f"{numbers[undo.SECONDS]} seconds" in SITTING
    assert f"more than {numbers[LONGEST // timedelta(hours=1)]} hours" in pages.one_line(SITTING)
    assert f"more than {numbers[LONGEST // timedelta(hours=1)]} hours" in SHED
    assert f"at most {pictures.LARGEST // pictures.MEGABYTE} MB" in pages.one_line(pages.text("reference/csv.md"))


@pytest.mark.slow
def test_the_risk_on_20_january_is_made_of_the_parts_that_the_pages_name(demo: None) -> None:
    day = date(2025, 1, 20)
    shares = costs.skin_shares(Skin.objects.filter(stays__batch__number="B1"), until=day)
    whole = sum(shares.values(), rollup.Share())
    cost = rollup.rounded(whole, rates.plain(), 2)
    hours, wage = Decimal(whole.own_minutes.numerator) / whole.own_minutes.denominator / 60, rates.plain().wage_per_hour
    assert dues.risk_of(Batch.objects.get(number="B1"), day) == cost.book + hours * wage
    assert f"{cost.book} of money and {hours:.2f} hours of work; at {wage:.2f} an hour that is 193.52" in SHED
    assert f"193.52 depend on them: {cost.book} of money, and {hours:.2f} hours of work at {wage:.2f}" in TUTORIAL


@pytest.mark.slow
def test_the_alum_bath_waits_and_asks_for_hands_as_the_page_says(demo: None) -> None:
    plan = steps.as_steps(RecipeVersion.objects.get(recipe__code="R1").steps.all(), 3)
    hours = schedule.hands_minutes_total(plan) / 60
    assert (schedule.waiting_days(plan), int(hours)) == (41, 25)
    assert "forty-one days of alum bath are about twenty-five hours of work for three skins" in SHED
    frame = [step for step in plan if step.uses == "frame"]
    assert 0.4 < schedule.hands_minutes_total(frame) / 60 / hours < 0.5  # "nearly half", all of it at the frames
