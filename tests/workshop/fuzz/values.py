"""What nobody should type, and somebody does: odd texts, numbers, days, and entries sent twice."""

from __future__ import annotations

from hypothesis import strategies as st

NUMBERS = [
    "0", "-1", "-0", "1e5", "1e999", "-1e999999999", "1E-400", "NaN", "sNaN", "-sNaN123", "Infinity", "-inf", "٣",
    "½", "1,5", "1.2.3", "1_000", "0x10", "12345678901234.567", "²", "1/0", "0/0", "1/3",
]  # fmt: skip
NUMBERS += ["9" * 19, "9" * 40, "-" + "9" * 40, "0." + "0" * 60 + "1", "9" * 5000]
DAYS = [
    "0000-01-01", "0001-01-01", "9999-12-31", "10000-01-01", "2025-02-30", "2025-13-01", "-2025-01-01", "2025-W01-1",
    "٢٠٢٥-٠١-٠١", "0000-00", "9999-12", "99999-01", "2025-13", "2025-Q5", "9999-12-31T23:59:59+14:00",
    "0001-01-01T00:00:00-14:00", "24:00", "25:61",
]  # fmt: skip
TEXTS = [
    "", " ", "\x00", "a\x00b", "\x07", "\x0b", "\x1b[31m", "\x7f", "\x85", "\u2028", "\ufeff", "\ufffe", "\u202eabc",
    "مرحبا", "שלום", "💥",
    "'", "\"", "' OR 1=1 --",
    "<script>alert(1)</script>", "{{ 7 }}", "%s%d%n", "{0.__class__}", "{self.request}", "=cmd()", "\\",
    "../../etc/passwd", "%", "_", "on", "None", "true", "null", "[]", "now:", "H03", "B5", "ALUMK", "INV-002",
    "J-01", "new", "~new", "a/b", "R1",
]  # fmt: skip
TEXTS += [
    "💥" * 40,
    "👩‍👩‍👧" * 20,
    "e\u0301" * 300,
    "z\u0335\u0321" * 50,
    "x" * 81,
    "x" * 300,
    "x" * 5000,
    "x" * 60_000,
    "a " * 4000,
    "%" * 9000,
]
KEYS = [
    "sort", "page", "words", "q", "month", "on", "next", "version", "kind", "skin", "batch", "sheet", "language",
    "form-TOTAL_FORMS",
]  # fmt: skip

# What brought pages down before, sent to each address and entry whatever chance draws beside. The first two are refused before any
# page; of the next two, which are no numbers that a database has, an entry is sent one.
WORST = ("x" * 60_000, "a\x00b", "9" * 40, "²", "NaN", "9999-12-31")

oddities = st.one_of(
    st.sampled_from(WORST),
    st.sampled_from(TEXTS),
    st.sampled_from(NUMBERS),
    st.sampled_from(DAYS),
    st.text(st.characters(exclude_categories=()), max_size=40),
    st.integers(-(10**30), 10**30).map(str),
    st.decimals(allow_nan=True, allow_infinity=True).map(str),
    st.dates().map(str),
)
# A page that lets go of half a character before it is sent is a browser; the address here is as bytes.
sendable = oddities.map(lambda value: value.encode("utf-8", "surrogatepass").decode("utf-8", "replace"))


def beside(asked: tuple[str, ...]) -> st.SearchStrategy[dict[str, list[str]]]:
    """Beside what is sent: first of all what the page itself asks by its address, then what another page does, then anything."""
    known = [st.sampled_from(asked)] * 2 if asked else []
    return st.dictionaries(
        st.one_of(*known, st.sampled_from(KEYS), sendable), st.lists(sendable, max_size=3), max_size=2
    )
