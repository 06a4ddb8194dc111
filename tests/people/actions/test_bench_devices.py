"""Bench devices and PINs: who may, how often a PIN is tried, and what revoking ends."""

import datetime

import pytest

from labcases.people.actions import bench_devices as bench
from labcases.people.models import BenchDevice, BenchPin, Session
from labcases.people.queries import bench_device
from labcases.people.refusals import NotAllowed, Refused
from tests.factories.people import (
    BenchDeviceFactory,
    ClinicianFactory,
    ManagerFactory,
    SessionFactory,
    TechnicianFactory,
)
from tests.reliability.together import at_once

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
PIN = "4712"


@pytest.fixture
def technician():
    person = TechnicianFactory()
    bench.set_pin(person, pin=PIN, now=NOW)
    return person


@pytest.mark.parametrize("someone", [TechnicianFactory, ManagerFactory])
def test_who_works_in_the_laboratory_makes_a_bench_device_and_has_a_pin(someone):
    person = someone()
    key, device = bench.make_bench_device(name="Tablet", by=person, now=NOW)
    assert bench_device(key) == device
    assert key not in str(BenchDevice.objects.values().get())
    bench.set_pin(person, pin=PIN, now=NOW)
    assert bench.pin_fits(person, pin=PIN)


@pytest.mark.parametrize("someone", [ClinicianFactory, lambda: TechnicianFactory(is_active=False)])
def test_nobody_else_does(someone):
    person = someone()
    with pytest.raises(NotAllowed):
        bench.make_bench_device(name="Tablet", by=person, now=NOW)
    with pytest.raises(NotAllowed):
        bench.set_pin(person, pin=PIN, now=NOW)


def test_a_pin_is_kept_as_a_hash(technician):
    assert PIN not in BenchPin.objects.get().code


@pytest.mark.parametrize("pin", ["1234", "12", "000000"])
def test_a_weak_pin_is_refused(technician, pin):
    with pytest.raises(Refused):
        bench.set_pin(technician, pin=pin, now=NOW)
    assert bench.pin_fits(technician, pin=PIN)


def test_five_wrong_tries_lock_the_pin_until_a_full_sign_in(technician):
    assert not any(bench.pin_fits(technician, pin="9350") for _ in range(5))
    assert not bench.pin_fits(technician, pin=PIN)
    bench.pin_starts_anew(technician)
    assert bench.pin_fits(technician, pin=PIN)


def test_four_wrong_tries_and_the_right_one_start_anew(technician):
    for _ in range(3):
        assert not any(bench.pin_fits(technician, pin="9350") for _ in range(4))
        assert bench.pin_fits(technician, pin=PIN)


def test_of_somebody_who_left_no_pin_fits(technician):
    type(technician).objects.filter(pk=technician.pk).update(is_active=False)
    assert not bench.pin_fits(technician, pin=PIN)


def test_revoking_ends_every_session_at_the_device_and_no_other(technician):
    _, device = bench.make_bench_device(name="Tablet", by=technician, now=NOW)
    SessionFactory(user=technician, bench_device=device)
    elsewhere = [SessionFactory(user=technician), SessionFactory(bench_device=BenchDeviceFactory())]
    with pytest.raises(NotAllowed):
        bench.revoke_bench_device(device, by=technician, now=NOW)
    manager = ManagerFactory()
    bench.revoke_bench_device(device, by=manager, now=NOW)
    assert set(Session.objects.all()) == set(elsewhere)
    with pytest.raises(Refused, match="already"):
        bench.revoke_bench_device(device, by=manager, now=NOW)


@pytest.mark.django_db(transaction=True)
def test_wrong_tries_at_the_same_moment_are_no_way_round_the_five():
    person = TechnicianFactory()
    bench.set_pin(person, pin=PIN, now=NOW)
    at_once(*[lambda: bench.pin_fits(person, pin="9350") for _ in range(8)])
    assert BenchPin.objects.get().wrong_tries == 5
