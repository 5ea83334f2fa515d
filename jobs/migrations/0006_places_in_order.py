"""Places stand in the order they were listed in until now: by room, then by name."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def order(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Number them from one."""
    locations = apps.get_model("jobs", "Location").objects
    for position, pk in enumerate(locations.order_by("room", "name").values_list("pk", flat=True), 1):
        locations.filter(pk=pk).update(position=position)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0005_order_of_places")]
    operations = [migrations.RunPython(order, migrations.RunPython.noop)]
