"""What is typed, before a rule sees it."""

import pytest
from django import forms

from costing.make.batches.stays.forms import SkinsField
from costing.make.stocktake.forms import Ticks
from costing.sell.jobs.intake.forms import SkinHereField
from costing.sell.sales.forms import BoxField
from costing.sell.sales.offers.forms import PickField

JUDGED: list[type[forms.ChoiceField]] = [SkinsField, Ticks, SkinHereField, BoxField, PickField]


@pytest.mark.parametrize("kind", JUDGED)
def test_what_left_the_list_is_the_services_to_judge_but_no_database_is_asked_for_a_nul(
    kind: type[forms.ChoiceField],
) -> None:
    field = kind()
    assert field.valid_value("H99")
    assert not field.valid_value("H\x0099")
