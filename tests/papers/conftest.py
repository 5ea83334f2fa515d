"""A shop key made once for all tests of papers, and small sealed papers."""

from pathlib import Path

import pytest

from jobs.papers.seal import ShopKey, ensure_key, seal
from jobs.papers.typeset import typeset
from tests.papers import samples


@pytest.fixture(scope="session")
def key(tmp_path_factory: pytest.TempPathFactory) -> ShopKey:
    """The demo shop's key."""
    return ensure_key(tmp_path_factory.mktemp("home"), samples.SHOP.name, samples.AT)


@pytest.fixture(scope="session")
def sealed(key: ShopKey) -> bytes:
    """A small sealed note."""
    held = samples.freeze(samples.note(), samples.signed())
    return seal(typeset("note", held.data, {}), key, reason="Condition note 26-0012", at=samples.AT)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """An empty home of a shop."""
    made = tmp_path / "home"
    made.mkdir()
    return made
