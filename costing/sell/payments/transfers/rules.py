"""Payment by bank transfer: the reference that says what is paid, and the code that fills in a banking app.

Owns how a reference is made of a paper's number, by kind, and the text of the EPC code. Must not draw and must not know a
database. The account itself is judged in `inventory.base.identifiers`.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from itertools import cycle

from stdnum.be import ogm_vcs
from stdnum.ch import esr
from stdnum.iso7064 import mod_97_10

from inventory.base.identifiers.rules import grouped
from inventory.errors import Refused
from inventory.money import half_up

LEAST, MOST = Decimal("0.01"), Decimal("999999999.99")
LONGEST_NAME, LONGEST_TEXT, MOST_BYTES = 70, 140, 331


class Kind(StrEnum):
    """How the reference of a payment is written: not at all, by ISO 11649, or as Finland, Belgium or Switzerland has it."""

    NONE = "none"
    RF = "rf"
    FINNISH = "fi"
    BELGIAN = "be"
    SWISS = "ch"


def reference(kind: str, number: str) -> str:
    """The payment reference of a paper, by its number and no spaces; empty where there is none.

    RF: its letters and figures, ISO 11649. The others take figures only. Finnish: a 1 in front, so that 004 and 1004 differ
    although zeros in front mean nothing and the shortest has three figures before its check digit.

    >>> reference("rf", "INV-004"), reference("fi", "INV-004"), reference("be", "INV-004")
    ('RF09INV004', '10045', '000000000404')
    """
    letters = re.sub(r"[^A-Z0-9]", "", number.upper())
    figures = re.sub(r"[^0-9]", "", letters)
    if kind == Kind.RF:
        return creditor_reference(letters)
    if kind == Kind.FINNISH:
        return finnish(f"1{figures:0>2}")
    if kind == Kind.BELGIAN:
        return f"{figures[-10:]:0>10}" + ogm_vcs.calc_check_digits(f"{figures[-10:]:0>10}")
    if kind == Kind.SWISS:
        return f"{figures:0>26}" + esr.calc_check_digit(figures)
    return ""


def creditor_reference(text: str) -> str:
    """RF, two check digits, up to 21 letters and figures (ISO 11649).

    >>> creditor_reference("539007547034")
    'RF18539007547034'
    """
    return f"RF{mod_97_10.calc_check_digits(f'{text}RF')}{text}"


def finnish(figures: str) -> str:
    """A Finnish reference: its figures, then the check digit by weights 7, 3, 1 from the right.

    Source: Finance Finland's structure of the reference number, as cited by knowledge.xmldation.com.

    >>> finnish("12345"), finnish("123456")
    ('123453', '1234561')
    """
    added = sum(int(figure) * weight for figure, weight in zip(reversed(figures), cycle((7, 3, 1)), strict=False))
    return f"{figures}{-added % 10}"


def shown(kind: str, number: str) -> str:
    """A reference as it is printed and read out, by its kind.

    >>> shown("fi", "15118906568"), shown("be", "010806817183"), shown("rf", "RF18539007547034")
    ('1 51189 06568', '+++010/8068/17183+++', 'RF18 5390 0754 7034')
    """
    if kind == Kind.FINNISH:
        bare = number.lstrip("0")
        first = len(bare) % 5
        return " ".join(filter(None, (bare[:first], *(bare[at : at + 5] for at in range(first, len(bare), 5)))))
    if kind == Kind.BELGIAN:
        return f"+++{number[:3]}/{number[3:7]}/{number[7:]}+++"
    if kind == Kind.SWISS:
        return " ".join((number[:2], *(number[at : at + 5] for at in range(2, len(number), 5))))
    return grouped(number)


@dataclass(frozen=True)
class Transfer:
    """A payment asked for: to whom, on which account, how many euro. `reference` is an ISO 11649 one, else `text` says what for."""

    name: str
    iban: str
    amount: Decimal
    bic: str = ""
    reference: str = ""
    text: str = ""


def asked(kind: str, number: str, words: str) -> dict[str, str]:
    """What the code says that is paid: an RF reference, a Finnish one in its RF form, the others in words.

    >>> asked("fi", "10045", "Invoice INV-004"), asked("none", "", "Invoice INV-004")
    ({'reference': 'RF9810045'}, {'text': 'Invoice INV-004'})
    """
    if kind == Kind.RF:
        return {"reference": number}
    if kind == Kind.FINNISH:
        return {"reference": creditor_reference(number.lstrip("0"))}
    return {"text": shown(kind, number) or words}


def payload(transfer: Transfer) -> str:
    """The text of an EPC code for a SEPA credit transfer, version 002, in UTF-8.

    Source: EPC069-12 as the library segno has it (its example 1 and its limits); the document itself was not seen. Refused where
    the amount, a name or a text is outside those limits.
    """
    amount = half_up(transfer.amount, 2)
    if amount != transfer.amount or not LEAST <= amount <= MOST:
        raise Refused(f"A transfer of {transfer.amount} euro has no code; it takes {LEAST} to {MOST}.", field="amount")
    if not 0 < len(transfer.name) <= LONGEST_NAME or len(transfer.text) > LONGEST_TEXT:
        raise Refused(
            f"A payment's code takes a name of 1 to {LONGEST_NAME} characters and a text of {LONGEST_TEXT}.",
            field="name",
        )
    lines = ("BCD", "002", "1", "SCT", transfer.bic, transfer.name, transfer.iban, f"EUR{amount}", "")
    said = "\n".join((*lines, transfer.reference, transfer.text)).rstrip("\n")
    if len(said.encode()) > MOST_BYTES:
        raise Refused(f"A payment's code takes {MOST_BYTES} bytes; use a shorter name.", field="name")
    return said
