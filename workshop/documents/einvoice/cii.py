"""Writes an e-invoice as UN/CEFACT Cross Industry Invoice (D22B), the form that Factur-X puts into a PDF (profile EN 16931).

Its order of elements is that of the schema. Must not work anything out.
"""

from datetime import date

from workshop.documents.einvoice import rules, xml
from workshop.documents.einvoice.rules import Category, EInvoice, Group, Line, Party
from workshop.documents.einvoice.xml import Part, group, money, text

_UN = "urn:un:unece:uncefact:data:standard:"
SPACES = {
    "rsm": f"{_UN}CrossIndustryInvoice:100",
    "ram": f"{_UN}ReusableAggregateBusinessInformationEntity:100",
    "udt": f"{_UN}UnqualifiedDataType:100",
    "qdt": f"{_UN}QualifiedDataType:100",
}
PROFILE = "urn:cen.eu:en16931:2017"


def write(invoice: EInvoice) -> bytes:
    """The file as bytes."""
    return xml.document(
        "rsm:CrossIndustryInvoice",
        SPACES,
        group(
            "rsm:ExchangedDocumentContext",
            group("ram:GuidelineSpecifiedDocumentContextParameter", text("ram:ID", PROFILE)),
        ),
        group(
            "rsm:ExchangedDocument",
            text("ram:ID", invoice.number),
            text("ram:TypeCode", invoice.kind),
            _day("ram:IssueDateTime", invoice.issued_on),
            *(group("ram:IncludedNote", text("ram:Content", note)) for note in invoice.notes),
        ),
        group(
            "rsm:SupplyChainTradeTransaction",
            *(_line(at, line, invoice) for at, line in enumerate(invoice.lines, start=1)),
            group(
                "ram:ApplicableHeaderTradeAgreement",
                text("ram:BuyerReference", invoice.buyer_reference),
                _party("ram:SellerTradeParty", invoice.seller),
                _party("ram:BuyerTradeParty", invoice.buyer),
            ),
            _delivery(invoice),
            _settlement(invoice),
        ),
    )


def _day(name: str, on: date | None, space: str = "udt") -> Part:
    return group(name, text(f"{space}:DateTimeString", on.strftime("%Y%m%d") if on else "", format="102"))


def _line(at: int, line: Line, invoice: EInvoice) -> Part:
    off = None
    if line.allowance:
        off = group(
            "ram:SpecifiedTradeAllowanceCharge",
            group("ram:ChargeIndicator", text("udt:Indicator", "false")),
            text("ram:ActualAmount", money(line.allowance)),
            text("ram:ReasonCode", rules.DISCOUNT),
            text("ram:Reason", invoice.discount_words),
        )
    price = text("ram:ChargeAmount", xml.figure(line.price))
    return group(
        "ram:IncludedSupplyChainTradeLineItem",
        group("ram:AssociatedDocumentLineDocument", text("ram:LineID", str(at))),
        group("ram:SpecifiedTradeProduct", text("ram:Name", xml.on_one_line(line.name))),
        group("ram:SpecifiedLineTradeAgreement", group("ram:NetPriceProductTradePrice", price)),
        group(
            "ram:SpecifiedLineTradeDelivery", text("ram:BilledQuantity", xml.figure(line.quantity), unitCode=line.unit)
        ),
        group(
            "ram:SpecifiedLineTradeSettlement",
            group(
                "ram:ApplicableTradeTax",
                text("ram:TypeCode", "VAT"),
                text("ram:CategoryCode", line.category),
                _rate(line),
            ),
            off,
            group("ram:SpecifiedTradeSettlementLineMonetarySummation", text("ram:LineTotalAmount", money(line.net))),
        ),
    )


def _rate(of: Line | Group) -> Part:
    return None if of.rate is None else text("ram:RateApplicablePercent", xml.figure(of.rate))


def _party(name: str, party: Party) -> Part:
    return group(
        name,
        text("ram:ID", party.own_id),
        text("ram:Name", xml.on_one_line(party.name)),
        group("ram:SpecifiedLegalOrganization", text("ram:ID", party.legal_id)),
        group(
            "ram:PostalTradeAddress",
            *(text(f"ram:Line{at}", line) for at, line in zip(("One", "Two", "Three"), party.address, strict=False)),
            text("ram:CountryID", party.country),
        ),
        group("ram:URIUniversalCommunication", text("ram:URIID", party.mail, schemeID="EM")),
        group("ram:SpecifiedTaxRegistration", text("ram:ID", party.vat_id, schemeID="VA")),
        group("ram:SpecifiedTaxRegistration", text("ram:ID", party.tax_id, schemeID="FC")),
    )


def _delivery(invoice: EInvoice) -> Part:
    where = text("ram:CountryID", invoice.buyer.country) if invoice.crosses else None
    return group(
        "ram:ApplicableHeaderTradeDelivery",
        group("ram:ShipToTradeParty", group("ram:PostalTradeAddress", where)),
        group("ram:ActualDeliverySupplyChainEvent", _day("ram:OccurrenceDateTime", invoice.supplied_on)),
    )


def _settlement(invoice: EInvoice) -> Part:
    totals, account = invoice.totals, invoice.account
    means = None
    if account:
        means = group(
            "ram:SpecifiedTradeSettlementPaymentMeans",
            text("ram:TypeCode", invoice.means),
            group(
                "ram:PayeePartyCreditorFinancialAccount",
                text("ram:IBANID", account.iban),
                text("ram:AccountName", account.name),
            ),
            group("ram:PayeeSpecifiedCreditorFinancialInstitution", text("ram:BICID", account.bic)),
        )
    return group(
        "ram:ApplicableHeaderTradeSettlement",
        text("ram:PaymentReference", account.reference if account else ""),
        text("ram:InvoiceCurrencyCode", invoice.currency),
        means,
        *map(_tax, invoice.groups),
        group(
            "ram:SpecifiedTradePaymentTerms",
            text("ram:Description", invoice.terms),
            _day("ram:DueDateDateTime", invoice.due_on),
        ),
        group(
            "ram:SpecifiedTradeSettlementHeaderMonetarySummation",
            text("ram:LineTotalAmount", money(totals.lines)),
            text("ram:TaxBasisTotalAmount", money(totals.net)),
            text("ram:TaxTotalAmount", money(totals.tax), currencyID=invoice.currency),
            text("ram:GrandTotalAmount", money(totals.gross)),
            text("ram:TotalPrepaidAmount", money(totals.paid)) if totals.paid else None,
            text("ram:DuePayableAmount", money(totals.due)),
        ),
        group(
            "ram:InvoiceReferencedDocument",
            text("ram:IssuerAssignedID", invoice.corrects),
            _day("ram:FormattedIssueDateTime", invoice.corrects_on, "qdt"),
        ),
    )


def _tax(each: Group) -> Part:
    return group(
        "ram:ApplicableTradeTax",
        text("ram:CalculatedAmount", money(each.tax)),
        text("ram:TypeCode", "VAT"),
        text("ram:ExemptionReason", each.reason),
        text("ram:BasisAmount", money(each.base)),
        text("ram:CategoryCode", each.category),
        text("ram:ExemptionReasonCode", rules.REASON_CODES.get(Category(each.category), "")),
        _rate(each),
    )
