"""Papers: frozen text, sealed PDFs, signatures. Imports photos, book and below."""
