"""Person (staff) and Device (a registered kiosk or bench device)."""

from typing import ClassVar

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.utils import timezone

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
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)

    objects = People()
    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        verbose_name_plural = "people"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(role__in=[role.value for role in Role]), name="person_role_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def short(self) -> str:
        """Given name, as said across the bench."""
        return self.name.split()[0] if self.name else self.username

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
