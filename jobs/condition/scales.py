"""Severity, stability and freshness of a condition line. Our own wording (common practice, no source). Pure."""

SEVERITY = {
    "none": "None",
    "minor": "Minor",
    "moderate": "Moderate",
    "major": "Major",
    "severe": "Severe",
    "unknown": "Not known",
}
STABILITY = {"stable": "Stable", "active": "Active", "unknown": "Not known"}
FRESHNESS = {"old": "Old, filled", "fresh": "Fresh", "unknown": "Not known"}
