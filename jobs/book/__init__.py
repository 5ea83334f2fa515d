"""The job book: parties, items, visits, jobs and their entries. Imports links, shop.people, shop.profile, pure shop."""
