"""The one gate for changing stage: gathers facts, moves, undoes, follows entries. Imports updates and below."""
