"""Pages: money at the counter, the day’s takings, the drawer. Imports moves and below."""
