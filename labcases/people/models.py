from importlib import import_module

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from labcases.people.choices import Role

EVERY = {
    Role.MANAGER: gettext_lazy("Every lab manager"),
    Role.TECHNICIAN: gettext_lazy("Every technician"),
    Role.CLINICIAN: gettext_lazy("Every clinician"),
}


class Laboratory(models.Model):
    """The one laboratory that runs this site: what its tickets say at the top."""

    name = models.CharField(max_length=120)
    address = models.TextField(max_length=400)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "laboratories"
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="there_is_one_laboratory")]

    def __str__(self) -> str:
        return self.name


class Practice(models.Model):
    code = models.CharField(
        max_length=8, unique=True, help_text="Short, as it stands on tickets and shelves."
    )
    name = models.CharField(max_length=120)
    address = models.TextField(max_length=400, blank=True)
    is_active = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("code"), name="a_practice_code_is_given_once")]

    def __str__(self) -> str:
        return self.name


class UserManager(BaseUserManager["User"]):
    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(username__iexact=username)


class User(AbstractBaseUser):
    username = models.CharField(max_length=60, unique=True)
    display_name = models.CharField(max_length=120)
    role = models.CharField(max_length=12, choices=Role.choices)
    practice = models.ForeignKey(
        Practice, on_delete=models.PROTECT, null=True, blank=True, related_name="clinicians"
    )
    licence_number = models.CharField(
        max_length=40, blank=True, help_text="A clinician's, as the law asks it on a prescription."
    )
    may_release_outside = models.BooleanField(
        default=False,
        help_text="May finish a stage with a figure outside its limits, with a reason. Managers always may.",
    )
    language = models.CharField(max_length=10, blank=True, help_text="Empty: as the browser asks for.")
    # WCAG 2.1.4: keys of one character can be switched off, by each person.
    uses_keys = models.BooleanField(default=True)
    is_active = models.BooleanField(default=True)
    dismissed_hints = models.JSONField(default=list, help_text="Names of the hints that they have put away.")
    joined_at = models.DateTimeField(default=timezone.now, editable=False)
    version = models.PositiveIntegerField(default=1)

    objects = UserManager()

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS = ["display_name", "role"]

    class Meta:
        ordering = ["display_name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(role=Role.CLINICIAN, practice__isnull=False)
                | (~Q(role=Role.CLINICIAN) & Q(practice__isnull=True)),
                name="a_clinician_and_only_a_clinician_belongs_to_a_practice",
            ),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="a_role_is_a_known_one"),
            # People sign in in whatever case they write their name, so two may not differ by that alone.
            models.UniqueConstraint(Lower("username"), name="a_sign_in_name_is_given_once"),
        ]

    def __str__(self) -> str:
        return self.display_name

    @property
    def is_manager(self) -> bool:
        return self.role == Role.MANAGER

    @property
    def is_technician(self) -> bool:
        return self.role == Role.TECHNICIAN

    @property
    def is_clinician(self) -> bool:
        return self.role == Role.CLINICIAN


class SavedView(models.Model):
    """A list as somebody wants to see it again: what it is narrowed to and its columns, by the list's own names.

    One person's own, or for everybody of a role, or with neither for the whole laboratory.
    """

    name = models.CharField(max_length=60)
    owner = models.ForeignKey(
        User, on_delete=models.CASCADE, null=True, blank=True, related_name="saved_views"
    )
    role = models.CharField(max_length=12, choices=Role.choices, blank=True)
    filters = models.JSONField(default=dict)
    columns = models.JSONField(default=list)
    position = models.PositiveSmallIntegerField(default=1)
    is_default = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(owner__isnull=True) | Q(role=""),
                name="a_view_is_one_person_s_or_shared",
            ),
            models.UniqueConstraint(
                Lower("name"), "owner", condition=Q(owner__isnull=False), name="a_person_names_a_view_once"
            ),
            models.UniqueConstraint(
                Lower("name"), "role", condition=Q(owner__isnull=True), name="a_shared_view_is_named_once"
            ),
            models.UniqueConstraint(
                fields=["owner"],
                condition=Q(is_default=True, owner__isnull=False),
                name="one_view_of_a_person_comes_first",
            ),
            models.UniqueConstraint(
                fields=["role"],
                condition=Q(is_default=True, owner__isnull=True),
                name="one_shared_view_comes_first",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def whose(self) -> str:
        """Who sees it, in words."""
        if self.owner_id:
            return _("Only me")
        return str(EVERY[Role(self.role)]) if self.role else _("The whole laboratory")


class ListColumns(models.Model):
    """The columns that one person wants in a list, in their order, by the list's own names."""

    person = models.OneToOneField(User, on_delete=models.CASCADE, related_name="list_columns")
    names = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"{self.person}: {', '.join(self.names)}"


class OneTimeKey(models.Model):
    """A form's key once used, with the address its answer led to: sending the form again leads there too."""

    key = models.CharField(max_length=64, unique=True)
    user = models.ForeignKey(User, on_delete=models.CASCADE)
    answer = models.CharField(max_length=400)
    used_at = models.DateTimeField(default=timezone.now, db_index=True)

    def __str__(self) -> str:
        return f"{self.user} → {self.answer}"


class SignInCount(models.Model):
    """How often somebody lately tried to sign in with one name, or from one address; neither can be read from it."""

    key = models.CharField(max_length=64, unique=True)
    failures = models.PositiveIntegerField(default=1)
    since = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.failures} since {self.since:%Y-%m-%d %H:%M}"


class BenchDevice(models.Model):
    """A tablet or computer at the bench that several people use; it carries a key of which only the digest is here."""

    name = models.CharField(max_length=60)
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class BenchPin(models.Model):
    """A person's short number for changing over at a bench device; `wrong_tries` starts anew with a full sign-in."""

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="bench_pin")
    code = models.CharField(max_length=128)
    wrong_tries = models.PositiveSmallIntegerField(default=0)
    set_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"{self.user}, since {self.set_at:%Y-%m-%d}"


class SignInLink(models.Model):
    """An address that lets one person set a password, once; only the digest of its key is kept."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    ended_at = models.DateTimeField(
        null=True, blank=True, help_text="Used, or void since a newer one was made."
    )

    def __str__(self) -> str:
        return f"{self.user}, until {self.expires_at:%Y-%m-%d %H:%M}"


class Session(AbstractBaseSession):
    """Somebody's time at one browser, as `sessions.SessionStore` keeps it, with what its owner is told about it."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, null=True, related_name="+")
    device = models.CharField(max_length=120, blank=True)
    bench_device = models.ForeignKey(BenchDevice, on_delete=models.CASCADE, null=True, related_name="+")
    is_locked = models.BooleanField(default=False)
    began_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.user or 'nobody'}, {self.device or 'a browser'}"

    @classmethod
    def get_session_store_class(cls) -> type:
        store: type = import_module(settings.SESSION_ENGINE).SessionStore
        return store
