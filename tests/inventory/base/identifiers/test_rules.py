"""Numbers that others give out are refused where their form is wrong, with what is wrong about them."""

import pytest

from inventory.base.identifiers import rules
from inventory.errors import Refused


@pytest.mark.parametrize(
    "given", ["FI21 1234 5600 0007 86", "FI00 1234 5600 0007 85", "XX89 3704 0044 0532 0130 00", "FI", "my account"]
)
def test_a_wrong_iban_is_refused_and_shown_in_fours(given: str) -> None:
    with pytest.raises(Refused, match="is no IBAN: a sign is wrong, missing or too many") as refused:
        rules.iban(given)
    assert refused.value.field == "iban"
    assert rules.grouped(given.replace(" ", "").upper()) in str(refused.value)


def test_the_belgian_registry_example_passes_although_the_national_check_refuses_it() -> None:
    assert rules.iban("BE68 5390 0754 7034") == "BE68539007547034"


@pytest.mark.parametrize("given", ["BHBLDE", "12345678", "BHBLDEHHXX", "BHBL DEHH XXXX"])
def test_a_wrong_bic_is_refused(given: str) -> None:
    with pytest.raises(Refused, match="8 or 11 signs"):
        rules.bic(given)


# Right ones: from python-stdnum's own examples, and a Finnish one of this project.
@pytest.mark.parametrize(
    "given", ["FI12345671", "fi 1234567-1", "ATU13585627", "DE 136,695 976".replace(",", ""), "NL4495445B01"]
)
def test_a_vat_number_of_the_right_form_stays_as_it_was_typed(given: str) -> None:
    assert rules.tax_number(given) == given


@pytest.mark.parametrize("given", ["FI1234567", "FI12345678", "DE12345678", "ATU1358562", "FR1", "SE5566778899"])
def test_a_vat_number_of_a_wrong_form_is_refused(given: str) -> None:
    with pytest.raises(Refused, match=f"{given} begins with {given[:2]} as a VAT number does") as refused:
        rules.tax_number(given)
    assert refused.value.field == "tax_number"


@pytest.mark.parametrize(
    "given",
    ["", "ST-204-118", "US-1", "RC-88", "GB 123", "SIRET 73282932000074", "HRB 4711", "1234567-1", "Cert. DE 47"],
)
def test_other_numbers_pass_as_typed(given: str) -> None:
    assert rules.tax_number(given) == given
