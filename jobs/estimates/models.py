"""Estimate → Option → Line, and the Answer that names version, option, who and how."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.book.models import Job, Party
from jobs.catalogue.models import Operation
from jobs.papers.models import Paper


class Estimate(models.Model):
    """A numbered version. Once sent it is never edited; a new version replaces it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="estimates")
    version = models.PositiveSmallIntegerField()
    state = models.CharField(
        max_length=10,
        default="draft",
        choices=[("draft", "being written"), ("sent", "sent"), ("answered", "answered"), ("replaced", "replaced")],
    )
    words = models.TextField(blank=True, help_text="what we found and propose, for the owner")
    not_included = models.TextField(blank=True)
    because = models.CharField(max_length=240, blank=True, help_text="why the recommended option is recommended")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    paper = models.OneToOneField(Paper, null=True, blank=True, on_delete=models.PROTECT, related_name="estimate")

    class Meta:
        ordering: ClassVar = ["version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["job", "version"], name="estimate_version_once"),
            models.UniqueConstraint(fields=["job"], condition=Q(state="draft"), name="one_draft_estimate_per_job"),
        ]

    def __str__(self) -> str:
        return f"version {self.version}"


class Option(models.Model):
    """One way to do it: A, B, C."""

    estimate = models.ForeignKey(Estimate, on_delete=models.PROTECT, related_name="options")
    letter = models.CharField(max_length=1)
    title = models.CharField(max_length=80)
    summary = models.CharField(max_length=120, blank=True)
    gets = models.TextField(blank=True, help_text="what the owner gets, one thing a line")
    left = models.TextField(blank=True, help_text="what is left as it is, one thing a line")
    recommended = models.BooleanField(default=False)
    ready_from = models.DateField(null=True, blank=True)
    ready_to = models.DateField(null=True, blank=True)
    contingency = models.DecimalField(
        max_digits=14, decimal_places=3, default=0, help_text="up to so much more without asking again"
    )
    deposit = models.DecimalField(
        max_digits=14, decimal_places=3, default=0, help_text="before work begins; set on sending"
    )

    class Meta:
        ordering: ClassVar = ["letter"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["estimate", "letter"], name="option_letter_once"),
            models.UniqueConstraint(fields=["estimate"], condition=Q(recommended=True), name="one_recommended_option"),
            models.CheckConstraint(condition=Q(contingency__gte=0, deposit__gte=0), name="option_sums_not_below_zero"),
        ]

    def __str__(self) -> str:
        return self.letter


class Line(models.Model):
    """One operation or material, with the price and tax of its day."""

    option = models.ForeignKey(Option, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    operation = models.ForeignKey(Operation, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=160)
    hours = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    rate = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    cost = models.DecimalField(
        max_digits=14,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="what a material costs the shop; never shown outside",
    )
    discount = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, help_text="per cent off the labour of the option"
    )
    tax_class = models.CharField(max_length=20, default="labour")
    tax_rate = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    net = models.DecimalField(max_digits=14, decimal_places=3)
    tax = models.DecimalField(max_digits=14, decimal_places=3, default=0)

    class Meta:
        ordering: ClassVar = ["position", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["option"], condition=Q(discount__isnull=False), name="one_discount_per_option"
            ),
        ]

    def __str__(self) -> str:
        return self.words


class Answer(models.Model):
    """What was answered to which version, by whom, and how."""

    estimate = models.OneToOneField(Estimate, on_delete=models.PROTECT, related_name="answer")
    option = models.ForeignKey(Option, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    approved = models.BooleanField()
    how = models.CharField(
        max_length=10,
        choices=[
            ("link", "by link"),
            ("desk", "at the desk"),
            ("phone", "by telephone"),
            ("order", "by purchase order"),
        ],
    )
    name = models.CharField(max_length=160, help_text="as typed by whoever answered")
    words = models.TextField(blank=True, help_text="read back on the telephone, order number, or a remark")
    begin_now = models.BooleanField(
        default=False, help_text="asked that work begins before any time to think it over ends"
    )
    party = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(approved=True, option__isnull=False) | Q(approved=False, option__isnull=True),
                name="approval_names_an_option",
            )
        ]

    def __str__(self) -> str:
        return f"{'agreed' if self.approved else 'declined'} {self.estimate_id}"


class Question(models.Model):
    """What an owner asked about an estimate or a job instead of answering."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="questions")
    party = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="+")
    words = models.TextField()
    at = models.DateTimeField()
    seen_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    seen_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.words[:60]
