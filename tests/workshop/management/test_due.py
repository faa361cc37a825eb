"""`manage.py due`: its answer as JSON and in words."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from costing.make.baths.chemistry import cautions
from costing.make.cost.rates import services as rates
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import Batch
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)

BATH = Step(
    "Bath",
    task="Take out",
    lasts_days=11,
    grace_days=3,
    every_days=1,
    repeat="Turn",
    minutes_per_skin=12,
    repeat_minutes=6,
    uses="tub",
    caution="Open every fold.",
)


def said(*words: str) -> str:
    out = StringIO()
    call_command("due", *words, stdout=out)
    return out.getvalue()


def answer(on: date) -> Any:
    return json.loads(said("--on", on.isoformat(), "--json"))


day = days_from(START)


def tub() -> Batch:
    for tag in ("H01", "H02"):
        make.skin(tag, date_in=START)
    version = make.recipe("R1", steps=[BATH, Step("Flesh")])
    return make.batch("B1", version=version, start=START, tags=["H01", "H02"], place=make.place("Taw tub", "tub"))


def test_the_answer_names_place_batch_step_since_and_risk() -> None:
    rates.set_rates(wage_per_hour=Decimal(16))
    bath = tub()
    marks.log(batch=bath, step=bath.version.steps.get(name="Bath"), kind="repeat", on=day(1), minutes=Decimal(15))
    assert answer(day(4)) == {
        "on": "2025-01-24",
        "currency": "EUR",
        "groups": [
            {
                "place": "Taw tub",
                "risk": "28.00",
                "minutes": "6",
                "tasks": [
                    {
                        "kind": "step",
                        "place": "Taw tub",
                        "batch": "B1",
                        "step": "Bath",
                        "words": "Turn",
                        "state": "overdue",
                        "since": "2025-01-22",
                        "to_begin": False,
                        "latest": "2025-01-22",
                        "late_days": "2",
                        "day": "4",
                        "of": "11",
                        "minutes": "6",
                        "risk": "28.00",
                        "skins": ["H01", "H02"],
                        "cautions": ["Open every fold.", *(each.said for each in cautions.for_step("Bath Turn"))],
                    }
                ],
            }
        ],
    }


def test_in_words_each_task_is_one_line() -> None:
    bath = tub()
    assert said("--on", "2025-01-31").splitlines() == [
        "Taw tub: B1 Turn (Bath, day 11 of 11), overdue 10 days, since 2025-01-21; 24.00 EUR at risk.",
        "Taw tub: B1 Take out (Bath, day 11 of 11), due today, safe until 2025-02-03; 24.00 EUR at risk.",
    ]
    marks.log(batch=bath, step=bath.version.steps.get(name="Bath"), kind="done", on=day(1))
    assert said("--on", day(2).isoformat()) == (
        "Taw tub: B1 Flesh, overdue 1 day, since 2025-01-21; 24.00 EUR at risk.\n"
    )


def test_what_is_coming_says_on_which_day() -> None:
    tub()
    assert said("--on", "2025-01-20").startswith("Taw tub: B1 Turn (Bath, day 0 of 11), coming on 2025-01-21; ")


def test_a_plan_whose_day_has_passed_is_late_to_begin() -> None:
    version = make.recipe("R1", steps=[Step("Flesh"), BATH])
    make.batch("B1", version=version, start=START, planned_skins=2)
    assert said("--on", day(2).isoformat()) == (
        "No place named: B1 Flesh, late to begin 2 days, since 2025-01-20; 0.00 EUR at risk.\n"
    )
    assert answer(day(2))["groups"][0]["tasks"][0]["to_begin"] is True


def test_a_shed_that_asks_for_nothing_says_so() -> None:
    assert said("--on", "2025-01-20") == "Nothing is due in the shed (as of 2025-01-20).\n"
    assert answer(START) == {"on": "2025-01-20", "currency": "EUR", "groups": []}
