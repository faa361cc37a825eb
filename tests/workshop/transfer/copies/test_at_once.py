"""A copy made while several people write: nobody is held up, and it is of one moment."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from inventory.places import services as places
from tests.at_once import together
from workshop.transfer.copies import archive, services


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_a_copy_made_while_people_write_is_whole(shared_database: None, place: Path) -> None:
    def write(first: int) -> Callable[[], None]:
        def entries() -> None:
            for number in range(first, first + 25):
                places.create(name=f"Shelf {number}", kind="shelf")

        return entries

    made, *others = together(services.make, write(100), write(200))
    assert [other for other in others if other] == []
    with archive.opened(made.file) as copy:
        copy.look()
        assert 0 <= copy.manifest.rows["inventory_place"] <= 50
