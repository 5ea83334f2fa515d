"""Estimates: numbered versions with options and lines, and the owner's answer. Imports catalogue, condition and below."""
