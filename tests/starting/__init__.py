"""Tests of starting, stopping and health."""
