"""All tests, in folders named after the slice they look at."""
