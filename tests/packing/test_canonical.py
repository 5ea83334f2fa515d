"""One spelling for every value, and it can be read back."""

import json
import math
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
import rfc8785
from django.db import models
from hypothesis import example, given
from hypothesis import strategies as st

from shop.packing.canonical import SAFE, dumps, line, plain
from shop.packing.rows import value

texts = st.text(st.characters(exclude_categories=["Cs"]))
json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=12,
)
moments = st.datetimes(
    timezones=st.sampled_from([UTC, timezone(timedelta(hours=5, minutes=30)), timezone(-timedelta(hours=8))]),
    min_value=datetime(1900, 1, 1),  # noqa: DTZ001 - hypothesis adds the zone
    max_value=datetime(9000, 1, 1),  # noqa: DTZ001
)
# field → what its column may hold
FIELDS: list[tuple[Any, st.SearchStrategy[Any]]] = [
    (models.TextField(), texts),
    (models.BooleanField(), st.booleans()),
    (models.BigIntegerField(), st.integers(-(2**63), 2**63 - 1)),
    (models.DecimalField(max_digits=14, decimal_places=3), st.decimals(-(10**10), 10**10, places=3)),
    (models.FloatField(), st.floats()),
    (models.DateTimeField(), moments),
    (models.DateField(), st.dates()),
    (models.TimeField(), st.times()),
    (models.DurationField(), st.timedeltas()),
    (models.UUIDField(), st.uuids()),
    (models.BinaryField(), st.binary()),
    (models.JSONField(null=True), json_values),
]


def same(one: Any, other: Any) -> bool:
    """Equal, where JSON's whole and broken numbers are one kind: 7.2e16 comes back as 72000000000000000."""
    if isinstance(one, dict):
        return isinstance(other, dict) and one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return isinstance(other, list) and len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return float(one) == float(other) or (math.isnan(one) and math.isnan(other))
    return bool(one == other)


def numbers(one: Any) -> list[int]:
    inner = one.values() if isinstance(one, dict) else one if isinstance(one, list) else []
    return [one] if isinstance(one, int) else [each for part in inner for each in numbers(part)]


@pytest.mark.parametrize(("field", "held"), FIELDS, ids=lambda each: type(each).__name__)
def test_whatever_a_column_holds_comes_back_from_its_line(field: Any, held: st.SearchStrategy[Any]) -> None:
    @given(held)
    def there_and_back(before: Any) -> None:
        said = line({"it": plain(before)})
        assert said.endswith(b"\n")
        assert said.count(b"\n") == 1
        after = value(field, json.loads(said)["it"])
        assert same(bytes(after) if isinstance(before, bytes) else after, before)
        assert line({"it": plain(after)}) == said

    there_and_back()


@given(json_values)
@example({"\ufb33": 1, "\U0001f600": 2})  # sorted by UTF-16 these two change places
@example([10**22, -(10**30), 2**53, 1e22])
def test_json_is_spelled_as_rfc_8785_says_wherever_it_says_anything(one: Any) -> None:
    """Against an independent library; beyond 2^53 the standard has nothing to say of whole numbers and ours keeps their digits."""
    ours = dumps(one)
    assert same(json.loads(ours), one)
    try:
        assert ours == rfc8785.dumps(one)
    except rfc8785.IntegerDomainError:
        assert any(abs(each) > SAFE for each in numbers(one))


def test_the_sample_of_rfc_8785() -> None:
    """Section 3.2.2 and 3.2.3 of RFC 8785."""
    sample = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    assert dumps(sample).decode() == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


@pytest.mark.parametrize(
    ("held", "said"),
    [
        (Decimal("120.500"), "120.500"),
        (Decimal("-0.00"), "0.00"),  # PostgreSQL has no negative zero
        (Decimal("1E+3"), "1000"),
        (datetime(2026, 11, 25, 10, 12, tzinfo=timezone(timedelta(hours=1))), "2026-11-25T09:12:00.000000Z"),
        (date(2026, 2, 1), "2026-02-01"),
        (time(10, 12), "10:12:00.000000"),
        (timedelta(days=1, microseconds=1), 86_400_000_001),
        (UUID("0f8fad5b-d9cb-469f-a165-70867728950e"), "0f8fad5b-d9cb-469f-a165-70867728950e"),
        (b"\x00\xff", "AP8="),
        (float("inf"), "Infinity"),
    ],
)
def test_what_json_has_no_type_for_is_text(held: object, said: object) -> None:
    assert plain(held) == said


def test_one_number_has_one_spelling_although_the_databases_write_it_differently() -> None:
    """SQLite keeps JSON as it was typed; PostgreSQL's jsonb keeps numbers as decimals (its manual, section 8.14)."""
    as_sqlite_gives_it, as_postgres_gives_it = 1e22, 10**22
    assert dumps(as_sqlite_gives_it) == dumps(as_postgres_gives_it)
    assert dumps(100000.0) == dumps(100000)


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        plain(datetime(2026, 11, 25))  # noqa: DTZ001


def test_what_no_column_holds_is_refused() -> None:
    with pytest.raises(TypeError, match="object"):
        plain(object())
