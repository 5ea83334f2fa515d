"""Tags: a random code bound to one item, printed as QR and letters. Imports custody, papers, book and below."""
