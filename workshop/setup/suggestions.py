"""What the country of a locale suggests for a workshop: measures, paper, time zone, the word for the tax, whose invoice fields.

Suggestions for a page to fill itself in with; nothing is kept. Paper and measures are those of CLDR (see
`inventory.base.locales`). The words for a tax are only those of countries where they are the name of the tax in the law; elsewhere
in the European Union and the United Kingdom it is VAT (Directive 2006/112/EC; VAT Act 1994), in the United States sales tax.
"""

from inventory.base import locales
from inventory.base.models import BathUnit, Degrees, Measures

BATHS = {"metric": BathUnit.LITRES, "us": BathUnit.US_GALLONS, "imperial": BathUnit.LITRES}
GST = frozenset({"AU", "NZ"})


def of(locale: str) -> dict[str, str]:
    """By field; nothing for no locale. A field that the country says nothing of is left out. Refused for a locale that is none.

    >>> found = of("en_us")
    >>> found["locale"], found["units"], found["paper"], found["bath_unit"], found["degrees"], found["tax_name"], found["law"]
    ('en-US', 'us', 'letter', 'us_gallon', 'F', 'sales tax', 'US')
    """
    if not locale.strip():
        return {}
    name = locales.known(locale)
    country = locales.territory(name)
    units = Measures(locales.measures_of(country))
    zones = locales.zones_of(country)
    law = "EU" if country in locales.EU else "UK" if country == "GB" else "US"
    tax = "VAT" if law in ("EU", "UK") else "sales tax" if country == "US" else "GST" if country in GST else ""
    return {
        "locale": name,
        **({"country": country} if locales.zones_of(country) else {}),
        "units": units.value,
        "paper": locales.paper_of(country),
        "bath_unit": BATHS[units].value,
        "degrees": (Degrees.FAHRENHEIT if units == Measures.US else Degrees.CELSIUS).value,
        **({"time_zone": zones[0]} if len(zones) == 1 else {}),
        **({"tax_name": tax} if tax else {}),
        "law": law,
    }
