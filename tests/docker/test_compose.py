"""The compose file, by checks of our own: no engine is needed, and no published schema of it is among our packages.

Members are held against the words of the Compose specification that the file uses (value from memory).
"""

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

FOLDER = Path(__file__).parents[2] / "docker"
TEXT = (FOLDER / "compose.yaml").read_text("utf-8")
COMPOSE: dict[str, Any] = yaml.safe_load(TEXT)
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
MEMBERS = {
    "build": dict,
    "command": list,
    "cap_drop": list,
    "depends_on": dict,
    "deploy": dict,
    "environment": dict,
    "healthcheck": dict,
    "image": str,
    "networks": list,
    "ports": list,
    "read_only": bool,
    "restart": str,
    "security_opt": list,
    "shm_size": str,
    "stop_grace_period": str,
    "tmpfs": list,
    "volumes": list,
}


def test_the_file_has_the_members_of_a_compose_file() -> None:
    assert set(COMPOSE) == {"name", "services", "networks", "volumes"}
    assert set(SERVICES) == {"database", "migrate", "api", "proxy"}
    for service in SERVICES.values():
        for name, value in service.items():
            assert isinstance(value, MEMBERS[name]), name
        assert ("image" in service) != ("build" in service)
        assert set(service["networks"]) <= set(COMPOSE["networks"])
        for name, how in service.get("depends_on", {}).items():
            assert name in SERVICES
            ends = "restart" not in SERVICES[name]
            assert how == {"condition": "service_completed_successfully" if ends else "service_healthy"}


def test_only_the_proxy_is_reached_from_outside_and_from_this_machine_alone() -> None:
    assert [name for name, service in SERVICES.items() if "ports" in service] == ["proxy"]
    assert all(port.startswith("127.0.0.1:") for port in SERVICES["proxy"]["ports"])
    assert all(COMPOSE["networks"][name].get("internal") for name in ("records", "front"))
    assert set(SERVICES["database"]["networks"]) & set(SERVICES["proxy"]["networks"]) == set()


def test_messages_of_the_service_find_a_way_out() -> None:
    """Webhooks, mail and sign-in with a provider go to other machines: an internal network has no route to them."""
    ways = [
        name for name in SERVICES["api"]["networks"] if not (COMPOSE["networks"][name] or {}).get("internal")
    ]
    assert ways == ["outgoing"]
    assert [name for name, service in SERVICES.items() if "outgoing" in service["networks"]] == ["api"]


def test_the_database_is_healthy_once_its_roles_are_there() -> None:
    """While the image's start scripts run, its server listens at a Unix socket alone (common practice, no source)."""
    assert "--host=127.0.0.1" in SERVICES["database"]["healthcheck"]["test"]


def test_the_proxy_tells_tls_before_it_and_logs_no_address_of_a_feed() -> None:
    proxy = (FOLDER / "proxy.conf").read_text("utf-8")
    assert re.search(
        r"map \$http_x_forwarded_proto \$forwarded_proto \{\s+https https;\s+default \$scheme;", proxy
    )
    assert "X-Forwarded-Proto $forwarded_proto;" in proxy
    assert re.search(r"location = /feed \{\s+access_log off;", proxy)


def test_secrets_come_from_the_environment_and_are_required() -> None:
    for service in SERVICES.values():
        for name, value in service.get("environment", {}).items():
            if re.search("PASSWORD|PEPPER|URL", name):
                assert re.search(r"\$\{\w+:\?", value), name


def test_every_service_has_limits_and_a_health_check() -> None:
    """That of the API is in its image."""
    for name, service in SERVICES.items():
        assert set(service["deploy"]["resources"]["limits"]) == {"cpus", "memory"}
        assert ("healthcheck" in service) == ("image" in service), name
    assert "HEALTHCHECK" in (FOLDER / "Dockerfile").read_text("utf-8")


def test_neither_role_of_the_service_is_a_superuser() -> None:
    script = (FOLDER / "roles.sh").read_text("utf-8")
    assert re.findall(r"CREATE ROLE (\w+) LOGIN PASSWORD :'\w+';", script) == ["loading_owner", "loading"]
    assert "SUPERUSER" not in script
    environment = SERVICES["api"]["environment"]
    assert "postgresql://loading:" in environment["LOADING_DATABASE_URL"]
    assert not any("OWNER" in value or "POSTGRES_PASSWORD" in value for value in environment.values())
    assert SERVICES["migrate"]["command"] == ["migrate", "--service-role", "loading"]


@pytest.mark.parametrize("name", {**SERVICES["api"]["environment"], **SERVICES["migrate"]["environment"]})
def test_settings_of_the_api_are_settings(name: str) -> None:
    from service.settings import Settings

    assert name.removeprefix("LOADING_").lower() in Settings.model_fields


def test_replicas_stand_on_postgresql_and_the_dockerfile_is_there() -> None:
    api = SERVICES["api"]
    assert api["deploy"]["replicas"] >= 2
    assert api["environment"]["LOADING_DATABASE_URL"].startswith("postgresql://")
    context = (FOLDER / api["build"]["context"]).resolve()
    assert (context / api["build"]["dockerfile"]).is_file()
    assert (FOLDER / "proxy.conf").is_file()
    assert re.search(r"http://api:8000;", (FOLDER / "proxy.conf").read_text("utf-8"))


def test_volumes_that_hold_records_are_named() -> None:
    assert SERVICES["database"]["volumes"][0] == "records:/var/lib/postgresql/data"
    assert "records" in COMPOSE["volumes"]
