"""OwnWords: a shop’s own text of a letter, by version. Message: rendered before storing, stable Message-ID, claimed by a conditional update."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.book.models import Entry, Job, Party
from jobs.links.models import Link
from jobs.papers.models import Paper

STATES = {
    "due": "to be sent",
    "sending": "being sent",
    "sent": "sent",
    "failed": "not sent",
    "perhaps": "perhaps sent",
    "byhand": "to tell by hand",
    "told": "told by hand",
    "dropped": "not to be sent",
}


class Message(models.Model):
    """One letter to one party about one entry. `body` holds a placeholder where the secret link goes."""

    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="messages")
    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="messages")
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="messages")
    kind = models.CharField(max_length=24)
    channel = models.CharField(max_length=8, choices=[("email", "e-mail"), ("hand", "letter or telephone")])
    address = models.CharField(max_length=254, blank=True)
    subject = models.CharField(max_length=160)
    body = models.TextField()
    link = models.ForeignKey(Link, null=True, on_delete=models.PROTECT, related_name="+")
    paper = models.ForeignKey(Paper, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    message_id = models.CharField(max_length=120, unique=True)
    state = models.CharField(max_length=8, choices=list(STATES.items()), default="due")
    made_at = models.DateTimeField()
    due_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)
    failure = models.CharField(max_length=300, blank=True)
    told_how = models.CharField(
        max_length=10, blank=True, choices=[("telephone", "by telephone"), ("post", "by post"), ("person", "in person")]
    )
    again_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="sent_again")
    seen_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["due_at"], condition=Q(state="due"), name="message_due"),
            models.Index(fields=["claimed_at"], condition=Q(state="sending"), name="message_sending"),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["entry", "party", "kind"], condition=Q(entry__isnull=False), name="message_once_per_entry"
            ),
        ]

    def __str__(self) -> str:
        return self.subject


class OwnWords(models.Model):
    """One version of a shop's own words for a kind of letter. Never edited; empty means back to ours."""

    kind = models.CharField(max_length=24)
    version = models.PositiveIntegerField()
    subject = models.CharField(max_length=160, blank=True)
    body = models.TextField(blank=True)
    since = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "own words"
        ordering: ClassVar = ["kind", "version"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["kind", "version"], name="own_words_version_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.version}"
