"""Numbers that others give out, judged by their form: a bank account, a bank, a tax number of the European Union.

That a number has the right form says nothing of whether it was ever given out. Must not know who uses it.
"""

import re

from stdnum import iban as library
from stdnum.eu import vat

from inventory.errors import Refused

BIC = re.compile(r"[A-Z]{4}[A-Z]{2}[A-Z0-9]{2}([A-Z0-9]{3})?")
# Prefixes of VAT numbers by Directive 2006/112/EC art. 215, Northern Ireland's since 2021 (both from memory). Letters before the
# first figure are those of their own form, so that "SIRET 123" or "HRB 4711" is no VAT number of SI or HR.
_EUROPEAN = re.compile(
    r"(?P<country>ATU?|ES[A-Z]?|FR[A-Z]{0,2}|XI(?:GD|HA)?|BE|BG|CY|CZ|DE|DK|EE|EL|FI|HR|HU|IE|IT|LT|LU|LV|MT|NL|PL|PT|RO"
    r"|SE|SI|SK)[0-9][0-9A-Z+*]*"
)
_SEPARATORS = re.compile(r"[\s.\-/]+")


def iban(text: str, *, field: str = "iban") -> str:
    """An IBAN without spaces, its country, length and check digits judged (ISO 13616); empty for none.

    No national rule is asked: python-stdnum's for Belgium refuses an account that the registry itself shows. Check digits are 02 to
    98, which it does not ask: 00, 01 and 99 come to the same remainder and are never given out.

    >>> iban("fi21 1234 5600 0007 85")
    'FI2112345600000785'
    """
    found = _compact(text)
    if found and (found[2:4] in ("00", "01", "99") or not library.is_valid(found, check_country=False)):
        raise Refused(
            f"{grouped(found)} is no IBAN: a sign is wrong, missing or too many, so that its check digits or its country do not "
            "fit. Copy it from your bank's own page.",
            field=field,
        )
    return found


def bic(text: str, *, field: str = "bic") -> str:
    """A BIC of 8 or 11 signs (ISO 9362), its form alone; empty for none.

    >>> bic("bhbldehh xxx")
    'BHBLDEHHXXX'
    """
    found = _compact(text)
    if found and not BIC.fullmatch(found):
        raise Refused(
            f"{found} is no BIC: it has 8 or 11 signs, four letters for the bank, two for its country, then letters or "
            "figures. Leave it empty where your bank asks for none.",
            field=field,
        )
    return found


def tax_number(text: str, *, field: str = "tax_number") -> str:
    """A tax number as it was typed. One that begins as a VAT number of the European Union is refused where its form is wrong.

    Other numbers pass: forms differ, and the number may be that of a certificate.

    >>> tax_number(" FI 1234567-1 "), tax_number("ST-204-118")
    ('FI 1234567-1', 'ST-204-118')
    """
    found = _compact(text)
    if (european := _EUROPEAN.fullmatch(found)) and not _known(found):
        raise Refused(
            f"{text.strip()} begins with {european['country'][:2]} as a VAT number does, but none is written so: a sign is wrong, "
            "missing or too many. Compare it with the owner's papers. A number of another kind: write what it is before it.",
            field=field,
        )
    return text.strip()


def grouped(number: str) -> str:
    """A number in fours, as it is read out.

    >>> grouped("FI2112345600000785")
    'FI21 1234 5600 0007 85'
    """
    return " ".join(number[at : at + 4] for at in range(0, len(number), 4))


def _compact(text: str) -> str:
    return _SEPARATORS.sub("", text).upper()


def _known(number: str) -> bool:
    return bool(vat.is_valid(number))
