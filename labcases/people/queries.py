import datetime
import hashlib
from dataclasses import dataclass

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.db.models import Count, Q, QuerySet

from labcases.people.choices import Role
from labcases.people.models import (
    BenchDevice,
    BenchPin,
    Laboratory,
    ListColumns,
    Practice,
    SavedView,
    Session,
    SignInLink,
    User,
)

# Recovery codes stand in for these; alone they are no second factor.
MAIN_FACTORS = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)


def laboratory() -> Laboratory:
    """The laboratory, or an unsaved empty one before anybody has named it."""
    return Laboratory.objects.first() or Laboratory(pk=1, name="", address="")


def active_practices() -> QuerySet[Practice]:
    return Practice.objects.filter(is_active=True)


def technicians() -> QuerySet[User]:
    return User.objects.filter(role=Role.TECHNICIAN, is_active=True)


def bench_people() -> QuerySet[User]:
    """Everybody to whom a stage can be given: technicians first, then managers who still work at the bench."""
    return User.objects.filter(role__in=[Role.TECHNICIAN, Role.MANAGER], is_active=True).order_by(
        "-role", "display_name"
    )


def person_at_bench(text: str) -> User | None:
    """The one of `bench_people` whose id a form carries; None for anything else."""
    is_id = text.isascii() and text.isdigit() and len(text) < 10
    return bench_people().filter(pk=int(text)).first() if is_id else None


def prescribers(practice: Practice | None = None) -> QuerySet[User]:
    found = User.objects.filter(role=Role.CLINICIAN, is_active=True).select_related("practice")
    return found.filter(practice=practice) if practice else found


def everyone() -> QuerySet[User]:
    return User.objects.select_related("practice").order_by("role", "display_name")


def all_practices() -> QuerySet[Practice]:
    """Every practice, those that send work first, each with how many clinicians it has."""
    return Practice.objects.annotate(people=Count("clinicians")).order_by("-is_active", "name")


def practice_by_id(pk: int) -> Practice | None:
    return Practice.objects.filter(pk=pk).first()


def person_by_id(pk: int) -> User | None:
    return User.objects.select_related("practice").filter(pk=pk).first()


def username_taken(username: str, *, besides: User | None = None) -> bool:
    """Whether somebody else signs in with this name, in whatever case it is written."""
    found = User.objects.filter(username__iexact=username)
    return (found.exclude(pk=besides.pk) if besides else found).exists()


def practice_code_taken(code: str, *, besides: Practice | None = None) -> bool:
    found = Practice.objects.filter(code__iexact=code)
    return (found.exclude(pk=besides.pk) if besides else found).exists()


def sessions_of(user: User, *, now: datetime.datetime) -> QuerySet[Session]:
    """Where somebody is signed in, the place used last first."""
    found = Session.objects.filter(user=user, expire_date__gt=now)
    return found.select_related("bench_device").order_by("-seen_at")


def digest_of_key(key: str) -> str:
    return hashlib.sha256(key.encode(errors="replace")).hexdigest()


def open_link(key: str, *, now: datetime.datetime) -> SignInLink | None:
    """The link with this key while a password can still be set by it."""
    found = SignInLink.objects.filter(ended_at=None, expires_at__gt=now, user__is_active=True)
    return found.filter(digest=digest_of_key(key)).select_related("user").first()


@dataclass(frozen=True)
class Factors:
    """What somebody has beside the password; `codes_left` counts recovery codes that were not used."""

    app: Authenticator | None
    passkeys: tuple[Authenticator, ...]
    codes_left: int | None

    @property
    def count(self) -> int:
        return bool(self.app) + len(self.passkeys)


def has_second_factor(user: User) -> bool:
    return Authenticator.objects.filter(user=user, type__in=MAIN_FACTORS).exists()


def factors_of(user: User) -> Factors:
    rows = list(Authenticator.objects.filter(user=user).order_by("created_at", "pk"))
    by_type = {row.type: row for row in rows}
    codes = by_type.get(Authenticator.Type.RECOVERY_CODES)
    return Factors(
        app=by_type.get(Authenticator.Type.TOTP),
        passkeys=tuple(row for row in rows if row.type == Authenticator.Type.WEBAUTHN),
        codes_left=None if codes is None else _codes_left(codes),
    )


def _codes_left(codes: Authenticator) -> int:
    used: int = codes.data["used_mask"]
    return settings.MFA_RECOVERY_CODE_COUNT - used.bit_count()


def bench_devices() -> QuerySet[BenchDevice]:
    return BenchDevice.objects.filter(revoked_at=None).select_related("made_by")


def bench_device(key: str) -> BenchDevice | None:
    """The device that keeps this key, unless it was revoked."""
    return BenchDevice.objects.filter(revoked_at=None, digest=digest_of_key(key)).first()


def bench_device_by_id(pk: int) -> BenchDevice | None:
    return BenchDevice.objects.filter(pk=pk).first()


def sessions_at(device: BenchDevice, *, since: datetime.datetime) -> list[Session]:
    """Who signed in fully at this device since then: each person's latest session, by name."""
    found = Session.objects.filter(bench_device=device, began_at__gt=since, user__is_active=True)
    latest = {row.user_id: row for row in found.select_related("user__bench_pin").order_by("began_at")}
    return sorted(latest.values(), key=lambda row: row.user.display_name.casefold())


def pin_of(user: User) -> BenchPin | None:
    return BenchPin.objects.filter(user=user).first()


def views_seen_by(user: User) -> list[SavedView]:
    """Saved views in the order in which they are offered: one's own, then one's role's, then the laboratory's."""
    shared = Q(owner=None, role__in=["", user.role])
    found = SavedView.objects.filter(Q(owner=user) | shared)
    return sorted(found, key=lambda view: (view.owner_id is None, view.role == "", view.position, view.pk))


def view_seen_by(user: User, pk: int) -> SavedView | None:
    return next((view for view in views_seen_by(user) if view.pk == pk), None)


def columns_of(user: User) -> list[str]:
    """The columns that this person chose, or none where they never chose any."""
    return ListColumns.objects.filter(person=user).values_list("names", flat=True).first() or []
