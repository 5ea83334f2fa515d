from typing import Any

from django.db import migrations


def carry_over(apps: Any, _schema: Any) -> None:
    """Each invoice is of its one job, its lines too; it takes the deposits that were paid before it."""
    invoice_job, line, payment = (apps.get_model("jobs", name) for name in ("InvoiceJob", "InvoiceLine", "Payment"))
    newest = {}
    for one in apps.get_model("jobs", "Invoice").objects.order_by("pk"):
        line.objects.filter(invoice=one).update(job=one.job_id)
        payment.objects.filter(kind="deposit", job=one.job_id, invoice=None, at__lte=one.issued_at).update(invoice=one)
        newest[one.job_id] = invoice_job(invoice=one, job_id=one.job_id, live=False)
        newest[one.job_id].save()
    invoice_job.objects.filter(pk__in=[one.pk for one in newest.values()]).update(live=True)
    payment.objects.filter(kind="payment").update(job=None)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0010_money_at_the_counter")]

    operations = [migrations.RunPython(carry_over, migrations.RunPython.noop)]
