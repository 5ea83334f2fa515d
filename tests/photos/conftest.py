"""A shop, and a photo store of its own for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.files.storage import storages

from jobs.photos.models import photo_store
from tests import factory
from tests.photos import pictures


@pytest.fixture(autouse=True)
def _shop_with_a_store(db: None) -> Iterator[None]:
    factory.shop(time_zone="Europe/Lisbon")
    _empty()  # other tests may have left photos behind
    yield
    while pictures.OPENED:
        pictures.OPENED.pop().close()
    _empty()


def _empty() -> None:
    for name in kept():
        photo_store().delete(name)


def kept() -> list[str]:
    """Names of all files in the photo store."""
    root = Path(storages["photos"].path(""))
    return sorted(str(path.relative_to(root)) for path in root.rglob("*") if path.is_file())
