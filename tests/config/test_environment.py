import pytest
from django.core.exceptions import ImproperlyConfigured

from labcases.config import environment


@pytest.mark.parametrize("text", ["1", "true", "Yes", " on "])
def test_a_flag_is_on(text, monkeypatch):
    monkeypatch.setenv("LABCASES_DEBUG", text)
    assert environment.flag("LABCASES_DEBUG", default=False) is True


@pytest.mark.parametrize("text", ["0", "false", "No", "OFF"])
def test_a_flag_is_off(text, monkeypatch):
    monkeypatch.setenv("LABCASES_DEBUG", text)
    assert environment.flag("LABCASES_DEBUG", default=True) is False


@pytest.mark.parametrize("default", [True, False])
def test_a_flag_that_is_not_set_has_its_default(default, monkeypatch):
    monkeypatch.setenv("LABCASES_DEBUG", "  ")
    assert environment.flag("LABCASES_DEBUG", default=default) is default


def test_a_flag_that_means_nothing_is_refused_by_name(monkeypatch):
    monkeypatch.setenv("LABCASES_DEBUG", "maybe")
    with pytest.raises(ImproperlyConfigured, match="LABCASES_DEBUG is 'maybe'"):
        environment.flag("LABCASES_DEBUG", default=False)


def test_words_are_parted_by_commas_and_empty_ones_dropped(monkeypatch):
    monkeypatch.setenv("LABCASES_ALLOWED_HOSTS", "lab.example, www.lab.example,,")
    assert environment.words("LABCASES_ALLOWED_HOSTS") == ["lab.example", "www.lab.example"]


@pytest.mark.parametrize(("text", "means"), [("", 1), (" 2 ", 2), ("0", 0)])
def test_a_count_is_read_or_its_default(text, means, monkeypatch):
    monkeypatch.setenv("LABCASES_PROXIES", text)
    assert environment.count("LABCASES_PROXIES", default=1) == means


@pytest.mark.parametrize("text", ["-1", "1.5", "two", "100", "²"])
def test_a_count_that_is_none_is_refused_by_name(text, monkeypatch):
    monkeypatch.setenv("LABCASES_PROXIES", text)
    with pytest.raises(ImproperlyConfigured, match=f"LABCASES_PROXIES is '{text}'"):
        environment.count("LABCASES_PROXIES", default=0)


def test_a_site_without_a_secret_key_does_not_start(monkeypatch):
    monkeypatch.delenv("LABCASES_SECRET_KEY")
    with pytest.raises(ImproperlyConfigured, match="LABCASES_SECRET_KEY is not set"):
        environment.refuse_to_serve_unsafely(debug=False)


def test_a_short_secret_key_is_refused(monkeypatch):
    monkeypatch.setenv("LABCASES_SECRET_KEY", "k" * 49)
    with pytest.raises(ImproperlyConfigured, match="shorter than 50"):
        environment.refuse_to_serve_unsafely(debug=False)
    monkeypatch.setenv("LABCASES_SECRET_KEY", "k" * 50)
    environment.refuse_to_serve_unsafely(debug=False)
    assert environment.secret_key() == "k" * 50


def test_only_a_machine_of_ones_own_serves_without_a_key(monkeypatch):
    monkeypatch.delenv("LABCASES_SECRET_KEY")
    environment.refuse_to_serve_unsafely(debug=True)


def test_a_command_without_a_key_gets_one_for_itself_alone(monkeypatch):
    monkeypatch.delenv("LABCASES_SECRET_KEY")
    first, second = environment.secret_key(), environment.secret_key()
    assert len(first) >= 50
    assert first != second
