"""One moment of the database, read while everybody goes on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DEFAULT_DB_ALIAS, connections, transaction
from psycopg import IsolationLevel

ALIAS = "snapshot"


@contextmanager
def one_moment() -> Iterator[str]:
    """A connection of its own that sees the database as it is now until the block ends; its alias.

    SQLite: a read transaction over the write-ahead log, which holds up no writer. PostgreSQL: REPEATABLE READ, read only.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    said = {**connection.settings_dict, "CONN_MAX_AGE": 0}
    sqlite = connection.vendor == "sqlite"
    own = {"transaction_mode": "DEFERRED"} if sqlite else {"isolation_level": IsolationLevel.REPEATABLE_READ}
    said["OPTIONS"] = {**said["OPTIONS"], **own}
    connections[ALIAS] = type(connection)(said, ALIAS)
    try:
        with transaction.atomic(using=ALIAS), connections[ALIAS].cursor() as cursor:
            if sqlite:
                cursor.execute("PRAGMA query_only = ON")
            else:
                cursor.execute("SET TRANSACTION READ ONLY")
            cursor.execute("SELECT count(*) FROM django_migrations")  # the moment begins with the first look
            yield ALIAS
    finally:
        connections[ALIAS].close()
        del connections[ALIAS]
