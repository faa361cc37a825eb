"""The first opening of all: from no data folder to a workshop that answers. It needs a database without the demonstration."""

from __future__ import annotations

import stat
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Material, Workshop


def opened(*words: str) -> str:
    out = StringIO()
    call_command("open", "--no-serve", *words, stdout=out)
    return out.getvalue()


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.slow
@pytest.mark.django_db
def test_the_first_opening_loads_the_demonstration_and_answers_the_four_questions(data: Path) -> None:
    said = opened()
    assert said.startswith("Routamo Skins, 31 December 2025 (demonstration, loaded just now)\n")
    for answer in (
        "Potash alum: Order one 2 kg pack today. 0.56 kg left; B5 needs 1.92 kg, 1.36 kg short.",
        "Least at Fair, card: 20.63 EUR loses no cash, 171.49 EUR pays the hours, 210.76 EUR pays everything.",
        f"Care label of H03: {data / 'papers' / 'care-H03.pdf'}",
        "Used in 2025-01: 17.27 EUR.",
    ):
        assert answer in said
    assert (data / "papers" / "care-H03.pdf").read_bytes().startswith(b"%PDF-")
    assert (mode(data), mode(data / "secret.key")) == (0o700, 0o600)


@pytest.mark.django_db
def test_an_empty_opening_says_where_to_start_and_stays_empty(data: Path) -> None:
    said = opened("--empty")
    assert "No article is finished yet. Today shows the six steps to a first price." in said
    assert (Workshop.objects.count(), Material.objects.count()) == (1, 0)
    assert "demonstration" not in opened()
    assert Material.objects.count() == 0


@pytest.mark.django_db
def test_photos_beside_tables_without_a_workshop_are_a_lost_workshop(data: Path) -> None:
    (data / "photos").mkdir(parents=True)
    (data / "photos" / "one.jpg").touch()
    with pytest.raises(CommandError, match="holds photos but no database with entries: it was lost"):
        opened()
    assert not (data / "secret.key").exists()
    (data / "photos" / "one.jpg").unlink()
    opened("--empty")
