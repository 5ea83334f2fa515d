"""The job book: parties, items, visits, jobs, what is laid over them, and the entries of what happened."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.book.kinds import CORRECTED, ITEM_KINDS, JOB_KINDS, PARTY_ROLES
from jobs.book.phones import shown
from jobs.book.stages import CLOSINGS, HOLDS, Stage


class Party(models.Model):
    """A person or an organisation."""

    name = models.CharField(max_length=160)
    body = models.BooleanField("an organisation", default=False)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=20, blank=True, help_text="E.164")
    address = models.TextField(blank=True)
    minor = models.BooleanField("under age: name never shown outside", default=False)
    tax_exempt_until = models.DateField(null=True, blank=True)
    tax_exempt_paper = models.CharField(max_length=60, blank=True)
    remarks = models.TextField(blank=True)
    made_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "parties"
        indexes: ClassVar = [models.Index(fields=["name"]), models.Index(fields=["phone"])]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["email"], condition=~Q(email=""), name="party_email_once"),
            models.UniqueConstraint(fields=["phone"], condition=~Q(phone=""), name="party_phone_once"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def phone_shown(self) -> str:
        """The telephone number as people read it."""
        return shown(self.phone)

    @property
    def tag_name(self) -> str:
        """What may stand on a tag: surname or body; nothing for a minor."""
        if self.minor:
            return ""
        return self.name if self.body else self.name.split()[-1]


class Item(models.Model):
    """An instrument, bow, case, loaner, or bag of parts. Size is text; a label is evidence, never a maker."""

    kind = models.CharField(max_length=8, choices=list(ITEM_KINDS.items()))
    size = models.CharField(max_length=24, blank=True)
    title = models.CharField(max_length=80, help_text="“Violin 4/4”")
    labelled = models.CharField(max_length=160, blank=True)
    marks = models.CharField(max_length=160, blank=True, help_text="colour, asset number, nickname")
    asset = models.CharField(max_length=40, blank=True)
    owner = models.ForeignKey(Party, null=True, blank=True, on_delete=models.PROTECT, related_name="items")
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.title


class Visit(models.Model):
    """One coming to the desk: one note and one signature for one or many jobs."""

    depositor = models.ForeignKey(Party, null=True, on_delete=models.PROTECT, related_name="visits")
    received_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    terms_version = models.PositiveIntegerField(null=True)
    photo_use = models.BooleanField(default=False, help_text="the shop may show the photos to others")
    unsigned_reason = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"visit {self.pk}"


class Job(models.Model):
    """One piece of work on one item."""

    number = models.CharField(max_length=12, unique=True)
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="jobs")
    visit = models.ForeignKey(Visit, null=True, blank=True, on_delete=models.PROTECT, related_name="jobs")
    kind = models.CharField(max_length=12, choices=list(JOB_KINDS.items()), default="repair")
    stage = models.CharField(max_length=6, choices=[(s.value, s.value) for s in Stage], default=Stage.EXP)
    closed_as = models.CharField(max_length=12, blank=True, choices=list(CLOSINGS.items()))
    revision = models.PositiveIntegerField(default=1)
    assigned = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="jobs"
    )
    work = models.CharField(max_length=160, blank=True, help_text="what is to be done, in a few words")
    said = models.TextField(blank=True, help_text="what the owner says, in their own words")
    tension = models.CharField(max_length=30, blank=True)
    not_examined = models.CharField(max_length=200, blank=True)
    missing_views = models.JSONField(default=dict, blank=True, help_text="{view code: reason}")
    value_stated = models.DecimalField(max_digits=14, decimal_places=3, null=True, blank=True)
    value_basis = models.CharField(max_length=40, blank=True, help_text="empty means the owner was not asked yet")
    promised = models.DateField(null=True, blank=True)
    sureness = models.CharField(
        max_length=8, blank=True, choices=[("firm", "firm"), ("likely", "likely"), ("shaky", "shaky")]
    )
    agreed_words = models.CharField(max_length=200, blank=True, help_text="price-list work agreed at the desk")
    agreed_net = models.DecimalField(max_digits=14, decimal_places=3, null=True, blank=True)
    linked_to = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="followed_by")
    opened_at = models.DateTimeField()
    stage_since = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["stage", "promised"], condition=Q(closed_at__isnull=True), name="job_open_by_stage"),
        ]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(stage__in=[s.value for s in Stage]), name="job_stage_known"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, closed_as="") | Q(closed_at__isnull=False) & ~Q(closed_as=""),
                name="job_closed_says_how",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def short(self) -> str:
        """“0417”: the number without its year, as said in the shop."""
        return self.number.partition("-")[2] or self.number


class JobParty(models.Model):
    """Which role a party has on a job. One party may hold several."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="roles")
    party = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="roles")
    role = models.CharField(max_length=10, choices=list(PARTY_ROLES.items()))
    ceiling = models.DecimalField(
        max_digits=14, decimal_places=3, null=True, blank=True, help_text="the most an approver may agree to, with tax"
    )

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["job", "party", "role"], name="job_party_role_once"),
        ]
        verbose_name_plural = "job parties"

    def __str__(self) -> str:
        return f"{self.party_id} {self.role} on {self.job_id}"


class Accessory(models.Model):
    """Something that came with an item: left here, or taken home again."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="accessories")
    words = models.CharField(max_length=80)
    left = models.BooleanField(default=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["position", "id"]
        verbose_name_plural = "accessories"

    def __str__(self) -> str:
        return self.words


class Hold(models.Model):
    """Tape laid over a stage: what the job waits for."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="holds")
    kind = models.CharField(max_length=12, choices=list(HOLDS.items()))
    words = models.CharField(max_length=80, blank=True)
    laid_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    laid_at = models.DateTimeField()
    lifted_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    lifted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["job"], condition=Q(lifted_at__isnull=True), name="hold_open")]

    def __str__(self) -> str:
        return f"{self.kind} {self.words}".strip()


class Entry(models.Model):
    """What happened. Written once: a database trigger refuses update and delete."""

    action = models.CharField(max_length=40)
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="entries")
    item = models.ForeignKey(Item, null=True, on_delete=models.PROTECT, related_name="entries")
    visit = models.ForeignKey(Visit, null=True, on_delete=models.PROTECT, related_name="entries")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    device_at = models.DateTimeField(null=True)
    data = models.JSONField(default=dict, help_text="ids, codes and amounts; never names")

    class Meta:
        verbose_name_plural = "entries"
        indexes: ClassVar = [
            models.Index(fields=["job", "id"]),
            models.Index(fields=["action", "id"]),
        ]

    def __str__(self) -> str:
        return f"{self.action} {self.at:%Y-%m-%d %H:%M}"


class Correction(models.Model):
    """What something written down of a party or an item was, and what it was corrected to.

    Entries last for ever and hold only this row's id, so a person's old names and addresses can be erased here.
    """

    party = models.ForeignKey(Party, null=True, on_delete=models.CASCADE, related_name="corrections")
    item = models.ForeignKey(Item, null=True, on_delete=models.CASCADE, related_name="corrections")
    what = models.CharField(max_length=10, choices=list(CORRECTED.items()))
    before = models.TextField(blank=True)
    after = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(party__isnull=False, item__isnull=True) | Q(party__isnull=True, item__isnull=False),
                name="correction_of_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.pk}"


class Followed(models.Model):
    """An entry that a follower (see followers.py) has dealt with, so it is dealt with once."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    follower = models.CharField(max_length=40)
    at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "followed"
        constraints: ClassVar = [models.UniqueConstraint(fields=["entry", "follower"], name="entry_followed_once")]

    def __str__(self) -> str:
        return f"{self.follower} {self.entry_id}"


class Watermark(models.Model):
    """Below this entry id a follower has nothing left to do."""

    follower = models.CharField(max_length=40, primary_key=True)
    entry_id = models.BigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.follower} {self.entry_id}"


class Press(models.Model):
    """One press of one button. Its key is unique, so a double press makes nothing twice."""

    key = models.CharField(max_length=60, primary_key=True)
    action = models.CharField(max_length=40)
    made = models.JSONField(default=dict, help_text="ids of what the first press made")
    at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "presses"

    def __str__(self) -> str:
        return f"{self.action} {self.key}"


class Pulse(models.Model):
    """A counter that rises with every committed change: screens ask whether it moved. One row, id 1."""

    beats = models.BigIntegerField(default=0)

    def __str__(self) -> str:
        return str(self.beats)


class Counter(models.Model):
    """Gap-free numbers from a locked row, one per series."""

    series = models.CharField(max_length=30, primary_key=True)
    last = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.series} {self.last}"
