"""Secret links without accounts. Imports only shop.people, shop.profile and pure shop."""
