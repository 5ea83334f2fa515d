"""Names behind the ids that entries hold. Pure."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

Data = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Names:
    """Names behind the ids that entries hold; parties as the bench may know them: surname or body, never a minor's."""

    people: Mapping[int, str] = field(default_factory=dict)
    places: Mapping[int, str] = field(default_factory=dict)
    items: Mapping[int, str] = field(default_factory=dict)
    jobs: Mapping[int, str] = field(default_factory=dict)
    parties: Mapping[int, str] = field(default_factory=dict)
    corrected: Mapping[int, tuple[str, str]] = field(default_factory=dict)  # what it was, what it became


Say = Callable[[Data, Names], str]
