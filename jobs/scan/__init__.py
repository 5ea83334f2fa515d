"""What opens behind a scanned tag. A page slice: imports everything below the pages."""
