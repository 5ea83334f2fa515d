"""Person (staff) and Device (a registered kiosk or bench device)."""

from typing import Any, ClassVar

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from shop.people.naming import called_by
from shop.people.roles import ROLE_WORDS, Act, Role, may


class People(BaseUserManager["Person"]):
    """Makes people with hashed passwords."""

    def create_user(self, username: str, password: str | None = None, **fields: object) -> "Person":
        person = self.model(username=self.model.normalize_username(username), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(self, username: str, password: str | None = None, **fields: object) -> "Person":
        fields.setdefault("role", Role.HEAD)
        return self.create_user(username, password, is_superuser=True, **fields)


class Person(AbstractBaseUser, PermissionsMixin):
    """Someone who works in the shop. `username` is the staff name used to sign in and at the kiosk."""

    username = models.CharField("staff name", max_length=60, unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=12, choices=[(role.value, words) for role, words in ROLE_WORDS.items()])
    skill = models.PositiveSmallIntegerField(default=0, help_text="1 apprentice to 4 restorer; 0 not at the bench")
    email = models.EmailField(blank=True)
    pin_hash = models.CharField(max_length=160, blank=True, editable=False)
    hours = models.CharField(max_length=60, blank=True)
    called = models.CharField(max_length=40, blank=True, help_text="as said across the bench; nobody else is called so")
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)
    left_at = models.DateTimeField(null=True, blank=True)
    link_asked_at = models.DateTimeField(null=True, blank=True, help_text="a letter with a way in was asked for")
    link_sent_at = models.DateTimeField(null=True, blank=True)

    objects = People()
    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        verbose_name_plural = "people"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(role__in=[role.value for role in Role]), name="person_role_known"
            ),
            models.UniqueConstraint(Lower("called"), name="person_called_once"),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save; whoever is called nothing yet gets a name nobody else is called by."""
        if not self.called:
            taken = {called.lower() for called in Person.objects.exclude(pk=self.pk).values_list("called", flat=True)}
            self.called = called_by(self.name or self.username, taken)
            if kwargs.get("update_fields") is not None:
                kwargs["update_fields"] = {*kwargs["update_fields"], "called"}
        super().save(*args, **kwargs)

    @property
    def short(self) -> str:
        """What they are called across the bench."""
        return self.called

    @property
    def is_staff(self) -> bool:
        return self.is_superuser

    def may(self, act: Act) -> bool:
        """Whether this person's role may do an act."""
        return self.is_active and may(self.role, act)

    def set_pin(self, pin: str) -> None:
        """Keep a kiosk PIN, hashed."""
        self.pin_hash = make_password(pin)

    def check_pin(self, pin: str) -> bool:
        """Whether a PIN is this person's."""
        return bool(self.pin_hash) and check_password(pin, self.pin_hash)


class Device(models.Model):
    """A tablet or phone registered once. Its cookie holds a random token; the table holds its hash.

    A kiosk shows only intake. A bench device shows what whoever signed in there may see, and is named in entries.
    """

    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=8, default="kiosk", choices=[("kiosk", "kiosk"), ("bench", "bench")])
    token_hash = models.CharField(max_length=64, unique=True)
    registered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    registered_at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)
    dead_at = models.DateTimeField(null=True, blank=True)
    dead_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=models.Q(kind__in=["kiosk", "bench"]), name="device_kind_known")
        ]

    def __str__(self) -> str:
        return self.name


class SignedIn(models.Model):
    """One time somebody signed in, until they signed out or were signed out. What can be listed and ended."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="signed_in")
    session_key = models.CharField(max_length=40, unique=True)
    agent = models.CharField(max_length=80, blank=True, help_text="browser and device in words")
    device = models.ForeignKey(Device, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    began_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "signed in"
        indexes: ClassVar = [models.Index(fields=["person"], condition=models.Q(ended_at=None), name="signed_in_now")]

    def __str__(self) -> str:
        return f"{self.person_id} since {self.began_at:%Y-%m-%d %H:%M}"
