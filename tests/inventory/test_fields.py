"""Whole-number columns behind exact decimals, on a table made for the test."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.core import serializers
from django.core.exceptions import FieldError, ValidationError
from django.db import IntegrityError, connection, models, transaction
from django.db.models import Avg, F, Max, Min, Q, Sum, Value
from django.db.models.functions import Coalesce
from django.test.utils import isolate_apps

from inventory.fields import ExactField, MoneyField, QuantityField, ThousandthsField

pytestmark = pytest.mark.django_db


@pytest.fixture
def jar() -> Iterator[Any]:
    """A model that is known to no app, and its table for the length of one test."""
    with isolate_apps("inventory"):

        class Jar(models.Model):  # noqa: DJ008 - never shown
            value = MoneyField(default=0)
            quantity = QuantityField(null=True, blank=True)
            part = ExactField(default=0)

            class Meta:
                app_label = "inventory"
                db_table = "test_fields_jar"
                constraints = [models.CheckConstraint(condition=Q(value__lte=Decimal("100.5")), name="jar_value")]

        # Entering the editor is refused inside a transaction on SQLite; its statement alone is not.
        statement, params = connection.schema_editor().table_sql(Jar)
        with connection.cursor() as cursor:
            cursor.execute(statement, params or None)
        yield Jar


@pytest.mark.parametrize(
    ("field", "given", "stored"),
    [
        ("value", Decimal("12.34"), 12340),
        ("value", Decimal("-0.001"), -1),
        ("value", 7, 7000),
        ("quantity", Decimal("1440.000"), 1440000),
        ("quantity", None, None),
        ("part", Decimal("0.000000001"), 1),
        ("part", Decimal("2.333333333"), 2333333333),
    ],
)
def test_the_column_holds_whole_numbers_and_python_gets_decimals(jar: Any, field: str, given: Any, stored: Any) -> None:
    made = jar.objects.create(**{field: given})
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {field} FROM test_fields_jar")
        assert cursor.fetchone() == (stored,)
    made.refresh_from_db()
    read = getattr(made, field)
    assert read == given
    assert read is None or isinstance(read, Decimal)


def test_read_values_carry_the_places_of_the_column(jar: Any) -> None:
    made = jar.objects.create(value=Decimal("12.3"), quantity=Decimal(2))
    made.refresh_from_db()
    assert (str(made.value), str(made.quantity)) == ("12.300", "2.000")


@pytest.mark.parametrize("finer", [Decimal("0.0001"), Decimal("1.2345"), "2.00001"])
def test_a_value_finer_than_the_column_is_refused_and_not_rounded(jar: Any, finer: Any) -> None:
    with pytest.raises(ValueError, match="more than 3 decimal places"), transaction.atomic():
        jar.objects.create(value=finer)
    assert not jar.objects.exists()


@pytest.mark.parametrize("bad", [1.5, 0.1, True, object()])
def test_a_float_is_refused(jar: Any, bad: Any) -> None:
    with pytest.raises(TypeError, match="give a Decimal"):
        jar.objects.create(value=bad)
    with pytest.raises(TypeError, match="give a Decimal"):
        jar.objects.filter(value=bad).exists()


@pytest.mark.parametrize("bad", ["x", "NaN", "Infinity", "1.2345", "1e999999999", 1.5])
def test_validation_names_the_entry_that_is_no_number(jar: Any, bad: Any) -> None:
    with pytest.raises(ValidationError) as refusal:
        jar(value=bad).full_clean()
    assert list(refusal.value.message_dict) == ["value"]


def test_cleaning_turns_typed_text_into_decimals(jar: Any) -> None:
    typed = jar(value=" 7.5 ", quantity="1440")
    typed.full_clean()
    assert (str(typed.value), str(typed.quantity)) == ("7.500", "1440.000")
    assert MoneyField().to_python("") is None


def test_sums_least_and_most_come_back_exact_and_in_scale(jar: Any) -> None:
    jar.objects.bulk_create([jar(value=Decimal("0.10"), part=Decimal("0.000000001")) for _ in range(10)])
    found = jar.objects.aggregate(Sum("value"), Min("value"), Max("part"), some=Sum("value", filter=Q(id__lt=0)))
    assert found["value__sum"] == Decimal("1.000")
    assert isinstance(found["value__sum"], Decimal)
    assert found["value__min"] == Decimal("0.100")
    assert found["part__max"] == Decimal("0.000000001")
    assert found["some"] is None


def test_a_sum_of_nothing_can_be_nought(jar: Any) -> None:
    nought = Value(Decimal(0), output_field=MoneyField())
    assert jar.objects.aggregate(total=Coalesce(Sum("value"), nought))["total"] == 0


def test_lookups_compare_decimals(jar: Any) -> None:
    for value in ("0.10", "0.20", "12.34"):
        jar.objects.create(value=Decimal(value), quantity=Decimal(value))
    assert jar.objects.filter(value=Decimal("12.34")).count() == 1
    assert jar.objects.filter(value__in=[Decimal("0.1"), "0.2", 5]).count() == 2
    assert jar.objects.filter(value__gt=Decimal("0.1")).count() == 2
    assert jar.objects.filter(value__range=(0, Decimal("0.15"))).count() == 1
    assert jar.objects.filter(value__lte=F("quantity")).count() == 3
    assert jar.objects.filter(quantity__isnull=True).count() == 0
    assert jar.objects.order_by("-value").values_list("value", flat=True).first() == Decimal("12.34")


def test_plain_updates_and_bulk_updates_keep_the_scale(jar: Any) -> None:
    made = jar.objects.create(value=Decimal("1.00"))
    jar.objects.update(value=Decimal("2.50"))
    made.refresh_from_db()
    assert made.value == Decimal("2.500")
    made.value = Decimal("3.75")
    jar.objects.bulk_update([made], ["value"])
    made.refresh_from_db()
    assert made.value == Decimal("3.750")


@pytest.mark.parametrize(
    "arithmetic", [F("value") + 1, F("value") * F("quantity"), -F("value"), Coalesce(F("value") + 1, F("value"))]
)
def test_writing_database_arithmetic_is_refused(jar: Any, arithmetic: Any) -> None:
    made = jar.objects.create(value=Decimal("1.00"), quantity=Decimal(2))
    with pytest.raises(TypeError, match="would mix scales"), transaction.atomic():
        jar.objects.update(value=arithmetic)
    made.value = arithmetic
    with pytest.raises(TypeError, match="would mix scales"), transaction.atomic():
        made.save()
    made.refresh_from_db()
    assert made.value == Decimal("1.000")


@pytest.mark.parametrize("arithmetic", [F("value") + 1, F("value") * F("quantity"), F("value") + F("value")])
def test_selecting_or_summing_database_arithmetic_is_refused(jar: Any, arithmetic: Any) -> None:
    with pytest.raises(FieldError, match="Cannot infer type"):
        list(jar.objects.annotate(x=arithmetic).values_list("x"))
    with pytest.raises(FieldError, match="Cannot infer type"):
        jar.objects.aggregate(x=Sum(arithmetic))


def test_an_average_cuts_off_below_the_scale_and_so_is_not_to_be_used(jar: Any) -> None:
    """Holds the docstring's warning to what the database does."""
    for value in ("0.001", "0.002"):
        jar.objects.create(value=Decimal(value))
    assert jar.objects.aggregate(x=Avg("value"))["x"] == Decimal("0.001")


def test_constraints_are_written_in_the_columns_scale(jar: Any) -> None:
    jar.objects.create(value=Decimal("100.5"))
    with pytest.raises(IntegrityError), transaction.atomic():
        jar.objects.create(value=Decimal("100.501"))
    with pytest.raises(ValidationError, match="jar_value"):
        jar(value=Decimal("100.501")).full_clean()
    jar(value=Decimal("100.5")).full_clean()


def test_dumped_values_load_unchanged(jar: Any) -> None:
    made = jar.objects.create(value=Decimal("12.34"), quantity=None, part=Decimal("0.123456789"))
    assert all("12.34" in serializers.serialize(kind, [made]) for kind in ("json", "xml"))
    (dumped,) = serializers.serialize("python", [made])
    fields = {field.attname: field for field in jar._meta.fields}
    read = [fields[name].to_python(dumped["fields"][name]) for name in ("value", "quantity", "part")]
    assert read == [Decimal("12.340"), None, Decimal("0.123456789")]


@pytest.mark.parametrize("kind", [MoneyField, QuantityField, ExactField, ThousandthsField])
def test_migrations_can_rebuild_the_field(kind: type[Any]) -> None:
    field = kind(null=True, blank=True, default=Decimal("1.5"))
    _, path, args, kwargs = field.deconstruct()
    assert path == f"inventory.fields.{kind.__name__}"
    assert args == []
    assert kind(**kwargs).deconstruct() == field.deconstruct()
