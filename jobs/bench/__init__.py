"""Time at the bench, notes, and the second check. Imports estimates and below."""
