"""The shop's stores of photos and papers, wherever they are, and which files the rows speak of."""

from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.core.files.storage import Storage, storages
from django.db import models

from shop.packing.rows import columns, tables

NOT_A_STORE = "staticfiles"


def stores() -> dict[str, Storage]:
    """Every store by its name in the settings."""
    return {name: storages[name] for name in sorted(settings.STORAGES) if name != NOT_A_STORE}


def store_of(field: "models.FileField") -> str:
    """The name of the store a column's files are kept in. Raises LookupError for one that is no store of the settings."""
    for name, store in stores().items():
        if field.storage is store or field.storage == store:
            return name
    raise LookupError(
        f"The files of {field.model._meta.db_table}.{field.attname} are kept in no store of the settings."
    )


def named(using: str) -> Iterator[tuple[str, str]]:
    """(store, name) of every file the rows speak of. One query for each column that names files."""
    for model in tables():
        for field in columns(model):
            if isinstance(field, models.FileField):
                store, found = store_of(field), _names(model, field.attname, using)
                yield from ((store, name) for name in found)


def _names(model: type[models.Model], attribute: str, using: str) -> Iterator[Any]:
    asked = model._base_manager.using(using).exclude(**{attribute: ""}).exclude(**{attribute: None})
    return asked.order_by("pk").values_list(attribute, flat=True).iterator()


def is_empty(store: Storage) -> bool:
    """Whether nothing lies in a store yet."""
    try:
        folders, files = store.listdir("")
    except FileNotFoundError:
        return True
    return not any(not is_empty_folder(store, folder) for folder in folders) and not files


def is_empty_folder(store: Storage, folder: str) -> bool:
    """Whether nothing lies in a folder of a store, however deep."""
    folders, files = store.listdir(folder)
    return not files and all(is_empty_folder(store, f"{folder}/{inner}") for inner in folders)
