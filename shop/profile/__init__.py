"""The shop itself: name, address, currency, zone, hours, taxes, terms, heartbeat. Imports only pure shop modules."""
