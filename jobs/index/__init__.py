"""The words by which parties, items, jobs and tags are found. Imports tags and below."""
