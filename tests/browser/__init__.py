"""Journeys in a real Chromium."""
