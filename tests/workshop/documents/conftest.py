from __future__ import annotations

import pytest

from workshop.documents.type import fonts


@pytest.fixture(scope="session", autouse=True)
def _type_is_cut() -> None:
    """The first cut of the type takes seconds; no single test should be charged for it."""
    fonts.register()
    fonts.headline("A")
