"""The files: the PDF with the invoice in it, the command, the page."""

import io
import json
import re
import sys
from io import StringIO
from pathlib import Path

import facturx
import pikepdf
import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from costing.models import Sale
from inventory.errors import Refused
from tests.standards.workshop.einvoices import CASES
from tests.workshop.documents import reading
from tests.workshop.documents.einvoice.test_refusals import over_the_counter
from workshop.documents.einvoice import cii, files, selectors

pytestmark = pytest.mark.django_db


@pytest.fixture
def sale() -> Sale:
    return CASES["partly paid"].make()


def test_the_pdf_is_one_file_that_holds_the_paper_and_the_very_cii_file(sale: Sale) -> None:
    made = files.made(sale, "pdf")
    assert made.name == f"{sale.number}-e-invoice.pdf"
    assert made.content.count(b"%PDF-") == made.content.count(b"%%EOF") == 1
    name, xml = facturx.get_facturx_xml_from_pdf(made.content, check_xsd=True)
    assert (name, xml) == ("factur-x.xml", cii.write(selectors.einvoice(sale)))
    words = reading.words(made.content)
    assert sale.number in words
    assert "Reindeer skin" in words


def test_the_same_paper_gives_the_same_bytes_dated_as_it_was_issued(sale: Sale) -> None:
    first = files.made(sale, "pdf").content
    assert first == files.made(sale, "pdf").content
    with pikepdf.open(io.BytesIO(first)) as pdf:
        assert str(pdf.docinfo["/CreationDate"]) == f"D:{sale.issued_on:%Y%m%d}120000+00'00'"
        told = pdf.Root.Metadata.read_bytes().decode()
    assert set(re.findall(r"\d{4}-\d\d-\d\dT[^<]*", told)) == {f"{sale.issued_on}T12:00:00+00:00"}


def test_what_pdf_a_3_asks_of_the_structure_is_there(sale: Sale) -> None:
    """ISO 19005-3, points from memory; looked at by qpdf (through pikepdf). No validator of PDF/A is at hand."""
    with pikepdf.open(io.BytesIO(files.made(sale, "pdf").content)) as pdf:
        root, told = pdf.Root, pdf.Root.Metadata.read_bytes().decode()
        (intent,) = root.OutputIntents
        (file,) = root.AF
        assert pdf.pdf_version == "1.7"
        assert not pdf.is_encrypted
        assert len(pdf.trailer.ID) == 2
        assert (str(intent.S), int(intent.DestOutputProfile.N)) == ("/GTS_PDFA1", 3)
        assert intent.DestOutputProfile.read_bytes()[36:40] == b"acsp"
        assert "<pdfaid:part>3</pdfaid:part>" in told
        assert "<fx:ConformanceLevel>EN 16931</fx:ConformanceLevel>" in told
        assert str(pdf.docinfo["/Producer"]) in told
        assert (str(file.AFRelationship), str(file.UF), str(file.EF.F.Subtype)) == (
            "/Alternative",
            "factur-x.xml",
            "/text/xml",
        )
        assert "/Filter" not in root.Metadata
        for each in pdf.objects:
            if isinstance(each, pikepdf.Dictionary):
                assert not {"/SMask", "/ca", "/CA", "/JS", "/AA"} & set(each.keys())
                if each.get("/Type") == "/Font":
                    assert "/FontFile2" in each.FontDescriptor
        for page in pdf.pages:
            assert "/Trans" not in page
            assert "/Group" not in page


def test_without_the_package_the_pdf_is_refused_by_the_name_of_the_install(
    sale: Sale, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "facturx", None)
    assert files.made(sale, "ubl").content.startswith(b"<?xml")
    with pytest.raises(Refused, match=r"pip install -e '.\[einvoice\]'"):
        files.made(sale, "pdf")


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("syntax", files.SYNTAXES)
def test_the_command_writes_what_the_page_gives(sale: Sale, syntax: str, tmp_path: Path, client: Client) -> None:
    target, out = tmp_path / "invoice", StringIO()
    call_command("einvoice", sale.number, "--syntax", syntax, "-o", str(target), "--json", stdout=out)
    assert json.loads(out.getvalue())["syntax"] == syntax
    answer = client.get(reverse("einvoice_file", args=[sale.number, syntax]))
    assert answer.content == target.read_bytes()
    assert answer["Content-Disposition"].startswith(f'attachment; filename="{sale.number}-')


def test_the_command_refuses_a_place_that_cannot_be_written(sale: Sale, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="There is no folder"):
        call_command("einvoice", sale.number, "-o", str(tmp_path / "none" / "x.pdf"))


def test_a_buyers_reference_and_another_language_stand_in_the_file() -> None:
    credit = CASES["credited by line"].make()
    made = files.made(credit, "ubl", buyer_reference="PO & 7", language="fi").content.decode()
    assert "<cbc:BuyerReference>PO &amp; 7</cbc:BuyerReference>" in made
    assert "ei maksettavaa" in made
    assert "Alennus" in made


def test_the_sale_leads_to_its_e_invoice_and_the_page_says_what_is_missing(client: Client) -> None:
    sale = CASES["within the Union"].make()
    address = reverse("einvoice", args=[sale.number])
    assert address in client.get(reverse("sale", args=[sale.number])).content.decode()
    shown = client.get(address).content.decode()
    assert "Not yet." in shown
    assert "not which kind of untaxed supply it is" in shown
    shown = client.get(address, {"untaxed": "K"}).content.decode()
    assert f"{reverse('einvoice_file', args=[sale.number, 'pdf'])}?untaxed=K" in shown
    unknown = client.get(address, {"untaxed": "X"})
    assert unknown.status_code == 200
    assert Client().get(address).status_code == 302


def test_the_page_asks_only_what_the_paper_leaves_open(client: Client) -> None:
    def page(name: str) -> str:
        return client.get(reverse("einvoice", args=[CASES[name].make().number])).content.decode()

    assert "Lines without tax are" not in page("paid")
    shown = page("not registered")
    assert "Exempt from VAT" in shown
    assert "Reverse charge" not in shown


def test_a_receipt_over_the_counter_is_led_to_none(client: Client) -> None:
    sale = over_the_counter()
    assert (
        reverse("einvoice", args=[sale.number]) not in client.get(reverse("sale", args=[sale.number])).content.decode()
    )
