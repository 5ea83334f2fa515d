"""Photos: original untouched and private, sizes made by the worker. Imports book and below."""
