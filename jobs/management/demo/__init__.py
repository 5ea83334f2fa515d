"""The sample shop: who is in it, what was brought in, and how its days went, told through the project's own steps."""
