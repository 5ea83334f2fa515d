"""Pages: staff, prices, settings, the first walk through them, safe copies. Imports moves and below."""
