"""Pages of the register."""
