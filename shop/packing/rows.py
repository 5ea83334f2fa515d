"""Tables as lines and back: the same bytes from SQLite and from PostgreSQL."""

import base64
import hashlib
import json
from collections.abc import Iterable, Iterator
from datetime import timedelta
from typing import Any, cast

from django.apps import apps
from django.apps.registry import Apps
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.models.functions import Collate

from shop.packing import names
from shop.packing.canonical import line, plain
from shop.packing.manifest import Entry

# sign in anew; a worker's sign of life is its own; copies are about one computer's folder
LEFT_OUT = frozenset({"sessions.session", "profile.heartbeat", "packing.safecopy", "packing.restored"})
BATCH = 500
BATCH_BYTES = 8 * 1024 * 1024

Model = type[models.Model]


def tables(registry: Apps = apps) -> list[Model]:
    """Every model that has a table of its own and is packed, by the name of its table."""
    found = [
        model
        for model in registry.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy and model._meta.label_lower not in LEFT_OUT
    ]
    return sorted(found, key=lambda model: model._meta.db_table)


def columns(model: Model) -> list["models.Field[Any, Any]"]:
    """The fields that are columns of the model's own table and no computed ones."""
    return [field for field in model._meta.local_concrete_fields if not getattr(field, "generated", False)]


def rows(model: Model, using: str = DEFAULT_DB_ALIAS) -> Iterator[dict[str, Any]]:
    """Every row by column, in the order of its key, some hundred at a time. Text keys go by their letters' numbers."""
    fields = columns(model)
    attributes = [field.attname for field in fields]
    key: Any = models.F("pk")
    if isinstance(model._meta.pk, models.CharField | models.TextField) and connections[using].vendor == "postgresql":
        key = Collate("pk", "C")
    asked = model._base_manager.using(using).order_by(key).values_list(*attributes)
    for values in asked.iterator(chunk_size=BATCH):
        yield dict(zip(attributes, map(plain, values), strict=True))


def lines(model: Model, using: str = DEFAULT_DB_ALIAS) -> Iterator[bytes]:
    """The rows as lines."""
    return map(line, rows(model, using))


def hashed(model: Model, using: str = DEFAULT_DB_ALIAS) -> Entry:
    """What the manifest would say of a table as it is now. One query, every row."""
    sha, size, count = hashlib.sha256(), 0, 0
    for each in lines(model, using):
        sha.update(each)
        size, count = size + len(each), count + 1
    return Entry(names.table(model._meta.db_table), size, sha.hexdigest(), count)


def value(field: "models.Field[Any, Any]", said: Any) -> Any:
    """A column's value from what a line says. Raises ValidationError or ValueError for what the column cannot hold."""
    if isinstance(field, models.JSONField):
        return models.Value(None, models.JSONField()) if said is None and not field.null else said
    if said is None:
        return None
    if isinstance(field, models.BinaryField):
        return base64.b64decode(said, validate=True)
    if isinstance(field, models.DurationField):
        return timedelta(microseconds=said)
    if isinstance(field, models.FileField):
        return said
    if isinstance(field, models.ForeignKey):
        return value(field.target_field, said)
    return field.to_python(said)


def load(model: Model, source: Iterable[bytes]) -> None:
    """Insert lines as they are: nothing is computed, stamped or announced. In batches of a few hundred rows.

    `model` is one of a migration's state, so that its fields may be told not to stamp times.
    """
    fields = columns(model)
    for field in fields:
        if isinstance(field, models.DateField | models.TimeField):
            field.auto_now = field.auto_now_add = False
    by_name = {field.attname: field for field in fields}
    for batch in _batches(source):
        made = []
        for each in batch:
            said = json.loads(each)
            if said.keys() != by_name.keys():
                raise ValueError(f"A row of {model._meta.db_table} has other columns than its table.")
            made.append(model(**{name: value(by_name[name], said[name]) for name in by_name}))
        model._base_manager.bulk_create(made)


def _batches(source: Iterable[bytes]) -> Iterator[list[bytes]]:
    going, batch, size = iter(source), [], 0  # type: tuple[Iterator[bytes], list[bytes], int]
    for each in going:
        batch.append(each)
        size += len(each)
        if len(batch) >= BATCH or size >= BATCH_BYTES:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch


def clear(found: Iterable[Model]) -> None:
    """Take away what migrations put into new tables."""
    for model in found:
        if model._base_manager.exists():
            cast(Any, model._base_manager.all())._raw_delete(DEFAULT_DB_ALIAS)


def reset_numbers(found: list[Model]) -> None:
    """Let PostgreSQL give out numbers after the highest; SQLite does by itself."""
    connection = connections[DEFAULT_DB_ALIAS]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), found):
            cursor.execute(statement)
