"""Exact unit conversions. Lengths are kept in millimetres as Decimal. Pure.

Definitions: NIST SP 811 (from memory; exact by definition).
"""

from decimal import Decimal

MM_PER_INCH = Decimal("25.4")


def inches(mm: Decimal) -> Decimal:
    """Millimetres to inches."""
    return mm / MM_PER_INCH


def millimetres(inch: Decimal) -> Decimal:
    """Inches to millimetres, exactly."""
    return inch * MM_PER_INCH


def mm_words(mm: Decimal) -> str:
    """“33 mm”, “2.5 mm”: no trailing zeros."""
    text = format(mm.normalize(), "f")
    return f"{text} mm"
