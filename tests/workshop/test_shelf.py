"""The list of the shelf over the demonstration year: it looks ahead, and asks the database no more than before it did."""

import pytest
from django.test import Client

from tests.inventory.pages import queries

pytestmark = pytest.mark.usefixtures("demo")

# What the list asked for when usual use was spread evenly and plans were left to Today.
BEFORE = 14


def test_the_shelf_looks_ahead_without_asking_more(client: Client) -> None:
    assert queries(client, "/shelf/") <= BEFORE
