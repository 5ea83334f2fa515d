"""Days in addresses: 2026-11-25."""

from datetime import date


class DayConverter:
    """An ISO 8601 calendar day; any other text is no such page."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        """Raises ValueError for a day no calendar has, which Django answers with 404."""
        return date.fromisoformat(value)

    def to_url(self, value: date) -> str:
        """As it stands in the address."""
        return value.isoformat()
