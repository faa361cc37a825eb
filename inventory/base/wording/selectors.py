"""The maker's own words on papers, and which translations are checked."""

from collections import Counter

from inventory.base.wording.models import CheckedLanguage, Phrase


def phrases(*languages: str) -> dict[str, dict[str, str]]:
    """By language and key what the maker says, in one query."""
    found: dict[str, dict[str, str]] = {language: {} for language in languages}
    rows = Phrase.objects.filter(language__in=languages).order_by("pk")
    for language, key, text in rows.values_list("language", "key", "text"):
        found[language][key] = text
    return found


def counted() -> Counter[str]:
    """How many phrases of each language the maker says otherwise."""
    return Counter(Phrase.objects.order_by("pk").values_list("language", flat=True))


def checked() -> dict[str, CheckedLanguage]:
    """The translations that somebody found right, by language."""
    return {row.language: row for row in CheckedLanguage.objects.all()}
