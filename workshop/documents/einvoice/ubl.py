"""Writes an e-invoice as UBL 2.1: an Invoice, or a CreditNote with amounts above zero.

Its order of elements is that of the schema. Must not work anything out.
"""

from collections.abc import Callable
from decimal import Decimal

from workshop.documents.einvoice import rules, xml
from workshop.documents.einvoice.rules import EInvoice, Group, Line, Party
from workshop.documents.einvoice.xml import Part, group, text

_OASIS = "urn:oasis:names:specification:ubl:schema:xsd:"
SPACES = {"cac": f"{_OASIS}CommonAggregateComponents-2", "cbc": f"{_OASIS}CommonBasicComponents-2"}
PROFILE = "urn:cen.eu:en16931:2017"
Money = Callable[[str, Decimal], Part]


def write(invoice: EInvoice) -> bytes:
    """The file as bytes."""
    credit = invoice.kind == rules.CREDIT
    root = "CreditNote" if credit else "Invoice"

    def money(name: str, amount: Decimal) -> Part:
        return text(f"cbc:{name}", xml.money(amount), currencyID=invoice.currency)

    return xml.document(
        root,
        {"": f"{_OASIS}{root}-2", **SPACES},
        text("cbc:CustomizationID", PROFILE),
        text("cbc:ID", invoice.number),
        text("cbc:IssueDate", xml.day(invoice.issued_on)),
        None if credit else text("cbc:DueDate", xml.day(invoice.due_on)),
        text(f"cbc:{root}TypeCode", invoice.kind),
        *(text("cbc:Note", note) for note in invoice.notes),
        text("cbc:DocumentCurrencyCode", invoice.currency),
        text("cbc:BuyerReference", invoice.buyer_reference),
        group(
            "cac:BillingReference",
            group(
                "cac:InvoiceDocumentReference",
                text("cbc:ID", invoice.corrects),
                text("cbc:IssueDate", xml.day(invoice.corrects_on)),
            ),
        ),
        group("cac:AccountingSupplierParty", _party(invoice.seller)),
        group("cac:AccountingCustomerParty", _party(invoice.buyer)),
        _delivery(invoice),
        _means(invoice),
        group("cac:PaymentTerms", text("cbc:Note", invoice.terms)),
        group("cac:TaxTotal", money("TaxAmount", invoice.totals.tax), *(_tax(each, money) for each in invoice.groups)),
        _totals(invoice, money),
        *(_line(at, line, invoice, money) for at, line in enumerate(invoice.lines, start=1)),
    )


def _party(party: Party) -> Part:
    one, two, three = (*party.address, "", "", "")[:3]
    return group(
        "cac:Party",
        text("cbc:EndpointID", party.mail, schemeID="EM"),
        group("cac:PartyIdentification", text("cbc:ID", party.own_id)),
        group(
            "cac:PostalAddress",
            text("cbc:StreetName", one),
            text("cbc:AdditionalStreetName", two),
            group("cac:AddressLine", text("cbc:Line", three)),
            group("cac:Country", text("cbc:IdentificationCode", party.country)),
        ),
        _registered(party.vat_id, "VAT"),
        _registered(party.tax_id, "TAX"),
        group(
            "cac:PartyLegalEntity",
            text("cbc:RegistrationName", xml.on_one_line(party.name)),
            text("cbc:CompanyID", party.legal_id),
        ),
    )


def _registered(number: str, scheme: str) -> Part:
    if not number:
        return None
    return group("cac:PartyTaxScheme", text("cbc:CompanyID", number), group("cac:TaxScheme", text("cbc:ID", scheme)))


def _delivery(invoice: EInvoice) -> Part:
    where = text("cbc:IdentificationCode", invoice.buyer.country) if invoice.crosses else None
    return group(
        "cac:Delivery",
        text("cbc:ActualDeliveryDate", xml.day(invoice.supplied_on)),
        group("cac:DeliveryLocation", group("cac:Address", group("cac:Country", where))),
    )


def _means(invoice: EInvoice) -> Part:
    account = invoice.account
    if account is None:
        return None
    return group(
        "cac:PaymentMeans",
        text("cbc:PaymentMeansCode", invoice.means),
        text("cbc:PaymentID", account.reference),
        group(
            "cac:PayeeFinancialAccount",
            text("cbc:ID", account.iban),
            text("cbc:Name", account.name),
            group("cac:FinancialInstitutionBranch", text("cbc:ID", account.bic)),
        ),
    )


def _category(name: str, of: Group | Line) -> Part:
    reason = of.reason if isinstance(of, Group) else ""
    code = rules.REASON_CODES.get(of.category, "") if isinstance(of, Group) else ""
    return group(
        name,
        text("cbc:ID", of.category),
        None if of.rate is None else text("cbc:Percent", xml.figure(of.rate)),
        text("cbc:TaxExemptionReasonCode", code),
        text("cbc:TaxExemptionReason", reason),
        group("cac:TaxScheme", text("cbc:ID", "VAT")),
    )


def _tax(each: Group, money: Money) -> Part:
    return group(
        "cac:TaxSubtotal",
        money("TaxableAmount", each.base),
        money("TaxAmount", each.tax),
        _category("cac:TaxCategory", each),
    )


def _totals(invoice: EInvoice, money: Money) -> Part:
    totals = invoice.totals
    return group(
        "cac:LegalMonetaryTotal",
        money("LineExtensionAmount", totals.lines),
        money("TaxExclusiveAmount", totals.net),
        money("TaxInclusiveAmount", totals.gross),
        money("PrepaidAmount", totals.paid) if totals.paid else None,
        money("PayableAmount", totals.due),
    )


def _line(at: int, line: Line, invoice: EInvoice, money: Money) -> Part:
    name, amount = (
        ("CreditNoteLine", "CreditedQuantity") if invoice.kind == rules.CREDIT else ("InvoiceLine", "InvoicedQuantity")
    )
    off = None
    if line.allowance:
        off = group(
            "cac:AllowanceCharge",
            text("cbc:ChargeIndicator", "false"),
            text("cbc:AllowanceChargeReasonCode", rules.DISCOUNT),
            text("cbc:AllowanceChargeReason", invoice.discount_words),
            money("Amount", line.allowance),
        )
    price = text("cbc:PriceAmount", xml.figure(line.price), currencyID=invoice.currency)
    return group(
        f"cac:{name}",
        text("cbc:ID", str(at)),
        text(f"cbc:{amount}", xml.figure(line.quantity), unitCode=line.unit),
        money("LineExtensionAmount", line.net),
        off,
        group("cac:Item", text("cbc:Name", xml.on_one_line(line.name)), _category("cac:ClassifiedTaxCategory", line)),
        group("cac:Price", price),
    )
