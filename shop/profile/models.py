"""One Profile row, dated terms, tax classes, the worker's heartbeat."""

from typing import ClassVar
from zoneinfo import ZoneInfo

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
    hours = models.JSONField(default=dict, help_text='{"mon": ["09:00", "17:00"], …}; a day left out is closed')
    hours_words = models.CharField(max_length=120, blank=True)
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


class Terms(models.Model):
    """The terms an owner signs, by version. A version is never edited."""

    version = models.PositiveIntegerField(unique=True)
    text = models.TextField()
    since = models.DateTimeField()

    def __str__(self) -> str:
        return f"terms {self.version}"


class TaxClass(models.Model):
    """What kind of thing a line is for tax: labour, goods, outside work."""

    code = models.SlugField(max_length=20, unique=True)
    words = models.CharField(max_length=60)
    rate = models.DecimalField(max_digits=6, decimal_places=3, help_text="per cent")

    class Meta:
        verbose_name_plural = "tax classes"

    def __str__(self) -> str:
        return self.words


class Heartbeat(models.Model):
    """When a worker was last alive."""

    name = models.CharField(max_length=40, primary_key=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.name} {self.at}"
