"""The job's page at the desk, letters, estimates, money. A page slice: imports everything below the pages."""
