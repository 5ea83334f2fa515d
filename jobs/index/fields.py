"""A column compared by code points, so that a beginning is one stretch of its B-tree on every database."""

from typing import TYPE_CHECKING, Any

from django.db import models

if TYPE_CHECKING:
    CharField = models.CharField[str, str]
else:
    CharField = models.CharField  # takes no type at run time


class Codepoints(CharField):
    """Text in the order of its code points: “begins with x” is x ≤ word < x + U+10FFFF, and a plain index serves it.

    SQLite compares so by itself (BINARY). PostgreSQL does with the collation "C", which for UTF-8 is the same order
    (RFC 3629, section 1); with the language's own collation a beginning would need LIKE and an index of its own.
    """

    def db_parameters(self, connection: Any) -> dict[str, Any]:
        """The column's type; on PostgreSQL with its collation."""
        return {**super().db_parameters(connection), "collation": "C" if connection.vendor == "postgresql" else None}
