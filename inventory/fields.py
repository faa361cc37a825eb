"""Model fields that hold exact decimals as whole numbers in the database.

Owns the scale between Python (`Decimal`) and the column (`bigint`): thousandths for money and quantities, billionths
for frozen cost parts. One scale serves the money of every circulating currency (0, 2 or 3 digits); the services round
to the currency's own digits before they save. A value that is finer than the scale is refused, never rounded here.

Why not `DecimalField`: on SQLite it is binary floating point, and its sums are wrong in the last places. Sums of whole
numbers are exact on every database, and `Sum`, `Min` and `Max` over these fields come back as `Decimal`.

Arithmetic with `F()` on these columns is banned: the database would mix scales silently. Lock the row, read, compute,
save. The fields are deliberately no `IntegerField`, so Django refuses to guess the type of such an expression where it
is selected or summed, and writing one is refused below. What nothing can catch, and nobody may write: arithmetic on the
right of a filter (`value__lt=F("value") + 1` compares with a thousandth), and `Avg`, which cuts off below the scale;
divide the sum by the count in Python.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.expressions import Combinable, CombinedExpression

from inventory.money import from_steps, to_steps

if TYPE_CHECKING:
    # Django's Field takes type arguments only in its stubs; these let the type checker see nullable columns.
    _ST = TypeVar("_ST", contravariant=True)
    _GT = TypeVar("_GT", covariant=True)

    class _Base(models.Field[_ST, _GT]):
        _pyi_private_set_type: Decimal | int | str | Combinable
        _pyi_private_get_type: Decimal
        _pyi_lookup_exact_type: Decimal | int | str
else:

    class _Base(models.Field):
        def __class_getitem__(cls, _arguments):
            return cls

    _ST = _GT = None


class ThousandthsField(_Base[_ST, _GT]):
    """A `Decimal` with at most three places, held as whole thousandths."""

    places = 3

    def get_internal_type(self) -> str:
        return "BigIntegerField"

    def to_python(self, value: Any) -> Decimal | None:
        """What was typed or loaded, as a `Decimal` of the column's places."""
        if value is None or value == "":
            return None
        try:
            return from_steps(self._steps(value), self.places)
        except (TypeError, ValueError) as problem:
            raise ValidationError(
                "“%(value)s” is not a number with at most %(places)s decimal places.",
                code="invalid",
                params={"value": value, "places": self.places},
            ) from problem

    def get_prep_value(self, value: Any) -> Any:
        prepared = super().get_prep_value(value)
        if prepared is None or hasattr(prepared, "resolve_expression"):
            return prepared
        return self._steps(prepared)

    def from_db_value(self, value: Any, _expression: Any, _connection: BaseDatabaseWrapper) -> Decimal | None:
        # PostgreSQL answers SUM over bigint with its own decimal type, hence int().
        return None if value is None else from_steps(int(value), self.places)

    def get_placeholder(self, value: Any, _compiler: Any, _connection: BaseDatabaseWrapper) -> str:
        # The one hook that both save() and QuerySet.update() pass with the resolved expression in hand.
        parts = value.flatten() if hasattr(value, "flatten") else ()
        if any(isinstance(part, CombinedExpression) for part in parts):
            raise TypeError(
                f"{self.name} was given {value!r}: database arithmetic on this column would mix scales; lock the row,"
                " read it, compute in Python and save the result"
            )
        return "%s"

    def _steps(self, value: Any) -> int:
        if isinstance(value, str):
            try:
                value = Decimal(value.strip())
            except InvalidOperation:
                raise ValueError(f"“{value}” is not a number") from None
        if isinstance(value, bool) or not isinstance(value, Decimal | int):
            raise TypeError(f"{self.name}: {value!r} is a {type(value).__name__}; give a Decimal, an int or their text")
        if isinstance(value, Decimal) and not value.is_finite():
            raise ValueError(f"{self.name}: {value} is not a finite number")
        return to_steps(value, self.places)


class MoneyField(ThousandthsField[_ST, _GT]):
    """An amount in the workshop's currency, already rounded to its digits."""


class QuantityField(ThousandthsField[_ST, _GT]):
    """A quantity in a material's base unit, at three places."""


class ExactField(ThousandthsField[_ST, _GT]):
    """A figure kept far below the cent: a frozen cost part that is rounded only where it is shown."""

    places = 9
