"""Entries are written once: a trigger on either database refuses update and delete."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

SQLITE = """
CREATE TRIGGER entry_no_{verb} BEFORE {VERB} ON jobs_entry
BEGIN SELECT RAISE(ABORT, 'an entry is written once'); END
"""
POSTGRES = """
CREATE OR REPLACE FUNCTION entry_is_written_once() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION 'an entry is written once'; END $$ LANGUAGE plpgsql;
CREATE TRIGGER entry_no_change BEFORE UPDATE OR DELETE ON jobs_entry
FOR EACH ROW EXECUTE FUNCTION entry_is_written_once();
"""


def guard(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Create the triggers of this database."""
    if editor.connection.vendor == "postgresql":
        editor.execute(POSTGRES)
        return
    for verb in ("update", "delete"):
        editor.execute(SQLITE.format(verb=verb, VERB=verb.upper()))


def unguard(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Drop them again."""
    if editor.connection.vendor == "postgresql":
        editor.execute("DROP TRIGGER entry_no_change ON jobs_entry; DROP FUNCTION entry_is_written_once()")
        return
    for verb in ("update", "delete"):
        editor.execute(f"DROP TRIGGER entry_no_{verb}")


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]
    operations = [migrations.RunPython(guard, unguard)]
