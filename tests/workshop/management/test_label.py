"""`label` and `card`: each paper of the shed as a file, its answer as JSON, its refusals on stderr with nothing written."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from tests.workshop.documents import reading
from tests.workshop.management.test_commands import answer, said
from workshop.documents import printing
from workshop.documents.kit import page

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")
SHED = {"tag": "H03", "bath": "B1", "jar": "ALUMK", "frame": "B1", "shelf": "Chemical shelf"}


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("paper", SHED)
def test_label_writes_a_paper_of_the_shed(paper: str, tmp_path: Path) -> None:
    target = tmp_path / "paper.pdf"
    found = answer("label", paper, SHED[paper], "-o", str(target))
    content = target.read_bytes()
    assert found == {
        "paper": paper,
        "name": SHED[paper],
        "copies": "1",
        "labels": "1",
        "pages": "1",
        "file": str(target),
        "bytes": str(len(content)),
    }
    assert content == printing.label(paper, SHED[paper])


def test_label_says_what_it_wrote(tmp_path: Path) -> None:
    target = tmp_path / "tag.pdf"
    assert said("label", "tag", "H03", "-o", str(target)) == f"Wrote the tag paper of H03 to {target}.\n"


def test_copies_and_sheet_are_those_asked_for(tmp_path: Path) -> None:
    target = tmp_path / "tags.pdf"
    found = answer("label", "tag", "H03", "-o", str(target), "--copies", "14", "--sheet", "a4")
    assert found["copies"] == "14"
    # Twelve tags of 90 × 48 mm go on an A4 sheet.
    assert len(reading.pages(target.read_bytes())) == 2


def test_a_jars_litres_may_be_written_with_a_comma(tmp_path: Path) -> None:
    target = tmp_path / "jar.pdf"
    answer("label", "jar", "SALT", "-o", str(target), "--litres", "2,5")
    assert reading.size_mm(target.read_bytes()) == reading.size_mm(printing.label("jar", "SALT", litres=Decimal("2.5")))


def test_paper_writes_the_grid_sheet_of_a_frame(tmp_path: Path) -> None:
    target = tmp_path / "grid.pdf"
    found = answer("paper", "grid", "1000x1400x50mm", "-o", str(target), "--sheet", "letter", "--language", "fi")
    assert (found["paper"], found["number"]) == ("grid", "1000x1400x50mm")
    assert target.read_bytes() == printing.paper("grid", "1000x1400x50mm", sheet="letter", language="fi")
    assert "yksi ruutu on 0.25 dm²" in reading.words(target.read_bytes())


def test_card_writes_the_batch_card(tmp_path: Path) -> None:
    target = tmp_path / "card.pdf"
    found = answer("card", "B5", "-o", str(target))
    assert found == {"batch": "B5", "file": str(target), "bytes": str(target.stat().st_size)}
    assert target.read_bytes() == printing.paper("card", "B5")
    assert said("card", "B5", "-o", str(target)) == f"Wrote the card of B5 to {target}.\n"


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (("label", "tag", "H99"), r"^There is no skin H99"),
        (("label", "bath", "B2"), r"^R2 v1 has no line by the litre"),
        (("label", "bath", "B5"), r"^Nothing was added to the bath of B5 yet"),
        (("label", "frame", "B5"), r"^No skin is in B5"),
        (("label", "jar", "GOLD"), r"^There is no material GOLD"),
        (("label", "jar", "SALT", "--litres", "much"), r"“much” is not a figure"),
        (("label", "jar", "SALT", "--litres", "0"), r"0 L is no volume"),
        (("label", "jar", "SALT", "--litres", "NaN"), r"“NaN” is not a figure"),
        (("label", "jar", "SALT", "--litres", "1e30"), r"“1e30” is not a figure"),
        (("label", "shelf", "Attic"), r"^There is no place Attic"),
        (("label", "tag", "H03", "--litres", "2"), r"^Only a jar is asked for its litres"),
        (("label", "tag", "H03", "--copies", "3001"), r"^3001 labels were asked for\. Ask for 1 to 3000"),
        (("label", "tag", "H03", "--copies", "-1"), r"^-1 copies were asked for"),
        (("label", "tag", "H03", "--sheet", "3x7", "--start", "22"), r"has 21 labels, so none can begin at 22"),
        (("label", "tag", "H03", "--sheet", "shop"), r"^There is no sheet .shop."),
        (("card", "B99"), r"^There is no batch B99"),
        (("label", "care", "H01", "H\n02"), r"^“H�02” has a line break or another sign that cannot be printed"),
        (("label", "shelf", "\x1b[2J"), r"^“�\[2J” has a line break"),
        (("label", "tag", "H\0"), r"^“H�” has a line break"),
        (("paper", "invoice", "INV\u2028001"), r"^“INV�001” has a line break"),
        (("einvoice", "INV-001", "--buyer-reference", "4\x00711"), r"^“4�711” has a line break"),
        (("label", "care", " "), r"^NAME is empty\. Say which one"),
        (("paper", "grid", "F2"), r"^“F2” is no frame\. Write its inside"),
        (("paper", "origin", ""), r"^NUMBER is empty\. Say which one"),
        (("einvoice", ""), r"^NUMBER is empty\. Say which one"),
        (("label", "care", "H01", "--language", "xx"), r"^There are no words in 'xx'"),
        (("label", "care", "H01", "--language", "en,fi,sv"), r"two languages at most; 3 were asked for"),
        (("label", "care", "H01", "--language", ","), r"^“,” names no language"),
        (("label", "care", "H01", "--language", "fi,fi"), r"^fi is asked for twice"),
        (("label", "care", "H01", "--copies", "0"), r"^0 copies were asked for"),
        (("label", "care", "H01", "--copies", "1000000000"), r"^1000000000 labels were asked for"),
        (("label", "care", "H01", "--sheet", "0x0"), r"^A sheet has 1 to 50 columns and rows, not 0 × 0"),
        (("label", "care", "H01", "--sheet", "1000x1000"), r"not 1000 × 1000"),
        (("label", "care", "H01", "--sheet", "1x1mm"), r"^A label is 10 to 420 mm each way"),
        (("label", "care", "H01", "--sheet", "40x20mm"), r"^Care label H01 does not fit on a label of 40 × 20 mm"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_printed_is_refused_and_writes_nothing(
    words: tuple[str, ...], refusal: str, tmp_path: Path
) -> None:
    with pytest.raises(CommandError, match=refusal):
        call_command(*words, "-o", str(tmp_path / "paper.pdf"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words", [("label", "care", "H01"), ("paper", "origin", "H01"), ("einvoice", "INV-001")], ids=str
)
def test_a_place_that_cannot_be_written_is_refused_before_anything_is_drawn(
    words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page, "canvas", lambda *_, **__: pytest.fail("drawn"))
    (tmp_path / "folder").mkdir()
    for place, refusal in (
        ("folder", r"folder is a folder\. Name a file in it"),
        ("nowhere/a.pdf", r"^There is no folder .*nowhere"),
        ("a\0b.pdf", r"^“.*a�b\.pdf” has a line break"),
        ("a\nb.pdf", r"^“.*a�b\.pdf” has a line break"),
    ):
        with pytest.raises(CommandError, match=refusal):
            call_command(*words, "-o", str(tmp_path / place))
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]
