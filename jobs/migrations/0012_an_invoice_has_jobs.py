import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0011_invoices_over_several_jobs")]

    operations = [
        migrations.AlterField(
            model_name="invoiceline",
            name="job",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.job"),
        ),
        migrations.RemoveField(
            model_name="invoice",
            name="job",
        ),
        migrations.AddConstraint(
            model_name="payment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        models.Q(("reversal_of__isnull", False), _negated=True),
                        models.Q(
                            models.Q(("kind__in", ("deposit", "payment")), ("amount__gt", 0)),
                            models.Q(("amount__lt", 0), ("kind", "refund")),
                            _connector="OR",
                        ),
                    ),
                    models.Q(
                        ("reversal_of__isnull", False),
                        models.Q(
                            models.Q(("kind__in", ("deposit", "payment")), ("amount__lt", 0)),
                            models.Q(("amount__gt", 0), ("kind", "refund")),
                            _connector="OR",
                        ),
                    ),
                    _connector="OR",
                ),
                name="payment_has_its_sign",
            ),
        ),
        migrations.AddConstraint(
            model_name="payment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("job__isnull", False), ("kind", "deposit")),
                    models.Q(("invoice__isnull", False), ("job__isnull", True), ("kind", "payment")),
                    models.Q(
                        ("kind", "refund"),
                        models.Q(("job__isnull", False), ("invoice__isnull", False), _connector="OR"),
                    ),
                    _connector="OR",
                ),
                name="payment_is_of_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="payment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("kind__in", ("deposit", "payment")), models.Q(("reversal_of__isnull", False), _negated=True)
                    ),
                    models.Q(("reason", ""), _negated=True),
                    _connector="OR",
                ),
                name="payment_back_has_reason",
            ),
        ),
        migrations.AddField(
            model_name="invoice",
            name="jobs",
            field=models.ManyToManyField(related_name="invoices", through="jobs.InvoiceJob", to="jobs.job"),
        ),
    ]
