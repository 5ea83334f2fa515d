"""Giving back at the counter. A page slice: imports everything below the pages."""
