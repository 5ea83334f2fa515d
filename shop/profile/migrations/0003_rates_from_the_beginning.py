"""Every tax class had one rate: it becomes the rate from the beginning."""

from datetime import date

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

BEGINNING = date(2000, 1, 1)


def date_them(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """One dated rate for each class."""
    rates = apps.get_model("profile", "TaxRate").objects
    for tax in apps.get_model("profile", "TaxClass").objects.all():
        rates.create(tax_class=tax, since=BEGINNING, rate=tax.rate)


class Migration(migrations.Migration):
    dependencies = [("profile", "0002_closed_days_and_dated_taxes")]
    operations = [migrations.RunPython(date_them, migrations.RunPython.noop)]
