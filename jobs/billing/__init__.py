"""Invoices and payments. Imports bench, estimates and below."""
