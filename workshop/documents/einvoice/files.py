"""An issued paper as a file to send, in one of three forms: the one way that the page and the command go."""

from dataclasses import dataclass

from costing.models import Sale
from inventory.errors import Refused
from workshop.documents.einvoice import cii, selectors, ubl
from workshop.documents.words import selectors as words_read

SYNTAXES = {"ubl": "UBL 2.1, one XML file", "cii": "CII, one XML file", "pdf": "PDF with the CII file in it (Factur-X)"}
XML, PDF = "application/xml", "application/pdf"


@dataclass(frozen=True)
class File:
    name: str
    content: bytes
    content_type: str


def made(
    sale: Sale, syntax: str, *, untaxed: str = "", buyer_reference: str = "", sheet: str = "", language: str = ""
) -> File:
    """The file. `untaxed`: which kind of supply its lines without tax are; `sheet` is the paper of a PDF."""
    if syntax not in SYNTAXES:
        raise Refused(f"There is no form {syntax!r}; choose one of {', '.join(SYNTAXES)}.", field="syntax")
    words = words_read.for_customer(sale.customer, language)
    found = selectors.einvoice(sale, untaxed=untaxed, buyer_reference=buyer_reference, words=words)
    if syntax == "ubl":
        return File(f"{sale.number}-ubl.xml", ubl.write(found), XML)
    xml = cii.write(found)
    if syntax == "cii":
        return File(f"{sale.number}-cii.xml", xml, XML)
    from workshop.documents import printing  # brings in the drawing library
    from workshop.documents.einvoice import hybrid

    title = f"{sale.get_kind_display()} {sale.number}"
    content = hybrid.write(
        printing.paper("sale", sale, sheet=sheet, language=language),
        xml,
        on=sale.issued_on,
        title=title,
        author=found.seller.name,
        subject=f"{title}, {found.seller.name}",
        language=words.language,
    )
    return File(f"{sale.number}-e-invoice.pdf", content, PDF)
