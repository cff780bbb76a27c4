"""Dockerfile, .dockerignore and compose file, read as their own tools read them."""

import re
import subprocess

import yaml
from deploy.known import PATHS, SETTINGS, TOOLS, TOP, VERSION

from service.settings import PREFIX, Settings

DOCKERFILE = (TOP / "Dockerfile").read_text(encoding="utf-8")
COMPOSE = TOP / "deploy/compose.yaml"
PROXY = (TOP / "deploy/proxy/haproxy.cfg").read_text(encoding="utf-8")


def compose():
    return dict(yaml.safe_load(COMPOSE.read_text(encoding="utf-8")))


def test_the_dockerfile_is_good_style():
    ran = subprocess.run([TOOLS / "hadolint", TOP / "Dockerfile"], capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stdout) == (0, "")


def test_hadolint_finds_what_is_wrong(tmp_path):
    wrong = tmp_path / "Dockerfile"
    wrong.write_text("FROM python:latest\nRUN cd /x && pip install y\n", encoding="utf-8")
    assert subprocess.run([TOOLS / "hadolint", wrong], capture_output=True, check=False).returncode != 0


def test_every_base_has_a_tag_that_stays():
    stages = re.findall(r"^FROM (\S+)(?: AS (\S+))?$", DOCKERFILE, re.MULTILINE)
    names = {name for _, name in stages if name}
    outside = [base for base, _ in stages if base not in names]
    assert outside
    assert all(re.search(r":[\w.-]+", base) and not base.endswith(":latest") for base in outside)


def test_the_image_runs_as_a_numbered_user_and_without_a_shell():
    assert re.search(r"^USER [1-9]\d*:[1-9]\d*$", DOCKERFILE, re.MULTILINE)
    assert re.search(r'^ENTRYPOINT \["', DOCKERFILE, re.MULTILINE)
    assert re.search(r'^HEALTHCHECK .*CMD \["', DOCKERFILE, re.MULTILINE)


def test_the_image_sets_settings_that_exist():
    named = set(re.findall(rf"\b({PREFIX}\w+)=", DOCKERFILE))
    assert named
    assert named <= SETTINGS


def test_health_checks_ask_for_operations_of_the_contract():
    asked = [*re.findall(r"'GET', '([^']+)'", DOCKERFILE), *re.findall(r"meth GET uri (\S+)", PROXY)]
    assert len(asked) == 2
    assert set(asked) <= PATHS


def test_only_what_the_dockerfile_copies_may_enter():
    allowed = {
        line.removeprefix("!")
        for line in (TOP / ".dockerignore").read_text(encoding="utf-8").splitlines()
        if line.startswith("!")
    }
    copied = {
        source for line in re.findall(r"^COPY (?!--from)(.+)$", DOCKERFILE, re.MULTILINE) for source in line.split()[:-1]
    }
    assert copied == allowed
    assert all((TOP / name).exists() for name in copied)


def test_the_compose_file_follows_its_specification():
    command = [TOOLS / "check-jsonschema", "--builtin-schema", "vendor.compose-spec", COMPOSE]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout


def test_compose_runs_two_replicas_behind_a_proxy_that_waits_for_them():
    services = compose()["services"]
    assert services["lathwind"]["deploy"]["replicas"] == 2
    assert "ports" not in services["lathwind"]
    assert services["proxy"]["depends_on"]["lathwind"]["condition"] == "service_healthy"


def test_compose_sets_settings_that_exist():
    assert set(compose()["services"]["lathwind"]["environment"]) <= SETTINGS


def test_every_service_of_compose_is_shut_in():
    for name, service in compose()["services"].items():
        assert service["read_only"] is True, name
        assert service["cap_drop"] == ["ALL"], name
        assert service["security_opt"] == ["no-new-privileges:true"], name
        assert service["deploy"]["resources"]["limits"].keys() == {"cpus", "memory", "pids"}, name


def test_images_of_compose_have_tags_that_stay():
    images = {name: service["image"] for name, service in compose()["services"].items()}
    assert images["lathwind"] == f"lathwind:{VERSION}"
    assert compose()["services"]["lathwind"]["build"]["args"]["VERSION"] == VERSION
    assert all(re.search(r":\d[\w.-]*$", image) for image in images.values())


def test_keys_come_from_a_file_that_must_be_named():
    assert compose()["secrets"]["keys.toml"]["file"].startswith("${KEYS_FILE:?")
    assert compose()["secrets"]["certificate.pem"]["file"].startswith("${CERTIFICATE_FILE:?")


def test_the_proxy_holds_a_whole_fitting_so_that_it_can_send_it_again():
    size_bytes = int(re.findall(r"tune\.bufsize (\d+)", PROXY)[0])
    assert size_bytes > Settings().body_limit_bytes


def test_the_services_of_compose_have_the_names_and_ports_the_proxy_asks_for():
    services = compose()["services"]
    (port,) = re.findall(r"PROXY_REPLICAS}:(\d+)", PROXY)
    replicas = services[services["proxy"]["environment"]["PROXY_REPLICAS"]]
    assert replicas["environment"]["LATHWIND_PORT"] == port
    assert set(re.findall(r"PROXY_\w+", PROXY)) == set(services["proxy"]["environment"])
    assert {one["target"] for one in services["proxy"]["secrets"]} == set(re.findall(r"ssl crt (\S+)", PROXY))
    bound = set(re.findall(r"bind :(\d+)", PROXY))
    assert {one.rpartition(":")[2] for one in services["proxy"]["ports"]} < bound


def test_plain_http_is_for_the_machine_of_compose_only():
    assert compose()["services"]["proxy"]["ports"] == ["443:8443", "127.0.0.1:8080:8080"]
