"""Link: its token is an HMAC of its id and generation, so the table holds nothing to steal."""

from typing import ClassVar

from django.db import models


class Link(models.Model):
    """A way in for one party to one thing, until it runs out or its generation is raised."""

    kind = models.CharField(max_length=12, choices=[("owner", "owner’s page")])
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="links")
    party = models.ForeignKey("jobs.Party", on_delete=models.PROTECT, related_name="links")
    generation = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField(
        null=True, blank=True, help_text="empty: while the job is open, and 30 days after it is closed"
    )
    closed_at = models.DateTimeField(null=True, blank=True, help_text="shut by the shop before its time")
    opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["kind", "job", "party"], name="link_once_per_party"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} link {self.pk}"
