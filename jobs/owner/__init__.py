"""What the owner sees by secret link. A page slice: imports everything below the pages."""
