"""Seller and buyer of an e-invoice out of what was frozen on the paper. It splits, checks and refuses, and guesses nothing."""

import re
from collections.abc import Mapping

from inventory.errors import Refused
from workshop.documents.einvoice.rules import VAT_COUNTRIES, Party

LINES = 3  # BT-35, BT-36 and BT-162; the standard knows no fourth
MAIL = re.compile(r"[^\s@,;]+@[^\s@,;]+\.[^\s@,;]+")
PREFIXES = frozenset({*(VAT_COUNTRIES - {"GR"}), "EL", "XI"})


def vat_id(number: str, country: str) -> str:
    """A tax number with the letters of its country in front, as BR-CO-09 wants it; empty for none.

    >>> vat_id("1234567-1", "FI"), vat_id("el 094259216", "DE"), vat_id("", "FI")
    ('FI12345671', 'EL094259216', '')
    """
    found = re.sub(r"[^0-9A-Za-z+*]", "", number).upper()
    if not found or found[:2] in PREFIXES:
        return found
    return ("EL" if country == "GR" else country) + found


def address(text: str) -> tuple[str, ...]:
    """Lines of an address as it is written, at most three; what is on one line stays on one.

    >>> address("Hill Road 1\\nBox 2\\n99999 Utuharju\\nFinland")
    ('Hill Road 1', 'Box 2', '99999 Utuharju, Finland')
    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return (*lines[: LINES - 1], *filter(None, [", ".join(lines[LINES - 1 :])]))


def mail(text: str) -> str:
    """An e-mail address, where the field holds one and nothing else."""
    return text.strip() if MAIL.fullmatch(text.strip()) else ""


def seller(said: Mapping[str, str], *, taxed: bool, outside: bool) -> Party:
    """BG-4. Refused without a country, and without any number to know the seller by (BR-CO-26).

    `outside`: nothing on the paper is subject to the tax, so it names no VAT number (BR-O-02). A seller who is not `taxed` and
    not outside is exempt, and names the business number for the tax (BT-32, BR-E-02).
    """
    country = _country(said, "Your country is not known. Enter it in Setup under Where you work, such as FI.")
    number, business = said.get("tax_number", ""), said.get("business_number", "")
    if taxed and country not in VAT_COUNTRIES:
        raise Refused(
            f"An e-invoice after EN 16931 says value-added tax, and {country} has another tax. Ask your buyer which form "
            "they take, or send the paper.",
            field="country",
        )
    vat = vat_id(number, country) if taxed and not outside else ""
    if not vat and not business:
        raise Refused(
            "An e-invoice names you by a number (BR-CO-26), and you have none on your papers. Enter your business number in "
            "Setup under Terms of selling.",
            field="business_number",
        )
    return Party(
        name=said.get("name", ""),
        address=address(said.get("address", "")),
        country=country,
        vat_id=vat,
        tax_id=business if not taxed and not outside else "",
        legal_id=business,
        mail=mail(said.get("electronic", "")),
    )


def buyer(said: Mapping[str, str], *, outside: bool, known: bool) -> Party:
    """BG-7. `known`: their VAT number must be there, for a reverse charge or a supply within the Union (BR-AE-02, BR-IC-02)."""
    name = said.get("name", "")
    country = _country(said, f"The country of {name} is not known. Enter it with the customer, such as DE.")
    number = said.get("tax_number", "")
    found = vat_id(number, country)
    # A number without letters may be that of a certificate: it stands as an identifier of the buyer and says no more.
    vat = found if found[:2] in PREFIXES and re.sub(r"[^0-9A-Za-z]", "", number).upper() == found else ""
    if known and not vat:
        raise Refused(
            f"This kind of supply names the buyer's VAT number with the letters of its country. {name} has none on this paper.",
            field="buyer.tax_number",
        )
    vat = "" if outside else vat
    return Party(
        name=name,
        address=address(said.get("address", "")),
        country=country,
        vat_id=vat,
        own_id="" if vat else number,
        mail=mail(said.get("electronic", "")),
    )


def _country(said: Mapping[str, str], missing: str) -> str:
    if not said.get("country"):
        raise Refused(f"An e-invoice says the country of both (BR-09, BR-11). {missing}", field="country")
    return said["country"]
