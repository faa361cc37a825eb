"""The origin pack drawn: one page where there is room, more where there is not, and a name never cut."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_BRAND, LONG_MAKER, LONG_NUMBER, LONG_TITLE, UNBROKEN
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, LETTER, Paper
from workshop.documents.sales import origin_pack as pack
from workshop.documents.sales.origin_pack import OriginMaterial, OriginPack, OriginReading, OriginSkin, OriginStep
from workshop.documents.words.rules import LANGUAGES, Words

DAY = date(2025, 1, 11)
SKIN = OriginSkin(
    "H03", "Sheep (Ovis aries), ram", "Finland", DAY, "Sammalniitty Sheep Farm", "farm flock", "5.4 kg", ""
)
PACK = OriginPack(
    maker=Party("Routamo Skins, K. Routamo", "Tawyard Lane 4, 99999 Utuharju", "post@routamo-skins.example.org"),
    article="H03",
    headline="Sheepskin rug",
    method="Hair on, alum-tawed",
    area="101 dm² (10.87 sq ft)",
    finished=date(2025, 2, 22),
    printed=date(2025, 12, 31),
    skins=(SKIN,),
    batches=("B1: Alum taw bath",),
    steps=(
        OriginStep("B1", "Flesh and salt", DAY, DAY),
        OriginStep("B1", "Turn", DAY, DAY + timedelta(days=3), 4),
        OriginStep("B1", "Smoke", DAY, DAY, skipped=True),
    ),
    readings=(OriginReading(DAY, "B1", "3.4", "24 °C", ""), OriginReading(DAY, "H03", "", "", "4.8 kg")),
    materials=(OriginMaterial("Potash alum", "KAl(SO₄)₂·12H₂O", "B1", DAY, DAY, "1.44 kg"),),
    sale="INV-003",
    sold_on=date(2025, 9, 20),
)


def test_a_pack_tells_skin_batch_readings_materials_and_sale_on_one_page() -> None:
    paper = pack.render(PACK)
    reading.assert_printable(paper)
    (said,) = reading.pages(paper)
    for text in (
        *("Routamo Skins, K. Routamo", "post@routamo-skins.example.org", "Origin pack", "Sheepskin rug", "H03"),
        *("22 Feb 2025", "Hair on, alum-tawed", "101 dm² (10.87 sq ft)", "Sheep (Ovis aries), ram", "Finland"),
        *("Sammalniitty Sheep Farm", "farm flock", "5.4 kg", "B1: Alum taw bath", "Flesh and salt", "Smoke: skipped"),
        *("Turn: 4 times", "11 Jan 2025 – 14 Jan 2025", "3.4", "24 °C", "4.8 kg", "Potash alum · KAl(SO₄)₂·12H₂O"),
        *("1.44 kg", "INV-003", "20 Sep 2025", "printed 31 Dec 2025"),
    ):
        assert text in said
    assert "Buyer" not in said
    assert reading.barcodes(paper) == ["H03"]


def test_a_buyer_is_named_and_what_is_not_sold_says_so() -> None:
    assert "Helka Suvantola" in reading.words(pack.render(replace(PACK, buyer="Helka Suvantola")))
    unsold = reading.words(pack.render(replace(PACK, sale="", sold_on=None)))
    assert "Not sold yet" in unsold
    assert "J-01" in reading.words(pack.render(replace(PACK, sale="", sold_on=None, job="J-01")))


def test_what_was_never_recorded_is_left_out() -> None:
    bare = replace(PACK, batches=(), steps=(), readings=(), materials=(), area="")
    said = reading.words(pack.render(bare))
    for text in ("Work", "Readings", "Materials", "Area"):
        assert text not in said
    assert "Sammalniitty" in said


@pytest.mark.thorough
@pytest.mark.parametrize("size", [A4, LETTER])
def test_many_skins_flow_over_pages(size: Paper) -> None:
    skins = tuple(replace(SKIN, tag=f"H{number:03}") for number in range(60))
    steps = tuple(OriginStep("B1", f"Step {number}", DAY, DAY) for number in range(60))
    paper = pack.render(replace(PACK, skins=skins, steps=steps), size)
    assert reading.size_mm(paper) == (size.width_mm, size.height_mm)
    assert len(reading.pages(paper)) > 2
    reading.assert_printable(paper)
    said = reading.words(paper)
    assert all(skin.tag in said for skin in skins)
    assert "Step 59" in said


def test_the_longest_names_stay_in_their_boxes() -> None:
    long = OriginSkin(LONG_NUMBER, UNBROKEN, UNBROKEN, DAY, LONG_BRAND, UNBROKEN * 3, "1,234.567 kg", "1 021 dm²")
    maker = Party(LONG_BRAND, LONG_MAKER["postal"], LONG_MAKER["electronic"])
    paper = pack.render(
        replace(
            PACK,
            maker=maker,
            article=LONG_NUMBER,
            headline=LONG_TITLE,
            skins=(long,),
            batches=(f"2025-TAMMIKUU-ERÄ-01: {UNBROKEN}", "B2: two"),
            steps=(OriginStep("2025-TAMMIKUU-ERÄ-01", UNBROKEN, DAY, DAY, 99),),
            materials=(OriginMaterial(UNBROKEN, UNBROKEN, LONG_NUMBER, DAY, DAY, "1,234,567.890 kg"),),
            buyer=LONG_BRAND,
        )
    )
    reading.assert_printable(paper)
    assert reading.barcodes(paper) == [LONG_NUMBER]
    said = reading.words(paper).replace(" ", "").replace("-", "")
    for text in (LONG_TITLE, LONG_BRAND, LONG_NUMBER, *LONG_MAKER.values()):
        if text != LONG_MAKER["maker"]:
            assert text.replace(" ", "").replace("-", "") in said


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_pack_in_every_language(language: str) -> None:
    words = Words(language)
    said = reading.words(pack.render(replace(PACK, words=words)))
    for key in ("title", "skins", "work", "readings", "materials", "sale", "received", "amount"):
        assert words(f"origin.{key}") in said
