"""The code on labels and tickets is Code 128 where its bars have room, else a QR code, and says the article's number.

Source: ISO/IEC 15417 (Code 128), ISO/IEC 18004 (QR), read back with zxing-cpp from the picture that pypdfium2 makes of the
printed page.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pypdfium2
import pytest
import zxingcpp

from costing.make.finishing import services as articles
from inventory.articles.services import Piece
from inventory.base.accounting import services as workshop
from tests import factories
from workshop.documents import printing
from workshop.documents.type import fonts

SHORT, LONGEST = 8, 20
pytestmark = pytest.mark.django_db
DOTS_AN_INCH = 203  # a common label printer: the bars must survive it
NUMBERS = ["H03", "h03-a", "CUSH1", "2025.12/004", "A_b-C.9", "X" * 20, "0000000001"]


@pytest.fixture(scope="module", autouse=True)
def _type_is_cut() -> None:
    fonts.register()


def finished(number: str) -> str:
    workshop.set_up(name="Routamo Skins", postal_address="Kanervapolku 7", electronic_address="workshop@example.org")
    factories.skin("S01")
    piece = Piece(number, "rug", "alum_tawed", area=Decimal(10100), list_price=Decimal(185))
    return articles.finish(on=date(2025, 3, 5), tags=["S01"], pieces=[piece])[0].number


def read(paper: bytes) -> list[tuple[str, str, bool]]:
    with pypdfium2.PdfDocument(paper) as document:
        picture = document[0].render(scale=DOTS_AN_INCH / 72, grayscale=True).to_pil()
    return [(code.text, code.format.name, code.valid) for code in zxingcpp.read_barcodes(picture)]


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("paper", ["care", "ticket"])
def test_the_bars_say_the_articles_number(paper: str, number: str) -> None:
    ((said, form, valid),) = read(printing.label(paper, finished(number)))
    assert (said, valid) == (number, True)
    assert form == ("Code128" if len(number) < SHORT else "QRCode" if len(number) == LONGEST else form)
