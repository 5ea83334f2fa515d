"""People of the shop: who may sign in, their roles, kiosk devices. Imports shop.profile's nothing; see roles.py."""
