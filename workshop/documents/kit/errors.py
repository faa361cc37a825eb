"""Refusals of the paper kit: what will not be printed, why, and what to do instead."""

from collections.abc import Iterable

from inventory.errors import Refused


class TextTooLong(Refused):
    """A text that must not be cut (a price, a number, an address) has no room, even at the smallest size."""

    def __init__(self, what: str, text: str, width_mm: float, height_mm: float) -> None:
        self.what, self.text, self.width_mm, self.height_mm = what, text, width_mm, height_mm
        named = f"The {what} “{text}” ({len(text)} characters)" if text else f"A part of the {what}"
        super().__init__(
            f"{named} does not fit in {width_mm:.0f} × {height_mm:.0f} mm,"
            " and cutting it would say something else. Shorten it, or print it on a larger paper.",
            field=what.replace(" ", "_"),
        )


class NotBarcodable(Refused):
    """A number that Code 128 cannot carry, or not in the width there is."""

    def __init__(self, number: str, why: str) -> None:
        self.number, self.why = number, why
        super().__init__(
            f"“{number}” cannot be printed as a barcode: {why}."
            " Use up to 20 of the letters A to Z, figures and dashes, or go by the printed number.",
            field="article",
        )


class UnknownMethod(Refused):
    """No care words are known for this way of tanning."""

    def __init__(self, method: str, known: Iterable[str]) -> None:
        self.method, self.known = method, tuple(known)
        super().__init__(
            f"There are no care words for the method “{method}”. Choose one of: {', '.join(self.known)}.",
            field="method",
        )


class WrongCopies(Refused):
    """Fewer than one copy, or more than a person means to print."""

    def __init__(self, copies: int, most: int) -> None:
        self.copies, self.most = copies, most
        super().__init__(f"{copies} copies were asked for. Ask for 1 to {most}.", field="copies")


class PaperDoesNotAddUp(Refused):
    """An issued paper whose lines give another sum than it states."""

    def __init__(self, number: str, what: str, expected: object, stated: object) -> None:
        self.number, self.what, self.expected, self.stated = number, what, expected, stated
        super().__init__(
            f"The lines of {number} come to a {what} of {expected}, but the paper says {stated}. Nothing was printed; check"
            " the books before you hand it out.",
            field="number",
        )


class WrongVolume(Refused):
    """A vessel or bath without a volume."""

    def __init__(self, litres: object) -> None:
        self.litres = litres
        super().__init__(
            f"A label is sized by what its vessel holds, and {litres} L is no volume. Enter the litres, more than nothing.",
            field="litres",
        )


class WrongBoxes(Refused):
    """A row of a batch card with fewer than no tick boxes, or more than a day has."""

    def __init__(self, step: str, boxes: int, most: int) -> None:
        self.step, self.boxes, self.most = step, boxes, most
        super().__init__(
            f"“{step}” asks for {boxes} tick boxes in a day. Ask for 0 to {most}, or lay the step out over more days.",
            field="boxes",
        )
