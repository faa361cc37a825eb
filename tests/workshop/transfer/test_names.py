"""A row is found by what its name says, however it was typed in one file or the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from costing.models import Customer, Job, RecipeStep
from tests.workshop.transfer import folders
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.thorough]


def test_a_name_with_its_accent_apart_is_the_same_name(tmp_path: Path) -> None:
    folder = folders.write(tmp_path / "small", folders.SELLING)
    for file, column in (("customers.csv", "name"), ("jobs.csv", "customer"), ("sales.csv", "customer")):
        row = 5 if file == "sales.csv" else 2
        folders.change(folder, file, row, column, "Zoe\u0308" if file == "customers.csv" else "Zo\u00eb")
    load(folder)
    assert Job.objects.get().customer == Customer.objects.get(name="Zo\u00eb")


def test_steps_whose_version_is_typed_with_a_zero_before_it_are_not_lost(tmp_path: Path) -> None:
    folder = folders.write(tmp_path / "small")
    for row in (2, 3, 4):
        folders.change(folder, "steps.csv", row, "version", "01")
    load(folder)
    steps = RecipeStep.objects.filter(version__recipe__code="R1", version__number=1)
    assert list(steps.values_list("name", flat=True)) == ["Flesh", "Bath", "Frame"]
