"""The square code of a tag as rows of dark modules. Pure.

ISO/IEC 18004 through the qrcode library: the smallest version that holds the address at level Q (a quarter of the
symbol may be lost), raised to level H where the same version has room for it.
"""

from dataclasses import dataclass

import qrcode
from qrcode.exceptions import DataOverflowError
from qrcode.util import QRData

QUIET_ZONE = 4  # modules, ISO/IEC 18004
_LEVELS = {"Q": qrcode.ERROR_CORRECT_Q, "H": qrcode.ERROR_CORRECT_H}


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol without its quiet zone: version, level, mask and the modules, True for dark."""

    version: int
    level: str
    mask: int
    modules: tuple[tuple[bool, ...], ...]

    @property
    def runs(self) -> list[list[int]]:
        """Dark runs as [row, first column, length], to be drawn as rectangles."""
        found = []
        for row, line in enumerate(self.modules):
            start = None
            for column, dark in enumerate((*line, False)):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    found.append([row, start, column - start])
                    start = None
        return found


def _made(content: str, level: str, version: int | None) -> Symbol:
    code = qrcode.QRCode(version=version, error_correction=_LEVELS[level], border=QUIET_ZONE)
    code.add_data(QRData(content))
    code.make(fit=version is None)
    modules = tuple(tuple(bool(dark) for dark in row) for row in code.modules)
    mask = code.mask_pattern if code.mask_pattern is not None else code.best_mask_pattern()
    return Symbol(code.version, level, mask, modules)


def symbol(content: str) -> Symbol:
    """The symbol for a text: level Q, or H in the same size."""
    least = _made(content, "Q", None)
    try:
        return _made(content, "H", least.version)
    except (DataOverflowError, ValueError):
        return least
