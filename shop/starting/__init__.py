"""Starting and stopping the whole shop, its health, and the sample shop's mail sink. Imports only people and profile."""
