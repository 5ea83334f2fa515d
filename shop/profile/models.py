"""One Profile row, closed days, dated terms and tax rates, the first walk, the worker's heartbeat."""

from typing import ClassVar
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import models

from shop.money import minor_units


class Profile(models.Model):
    """What is printed at the head of every paper, and what the shop computes with. One row, id 1."""

    name = models.CharField(max_length=120)
    address = models.TextField(help_text="as printed, one line per line")
    telephone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    currency = models.CharField(max_length=3, default="EUR")
    time_zone = models.CharField(max_length=60, default="UTC")
    region = models.CharField(max_length=2, default="GB", help_text="ISO 3166 country for telephone numbers")
    page = models.CharField(max_length=12, default="a4", choices=[("a4", "A4"), ("us-letter", "Letter")])
    hours = models.JSONField(
        default=dict,
        help_text='{"mon": ["09:00", "17:00"], …}; four times with a midday break; a day left out is closed',
    )
    hours_words = models.CharField(max_length=120, blank=True, help_text="said instead of the hours, if not empty")
    estimate_days = models.PositiveSmallIntegerField(default=30)
    deposit_percent = models.DecimalField(max_digits=5, decimal_places=2, default=50)
    deposit_above = models.DecimalField(max_digits=12, decimal_places=3, default=400)
    cover_limit = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    settling_days = models.PositiveSmallIntegerField(default=60)
    markup_percent = models.DecimalField(max_digits=5, decimal_places=2, default=35)

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=models.Q(id=1), name="profile_one_row")]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.time_zone)

    @property
    def places(self) -> int:
        """Digits after the point in the shop's currency."""
        return minor_units(self.currency)


class ClosedDay(models.Model):
    """Days the shop is closed though its week says open. One taken back keeps its row."""

    first = models.DateField()
    last = models.DateField()
    words = models.CharField(max_length=60)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    off_at = models.DateTimeField(null=True, blank=True)
    off_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["first", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=models.Q(last__gte=models.F("first")), name="closed_day_ends_after_start")
        ]

    def __str__(self) -> str:
        return f"{self.words} {self.first}"


class Terms(models.Model):
    """The terms an owner signs, by version. A version is never edited."""

    version = models.PositiveIntegerField(unique=True)
    text = models.TextField()
    since = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    def __str__(self) -> str:
        return f"terms {self.version}"


class TaxClass(models.Model):
    """What kind of thing a line is for tax: labour, goods, outside work."""

    code = models.SlugField(max_length=20, unique=True)
    words = models.CharField(max_length=60)

    class Meta:
        verbose_name_plural = "tax classes"

    def __str__(self) -> str:
        return self.words


class TaxRate(models.Model):
    """What a tax class is taxed at from a day on. Once in force it is never edited."""

    tax_class = models.ForeignKey(TaxClass, on_delete=models.PROTECT, related_name="rates")
    since = models.DateField()
    rate = models.DecimalField(max_digits=6, decimal_places=3, help_text="per cent")
    made_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["since"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["tax_class", "since"], name="tax_rate_once_a_day"),
            models.CheckConstraint(condition=models.Q(rate__gte=0, rate__lt=100), name="tax_rate_is_per_cent"),
        ]

    def __str__(self) -> str:
        return f"{self.said} % since {self.since}"

    @property
    def said(self) -> str:
        """“8.25”, without idle zeros."""
        return f"{self.rate.normalize():f}"


class FormerFact(models.Model):
    """What a fact about the shop was before and after a change. Names and addresses may be erased here later."""

    field = models.CharField(max_length=20)
    old = models.TextField(blank=True)
    new = models.TextField(blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.field} {self.at}"


class Walked(models.Model):
    """One room of the first walk: looked at and found right, or left for later."""

    code = models.CharField(max_length=20, unique=True)
    later = models.BooleanField(default=False)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "walked"

    def __str__(self) -> str:
        return self.code


class Heartbeat(models.Model):
    """When a worker was last alive."""

    name = models.CharField(max_length=40, primary_key=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.name} {self.at}"
