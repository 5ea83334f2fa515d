"""Pages: the day, one for each role. Imports moves and below."""
