"""Condition lines of the signed note, and findings added later beside it. Imports tags, photos, book and below."""
