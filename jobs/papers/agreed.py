"""What a note says was agreed by signing it: work at a price from the list, line by line. Pure.

Sums are decimal strings; net + tax = total, else it is refused.
"""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedLine:
    """One line: labour, or what is sold with it. `tax_rate` is per cent."""

    words: str
    net: str
    tax: str
    total: str
    tax_rate: str = "0"

    def __post_init__(self) -> None:
        if Decimal(self.net) + Decimal(self.tax) != Decimal(self.total):
            raise ValueError(f"{self.words}: {self.net} and {self.tax} do not make {self.total}.")
