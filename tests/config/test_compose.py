"""The container set-up, read as text: no secret stands in it, and what it names is there."""

import re

import pytest
from django.urls import reverse

from labcases.config.server import graceful_timeout

SECRETS = ["POSTGRES_PASSWORD", "LABCASES_SECRET_KEY", "LABCASES_ALLOWED_HOSTS", "LABCASES_PUBLIC_URL"]


@pytest.fixture(scope="module")
def compose(project_root):
    return (project_root / "docker-compose.yml").read_text()


@pytest.mark.parametrize("name", SECRETS)
def test_a_setting_that_no_file_may_hold_is_asked_for_in_words(name, compose):
    assert re.search(rf"\${{{name}:\?set {name} ", compose)


def test_no_value_of_a_secret_is_written_down(compose):
    for name, value in re.findall(r"^\s+(\w*(?:PASSWORD|SECRET|KEY)\w*): *(.+)$", compose, re.MULTILINE):
        assert value.startswith("${"), f"{name} has a value of its own"
    assert not re.search(r"postgres://\w+:(?!\${)", compose)


@pytest.mark.parametrize("service", ["db", "web"])
def test_a_service_says_whether_it_is_well(service, compose):
    block = re.search(rf"^  {service}:\n((?:    .*\n|\n)+)", compose, re.MULTILINE)
    assert "healthcheck:" in block.group(1)


@pytest.mark.django_db
def test_the_site_is_asked_at_an_address_that_anyone_may_open(client, compose):
    address = re.search(r'site.request\("GET", "([^"]+)"', compose).group(1)
    assert address == reverse("ready")
    assert client.get(address).status_code == 200


def test_the_rows_and_their_backups_outlive_their_containers(compose):
    assert "rows:/var/lib/postgresql/data" in compose
    assert "backups:/app/var/backups" in compose
    kept = compose.partition("\nvolumes:\n")[2]
    assert re.findall(r"^  (\w+):", kept, re.MULTILINE) == ["files", "rows", "backups"]


@pytest.mark.parametrize("service", ["web", "worker"])
def test_a_service_is_given_longer_to_end_than_it_takes_itself(service, compose):
    block = re.search(rf"^  {service}:\n((?:    .*\n|\n)+)", compose, re.MULTILINE).group(1)
    assert int(re.search(r"stop_grace_period: (\d+)s", block).group(1)) > graceful_timeout


def test_files_outlive_their_containers(compose, project_root):
    folder = re.search(r"^      LABCASES_FILES: (/\w+)$", compose, re.MULTILINE).group(1)
    assert compose.count(f"files:{folder}\n") == 2
    assert f" {folder} " in (project_root / ".ci" / "Dockerfile").read_text()


def test_the_image_takes_only_files_that_are_there(project_root):
    """What is not built here (there may be no container engine) can at least not name a missing file."""
    recipe = (project_root / ".ci" / "Dockerfile").read_text()
    sources = [
        word for line in re.findall(r"^COPY (.+)$", recipe, re.MULTILINE) for word in line.split()[:-1]
    ]
    let_in = (project_root / ".dockerignore").read_text()
    assert sources
    for name in sources:
        assert (project_root / name).exists(), name
        assert f"!{name}\n" in let_in


def test_the_example_asks_for_every_setting_and_holds_none_of_the_secrets(compose, project_root):
    example = dict(re.findall(r"^(\w+)=(.*)$", (project_root / ".env.example").read_text(), re.MULTILINE))
    assert set(example) == set(re.findall(r"\${(\w+)", compose))
    assert [example[name] for name in SECRETS] == ["", "", "", ""]
