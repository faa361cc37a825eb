"""The demonstration year for the pages that quote it."""

from tests.workshop.conftest import data, demo, demo_year, type_is_cut  # noqa: F401
