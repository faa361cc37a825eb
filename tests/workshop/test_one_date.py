"""Every page, paper, file and mail gives one answer for each material of the demonstration year."""

from __future__ import annotations

import pytest

from tests.workshop.one_date import one_answer

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def test_every_material_of_the_demonstration_year_has_one_answer(demo: None) -> None:
    one_answer()
