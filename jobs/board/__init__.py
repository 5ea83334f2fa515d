"""The rails: stages as columns, tags moved across them. A page slice: imports everything below the pages."""
