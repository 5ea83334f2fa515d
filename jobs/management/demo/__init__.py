"""The sample shop: its people, its jobs with their history, and its painted photographs."""
