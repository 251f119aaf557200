"""The rules of `secret_rules.py` for passwords, as the framework asks them."""

from __future__ import annotations

from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from shopapp.models import Person, the_shop
from shopapp.say import Say
from shopapp.secret_rules import bare, weak_password
from shopapp.telling import tell


class NotCommon(CommonPasswordValidator):
    """Not on the list of common ones, nor one of them with a year behind it."""

    def validate(self, password: str, user: object = None) -> None:
        """Raises ValidationError with a sentence."""
        if {password.casefold().strip(), bare(password)} & self.passwords:
            raise ValidationError(_("This is on the list of common passwords."))


class NotAName:
    """Not made of the person's or the shop's own names, nor a run of signs."""

    def validate(self, password: str, user: Person | None = None) -> None:
        """Raises ValidationError with a sentence."""
        shop = the_shop()
        names = [shop.name]
        if user is not None:
            names += [user.first_name, user.last_name, user.username, user.email]
        if why := weak_password(word=password, names=names):
            raise ValidationError(_told(why))

    def get_help_text(self) -> str:
        """The rule."""
        return _("Nothing made of your name or the shop's.")


def _told(why: Say) -> str:
    return tell(why, system=the_shop().system)
