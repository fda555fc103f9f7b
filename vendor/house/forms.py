"""The form at the door."""

from django.contrib.auth.forms import AuthenticationForm

from vendor.house.models import User


class LoginForm(AuthenticationForm):
    """A name and a password; the name with capitals or without, as the phone writes it."""

    error_messages = AuthenticationForm.error_messages | {
        "invalid_login": "No login has this name and password. "
        "Only the password is particular about capitals.",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["username"].label = "Name to log in with"

    def clean_username(self) -> str:
        """Return the name as it was given, where only one login is called so but for capitals."""
        typed: str = self.cleaned_data["username"]
        if User.objects.filter(username=typed).exists():
            return typed
        alike = list(User.objects.filter(username__iexact=typed).values_list("username")[:2])
        return alike[0][0] if len(alike) == 1 else typed
