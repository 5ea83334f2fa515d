"""Sign in and out; lock and unlock a kiosk."""

from axes.utils import reset
from django.contrib.auth import authenticate
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from shop.people.forms import PinForm, SignInForm
from shop.people.kiosk import lock, unlock
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.models import Walked


class SignIn(LoginView):
    """Staff name and password."""

    form_class = SignInForm
    template_name = "people/sign_in.html"
    redirect_authenticated_user = True

    def get_redirect_url(self, request: HttpRequest | None = None) -> str:
        """Where someone was going; whoever only opened the shop begins with the day."""
        to = super().get_redirect_url()
        return "" if to == "/" else to

    def get_default_redirect_url(self) -> str:
        """The day; in a shop nobody has walked through yet, whoever sets it up begins with the first walk."""
        person = self.request.user
        if isinstance(person, Person) and person.may(Act.SET_SHOP) and not Walked.objects.exists():
            return reverse("office:begin")
        return super().get_default_redirect_url()


sign_in = SignIn.as_view()
sign_out = LogoutView.as_view(next_page="people:sign-in")


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The blank page between owners: name yourself, or begin."""
    if getattr(request, "kiosk", None) is None:
        return redirect("people:sign-in")
    if request.user.is_authenticated:
        return redirect("intake:start")
    return render(request, "people/kiosk_locked.html", {"form": PinForm()})


@require_POST
def open_kiosk(request: HttpRequest) -> HttpResponse:
    """Take staff name and PIN."""
    if getattr(request, "kiosk", None) is None:
        return redirect("people:sign-in")
    form = PinForm(request.POST)
    if form.is_valid():
        person = authenticate(request, username=form.cleaned_data["username"], pin=form.cleaned_data["pin"])
        if isinstance(person, Person) and person.may(Act.TAKE_IN):
            reset(username=form.cleaned_data["username"])
            unlock(request, person)
            return redirect("intake:start")
        form.add_error(None, "That name and PIN do not go together, or may not take in. Look at both and try again.")
    return render(request, "people/kiosk_locked.html", {"form": form}, status=422)


@require_POST
def close_kiosk(request: HttpRequest) -> HttpResponse:
    """Lock now; what was typed stays with the shop."""
    lock(request)
    return redirect("kiosk:home")
