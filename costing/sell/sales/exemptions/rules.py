"""Why no tax is charged: the reasons that sellers of hides meet, in the words of the law, to choose from or to write over.

Owns the list and its English words. Must not decide whether a reason applies: that is between the maker and the tax office.
Other languages' words are those of papers (`workshop.documents.words`, table `exemption`).

Sources: Directive 2006/112/EC art. 138 (intra-Community supplies), 146 (exports), 194 and 196 (reverse charge), 226(11a) and (14)
(words that an invoice must carry: "Reverse charge", "Margin scheme — works of art" and the like), 284 (small enterprises), 313 and
333 (margin schemes). Articles 138, 146 and 226 were read in secondary copies, the others are from memory.
"""

from dataclasses import dataclass

EU, UK, US = "EU", "UK", "US"


@dataclass(frozen=True)
class Exemption:
    """A reason. `laws`: where it is offered."""

    key: str
    words: str
    laws: tuple[str, ...] = (EU,)


EXEMPTIONS = (
    Exemption("reverse_charge", "Reverse charge", laws=(EU, UK)),
    Exemption("intra_community", "Intra-Community supply, art. 138 of Directive 2006/112/EC"),
    Exemption("export", "Export outside the European Union, art. 146 of Directive 2006/112/EC"),
    Exemption("export_plain", "Export", laws=(UK, US)),
    Exemption("margin_second_hand", "Margin scheme – second-hand goods", laws=(EU, UK)),
    Exemption("margin_art", "Margin scheme – works of art", laws=(EU, UK)),
    Exemption("margin_collectors", "Margin scheme – collector's items and antiques", laws=(EU, UK)),
    Exemption("outside_scope", "Outside the scope of VAT", laws=(EU, UK)),
    Exemption("resale", "Sale for resale", laws=(US,)),
)
SMALL_BUSINESS = Exemption("small_business", "VAT exempt: small enterprise, art. 284 of Directive 2006/112/EC")


def offered(law: str) -> list[str]:
    """The words to choose from for a line without tax, under a law.

    >>> offered("US")
    ['Export', 'Sale for resale']
    """
    return [each.words for each in EXEMPTIONS if law in each.laws]


def small_business(law: str) -> list[str]:
    """The words to choose from for a seller who is not registered."""
    return [SMALL_BUSINESS.words] if law in SMALL_BUSINESS.laws else []


def key_of(reason: str) -> str:
    """Which of the list a text is word for word, so that a paper in another language can say it there; empty for none.

    >>> key_of("reverse charge"), key_of("Reverse charge, as agreed")
    ('reverse_charge', '')
    """
    said = reason.strip().casefold()
    return next((each.key for each in (*EXEMPTIONS, SMALL_BUSINESS) if each.words.casefold() == said), "")
