"""The Django project, and what belongs to the whole shop: people, profile, money, clock, units."""
