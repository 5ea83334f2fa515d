"""The words by which things are found."""
