"""Estimate → Option → Line, and the Answer that names version, option, who and how."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.book.models import Job, Party
from jobs.catalogue.models import Operation
from jobs.papers.models import Paper

HOWS = {
    "link": "by link",
    "desk": "at the counter",
    "phone": "by telephone",
    "order": "by purchase order",
    "slip": "by the signed slip",
}


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
    fee = models.DecimalField(
        max_digits=14,
        decimal_places=3,
        default=0,
        help_text="for examining, net; taken only if the work does not go ahead",
    )
    fee_tax_rate = models.DecimalField(max_digits=6, decimal_places=3, default=0)

    class Meta:
        ordering: ClassVar = ["version"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(fee__gte=0), name="estimate_fee_not_below_zero"),
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


class Said(models.Model):
    """What was answered, by whom, and how: the same in an answer that stands and in one that was taken back."""

    option = models.ForeignKey(Option, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    approved = models.BooleanField()
    how = models.CharField(max_length=10, choices=list(HOWS.items()))
    name = models.CharField(max_length=160, help_text="of whoever answered: typed, signed or spoken")
    words = models.TextField(blank=True, help_text="read back on the telephone, or a remark")
    note = models.TextField(blank=True, help_text="what staff wrote beside it; stays inside")
    order_number = models.CharField(max_length=40, blank=True)
    order_ceiling = models.DecimalField(
        max_digits=14, decimal_places=3, null=True, blank=True, help_text="the most a purchase order allows"
    )
    ceiling = models.DecimalField(
        max_digits=14,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="agreed: the most, with tax, without asking again",
    )
    begin_now = models.BooleanField(
        default=False, help_text="asked that work begins before any time to think it over ends"
    )
    party = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    paper = models.ForeignKey(Paper, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        abstract = True


class Answer(Said):
    """What was answered to which version, by whom, and how."""

    estimate = models.OneToOneField(Estimate, on_delete=models.PROTECT, related_name="answer")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(approved=True, option__isnull=False) | Q(approved=False, option__isnull=True),
                name="approval_names_an_option",
            )
        ]

    def __str__(self) -> str:
        return f"{'agreed' if self.approved else 'declined'} {self.estimate_id}"


class WithdrawnAnswer(Said):
    """An answer that was written down wrongly, kept as it was, and why it was taken back."""

    estimate = models.ForeignKey(Estimate, on_delete=models.PROTECT, related_name="withdrawn")
    was = models.PositiveBigIntegerField(unique=True, help_text="its id while it stood, as entries name it")
    reason = models.CharField(max_length=200)
    withdrawn_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["withdrawn_at", "id"]

    def __str__(self) -> str:
        return f"taken back: {'agreed' if self.approved else 'declined'} {self.estimate_id}"


class Refusal(models.Model):
    """What follows from “none of these”: put together again or not, and what is paid for the examination."""

    estimate = models.OneToOneField(Estimate, on_delete=models.PROTECT, related_name="refusal")
    reassemble = models.BooleanField(help_text="it was opened, so it is put together again first")
    fee = models.DecimalField(max_digits=14, decimal_places=3, default=0, help_text="net, as charged")
    fee_tax_rate = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    waived = models.CharField(max_length=200, blank=True, help_text="why a fee that was named is not taken")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(fee__gte=0), name="refusal_fee_not_below_zero"),
            models.CheckConstraint(condition=Q(fee=0) | Q(waived=""), name="a_fee_is_taken_or_waived"),
        ]

    def __str__(self) -> str:
        return f"refusal of {self.estimate_id}"


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
