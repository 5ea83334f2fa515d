"""Paper, Signature and the head of the chain that ties each paper to the one before it."""

from typing import ClassVar

from django.conf import settings
from django.core.files.storage import Storage, storages
from django.db import models
from django.db.models import Q

from jobs.book.models import Job, Party, Visit
from jobs.photos.models import Photo

KINDS = {
    "note": "condition note",
    "estimate": "estimate",
    "agreement": "agreement",
    "invoice": "invoice",
    "credit": "credit note",
    "receipt": "receipt",
    "takings": "takings",
    "release": "release",
}


def paper_store() -> Storage:
    """Where sealed PDFs are kept."""
    return storages["papers"]


class Paper(models.Model):
    """A frozen text. `text` is canonical JSON; the PDF is made from it afterwards and sealed."""

    kind = models.CharField(max_length=10, choices=list(KINDS.items()))
    number = models.CharField(max_length=30)
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    visit = models.ForeignKey(Visit, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    also = models.ManyToManyField(
        Job,
        blank=True,
        related_name="shared_papers",
        help_text="every job of a paper over several; `job` is empty then",
    )
    text = models.TextField()
    text_sha256 = models.CharField(max_length=64)
    previous_sha256 = models.CharField(max_length=64, blank=True)
    position = models.PositiveBigIntegerField(unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(
        max_length=8,
        default="due",
        choices=[("due", "to be printed"), ("making", "being printed"), ("made", "sealed"), ("failed", "failed")],
    )
    claimed_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    failure = models.CharField(max_length=200, blank=True)
    pdf = models.FileField(storage=paper_store, max_length=200, blank=True)
    pdf_sha256 = models.CharField(max_length=64, blank=True, db_index=True)
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["kind", "number"], name="paper_number_once")]
        indexes: ClassVar = [
            models.Index(fields=["state", "id"], condition=Q(state__in=["due", "making"]), name="paper_to_print"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"


class PaperPhoto(models.Model):
    """A photo named in a paper, by the hash of its original."""

    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="photos")
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="papers")
    sha256 = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"photo {self.photo_id} in paper {self.paper_id}"


class Signature(models.Model):
    """Strokes drawn by finger, or a typed name with a witness, on a paper's text."""

    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="signatures")
    role = models.CharField(
        max_length=10,
        choices=[
            ("depositor", "brings it in"),
            ("receiver", "takes it in"),
            ("collector", "collects"),
            ("approver", "agrees"),
        ],
    )
    name = models.CharField(max_length=160)
    party = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    strokes = models.JSONField(default=list, help_text="[[[x, y, ms], …], …] on a pad 1000 wide, 400 high")
    how = models.CharField(
        max_length=8,
        default="drawn",
        choices=[("drawn", "drawn"), ("typed", "name typed"), ("on paper", "on paper"), ("refused", "would not sign")],
    )
    reason = models.CharField(max_length=200, blank=True)
    witness = models.CharField(max_length=160, blank=True)
    at = models.DateTimeField()
    device_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.role} on paper {self.paper_id}"


class ChainHead(models.Model):
    """The newest paper's position and hash; locked while the next is frozen. One row, id 1."""

    position = models.PositiveBigIntegerField(default=0)
    sha256 = models.CharField(max_length=64, blank=True)

    def __str__(self) -> str:
        return str(self.position)
