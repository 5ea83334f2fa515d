"""Taking in at the desk or kiosk, from who to place. A page slice: imports everything below the pages."""
