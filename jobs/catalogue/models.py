"""Word (parts, terms, views), Operation, and the dated PriceList with its rates and fixed prices."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from jobs.book.kinds import JOB_KINDS


class Word(models.Model):
    """One word of the trade: a part, a condition term, a view of the standard photo set."""

    sort = models.CharField(max_length=8, choices=[("part", "part"), ("term", "term"), ("view", "view")])
    code = models.CharField(max_length=24)
    words = models.CharField(max_length=120)
    also = models.CharField(max_length=120, blank=True, help_text="what others call it")
    plain = models.CharField(max_length=200, blank=True, help_text="for owners")
    kinds = models.CharField(max_length=60, help_text="item kinds it fits, space separated")
    urgency = models.CharField(max_length=24, blank=True)
    needed_for = models.CharField(
        max_length=60, blank=True, help_text="views: item kinds whose least set it belongs to, space separated"
    )
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["sort", "position"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["sort", "code"], name="word_code_once")]

    def __str__(self) -> str:
        return self.words


class Operation(models.Model):
    """One kind of work, with planning hours."""

    code = models.CharField(max_length=8, unique=True)
    words = models.CharField(max_length=120)
    kinds = models.CharField(max_length=60)
    low = models.DecimalField(max_digits=5, decimal_places=2)
    likely = models.DecimalField(max_digits=5, decimal_places=2)
    high = models.DecimalField(max_digits=5, decimal_places=2)
    skill = models.PositiveSmallIntegerField()
    materials = models.CharField(max_length=60, blank=True)
    rest_words = models.CharField(max_length=60, blank=True, help_text="time it must be left alone afterwards")
    order_words = models.CharField(max_length=80, blank=True, help_text="what comes before and after it")
    caution = models.CharField(max_length=120, blank=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["position"]

    def __str__(self) -> str:
        return f"{self.code} {self.words}"


class PriceList(models.Model):
    """Rates per hour by skill and fixed prices, from a day on. A draft may be edited; once in force a list never is.

    Of two lists with the same day the later made one counts, so that a slip can be put right on its own day.
    """

    since = models.DateField()
    minimum = models.DecimalField(
        max_digits=12, decimal_places=3, default=0, help_text="least charge for labour; 0 for none"
    )
    draft = models.BooleanField(default=False, help_text="still being written; counts for nothing")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["draft"], condition=Q(draft=True), name="one_draft_price_list")
        ]

    def __str__(self) -> str:
        return f"prices since {self.since}"


class Rate(models.Model):
    """Price of one hour of one skill."""

    price_list = models.ForeignKey(PriceList, on_delete=models.PROTECT, related_name="rates")
    skill = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=40)
    per_hour = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["price_list", "skill"], name="rate_once_per_skill")]

    def __str__(self) -> str:
        return f"{self.words} {self.per_hour}"


class FixedPrice(models.Model):
    """Work at a price from the list: labour, and what is sold with it (hair, strings), which is taxed as goods."""

    price_list = models.ForeignKey(PriceList, on_delete=models.PROTECT, related_name="fixed")
    code = models.CharField(max_length=12)
    operation = models.ForeignKey(Operation, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=120, help_text="as the owner reads it: “Rehair, violin bow”")
    kinds = models.CharField(max_length=60, help_text="item kinds it fits, space separated")
    size = models.CharField(max_length=24, blank=True, help_text="size of the thing it is meant for; empty for any")
    job_kind = models.CharField(max_length=12, choices=list(JOB_KINDS.items()), default="repair")
    labour = models.DecimalField(max_digits=12, decimal_places=3, help_text="before tax")
    goods = models.DecimalField(max_digits=12, decimal_places=3, default=0, help_text="before tax")
    goods_words = models.CharField(max_length=80, blank=True, help_text="what is sold with it: “bow hair”")
    ready_days = models.PositiveSmallIntegerField(help_text="days the shop is open until it is ready")
    position = models.PositiveSmallIntegerField(default=0)
    active = models.BooleanField(default=True, help_text="offered at the counter")

    class Meta:
        ordering: ClassVar = ["position", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["price_list", "code"], name="fixed_price_once_per_list"),
            models.CheckConstraint(condition=Q(labour__gte=0, goods__gte=0), name="fixed_price_not_below_zero"),
        ]

    def __str__(self) -> str:
        return self.words
