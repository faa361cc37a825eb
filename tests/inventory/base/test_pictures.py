"""Pictures that are refused by what they are."""

from __future__ import annotations

import pytest

from inventory.base import pictures
from inventory.errors import Refused


@pytest.mark.parametrize("brand", sorted(pictures.HEIC))
def test_heic_is_refused_by_its_name_with_what_to_do(brand: bytes) -> None:
    with pytest.raises(Refused, match=r"HEIC.*JPEG") as refusal:
        pictures.anew(b"\0\0\0\x18ftyp" + brand + b"\0\0\0\0mif1heic" + bytes(200), 1600)
    assert refusal.value.field == "photo"


def test_a_film_is_no_photo_and_no_heic() -> None:
    with pytest.raises(Refused, match="neither JPEG, PNG nor WebP"):
        pictures.anew(b"\0\0\0\x18ftypisom" + bytes(200), 1600)
