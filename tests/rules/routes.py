"""The role table of addresses. `acts`: any of them opens it; STRANGER: open to all (the view decides what is shown)."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from shop.people.roles import Act
from tests.rules.world import World

STRANGER: tuple[Act, ...] = ()


@dataclass(frozen=True)
class Row:
    """One address: who, how many queries at most (0: not a page), how it is asked, and with what."""

    acts: tuple[Act, ...]
    queries: int = 0
    method: str = "GET"
    kwargs: Callable[[World], dict[str, Any]] = field(default=lambda _world: {})


ROWS: dict[str, Row] = {
    "healthz": Row(STRANGER, 4),
    "people:sign-in": Row(STRANGER),
    "people:sign-out": Row(STRANGER, method="POST"),
    "kiosk:home": Row(STRANGER),
    "kiosk:open": Row(STRANGER, method="POST"),
    "kiosk:lock": Row(STRANGER, method="POST"),
    "kiosk:register": Row((Act.KIOSK,), 6),
}
