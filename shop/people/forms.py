"""Sign-in and PIN forms."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.core.validators import MaxLengthValidator

MOST_NAME = 60


class SignInForm(AuthenticationForm):
    """Staff name and password."""

    error_messages = {
        "invalid_login": "That name and password do not go together. Look at both and try again.",
        "inactive": "This person no longer signs in here.",
    }

    def __init__(self, request: Any = None, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["username"].label = "Staff name"
        # what is longer is nobody's name, and more than the book of failed sign-ins can keep
        self.fields["username"].validators.append(MaxLengthValidator(MOST_NAME))
        self.fields["username"].widget.attrs.update(autocapitalize="none", autocomplete="username", spellcheck="false")


class PinForm(forms.Form):
    """Staff name and PIN at the kiosk."""

    username = forms.CharField(
        label="Staff name",
        max_length=MOST_NAME,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
    )
    pin = forms.CharField(
        label="PIN",
        max_length=12,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
