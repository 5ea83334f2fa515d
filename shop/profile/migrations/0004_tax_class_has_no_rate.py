"""A tax class has dated rates, and no other."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("profile", "0003_rates_from_the_beginning")]
    operations = [migrations.RemoveField(model_name="taxclass", name="rate")]
