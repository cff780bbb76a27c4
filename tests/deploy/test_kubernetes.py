"""The cluster's files, put together by kustomize itself, then checked against the cluster's schemas and against the code."""

import os
import re
import subprocess
from base64 import b64decode
from functools import cache
from pathlib import Path
from typing import Any

import kubernetes_validate
import pytest
import yaml
from deploy.known import PATHS, SETTINGS, TOOLS, TOP, VERSION

from service.catalogue.loader import STANDARD, load
from service.web import keys

CLUSTER = TOP / "deploy/kubernetes"
OLDEST = "1.30.0"
"""The first version in which a pod can wait before it stops without a program for it."""

Document = dict[str, Any]


def rendered(folder: Path) -> dict[str, Document]:
    """What kustomize makes of a folder, by kind; the config maps by the name they were given."""
    command = [TOOLS / "kubectl", "kustomize", folder]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    named: dict[str, Document] = {}
    for document in yaml.safe_load_all(text):
        kind, name = document["kind"], document["metadata"]["name"]
        label = re.sub(r"-[a-z0-9]{10}$", "", name) if kind == "ConfigMap" else kind
        assert label not in named, label
        named[label] = document
    return named


@cache
def production() -> dict[str, Document]:
    return rendered(CLUSTER / "production")


@pytest.fixture(scope="session")
def shared_limit(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Document]:
    """The overlay of production with the shared rate limit added."""
    folder = tmp_path_factory.mktemp("overlay")
    overlay = {
        "resources": [os.path.relpath(CLUSTER / "production", folder)],
        "components": [os.path.relpath(CLUSTER / "shared-limit", folder)],
    }
    (folder / "kustomization.yaml").write_text(yaml.safe_dump(overlay), encoding="utf-8")
    return rendered(folder)


def pod() -> Document:
    return dict(production()["Deployment"]["spec"]["template"]["spec"])


def container() -> Document:
    (only,) = pod()["containers"]
    return dict(only)


def environment(documents: dict[str, Document]) -> dict[str, str]:
    return dict(documents["lathwind-settings"]["data"])


def test_production_is_whole() -> None:
    assert set(production()) == {
        "Deployment",
        "HorizontalPodAutoscaler",
        "Namespace",
        "NetworkPolicy",
        "PodDisruptionBudget",
        "Secret",
        "Service",
        "lathwind-catalogue",
        "lathwind-settings",
    }


@pytest.mark.parametrize("version", [OLDEST, kubernetes_validate.latest_version()])
def test_every_object_follows_the_clusters_schema(version: str, shared_limit: dict[str, Document]) -> None:
    for document in [*production().values(), *shared_limit.values()]:
        kubernetes_validate.validate(document, version, strict=True)


def test_the_schema_check_finds_a_wrong_field() -> None:
    wrong = production()["Service"] | {"spec": production()["Service"]["spec"] | {"porst": []}}
    with pytest.raises(kubernetes_validate.ValidationError):
        kubernetes_validate.validate(wrong, OLDEST, strict=True)


def test_the_base_names_no_namespace() -> None:
    assert all("namespace" not in one["metadata"] for one in rendered(CLUSTER / "base").values())


def test_the_pod_is_as_the_standard_restricted_demands() -> None:
    of_pod, of_container = pod()["securityContext"], container()["securityContext"]
    assert of_pod["runAsNonRoot"] is True
    assert of_pod["runAsUser"] > 0
    assert of_pod["seccompProfile"] == {"type": "RuntimeDefault"}
    assert of_container == {
        "allowPrivilegeEscalation": False,
        "readOnlyRootFilesystem": True,
        "capabilities": {"drop": ["ALL"]},
    }
    assert not {"hostNetwork", "hostPID", "hostIPC"} & pod().keys()
    assert {kind for one in pod()["volumes"] for kind in one} == {"name", "emptyDir", "configMap", "secret"}
    assert production()["Namespace"]["metadata"]["labels"]["pod-security.kubernetes.io/enforce"] == "restricted"


def test_the_pod_runs_as_the_images_user() -> None:
    user, group = re.findall(r"^USER (\d+):(\d+)$", (TOP / "Dockerfile").read_text(encoding="utf-8"), re.MULTILINE)[0]
    context = pod()["securityContext"]
    assert (context["runAsUser"], context["runAsGroup"], context["fsGroup"]) == (int(user), int(group), int(group))


def test_the_pod_gets_neither_a_token_nor_variables_from_the_cluster() -> None:
    # A service named lathwind would put LATHWIND_PORT=tcp://... into the pod, and the service would refuse to start.
    assert pod()["automountServiceAccountToken"] is False
    assert pod()["enableServiceLinks"] is False


def test_probes_ask_for_operations_of_the_contract() -> None:
    paths = {kind: container()[f"{kind}Probe"]["httpGet"]["path"] for kind in ("startup", "liveness", "readiness")}
    assert paths == {"startup": "/health/live", "liveness": "/health/live", "readiness": "/health/ready"}
    assert set(paths.values()) <= PATHS


def test_a_roll_out_never_has_fewer_pods_and_lets_work_finish() -> None:
    assert production()["Deployment"]["spec"]["strategy"]["rollingUpdate"] == {"maxSurge": 1, "maxUnavailable": 0}
    waits_s = container()["lifecycle"]["preStop"]["sleep"]["seconds"]
    assert 0 < waits_s < pod()["terminationGracePeriodSeconds"]


def test_resources_are_asked_for_and_limited() -> None:
    resources = container()["resources"]
    assert resources["requests"].keys() == resources["limits"].keys() == {"cpu", "memory"}


def test_settings_exist() -> None:
    assert set(environment(production())) <= SETTINGS
    assert "env" not in container()


def test_the_files_that_settings_name_are_mounted() -> None:
    mounted = {one["name"]: one for one in container()["volumeMounts"]}
    volumes = {one["name"]: one for one in pod()["volumes"]}
    for variable, volume, keys_of in (
        ("LATHWIND_CATALOGUE", "catalogue", production()["lathwind-catalogue"]["data"]),
        ("LATHWIND_KEYS_FILE", "keys", production()["Secret"]["data"]),
    ):
        path = Path(environment(production())[variable])
        assert str(path.parent) == mounted[volume]["mountPath"]
        assert path.name in keys_of
        # a single file would not follow a change
        assert "subPath" not in mounted[volume]
    assert volumes["catalogue"]["configMap"]["name"] == production()["lathwind-catalogue"]["metadata"]["name"]
    assert volumes["keys"]["secret"]["secretName"] == production()["Secret"]["metadata"]["name"]
    (source,) = container()["envFrom"]
    assert source["configMapRef"]["name"] == production()["lathwind-settings"]["metadata"]["name"]


def test_a_changed_catalogue_rolls_out_and_changed_keys_do_not() -> None:
    assert re.fullmatch(r"lathwind-catalogue-[a-z0-9]{10}", production()["lathwind-catalogue"]["metadata"]["name"])
    assert production()["Secret"]["metadata"]["name"] == "lathwind-keys"


def test_the_catalogue_of_the_example_is_the_standard_one_and_loads() -> None:
    copy = CLUSTER / "production/catalogue.toml"
    assert copy.read_bytes() == STANDARD.read_bytes()
    assert load(copy).catalogue == load(STANDARD).catalogue


def test_the_keys_of_the_example_are_read_and_fit_nothing(tmp_path: Path) -> None:
    path = tmp_path / "keys.toml"
    path.write_bytes(b64decode(production()["Secret"]["data"]["keys.toml"]))
    assert keys.load(path).names == ["example-shop", "example-monitoring"]
    # nobody knows a text whose SHA-256 is the same digit 64 times
    hashes = re.findall(r'sha256 = "(\w+)"', path.read_text(encoding="utf-8"))
    assert len(hashes) == 2
    assert all(len(set(one)) == 1 for one in hashes)


def test_selectors_select_the_pod() -> None:
    labels = production()["Deployment"]["spec"]["template"]["metadata"]["labels"]
    selected = [
        production()["Deployment"]["spec"]["selector"]["matchLabels"],
        production()["Service"]["spec"]["selector"],
        production()["PodDisruptionBudget"]["spec"]["selector"]["matchLabels"],
        production()["NetworkPolicy"]["spec"]["podSelector"]["matchLabels"],
        *(one["labelSelector"]["matchLabels"] for one in pod()["topologySpreadConstraints"]),
    ]
    assert all(one and one.items() <= labels.items() for one in selected)
    ports = {one["name"]: one["containerPort"] for one in container()["ports"]}
    assert ports == {"http": int(environment(production())["LATHWIND_PORT"])}
    assert production()["Service"]["spec"]["ports"][0]["targetPort"] in ports
    assert production()["HorizontalPodAutoscaler"]["spec"]["scaleTargetRef"]["name"] == "lathwind"


def test_the_autoscaler_owns_the_number_of_pods() -> None:
    assert "replicas" not in production()["Deployment"]["spec"]
    scaled = production()["HorizontalPodAutoscaler"]["spec"]
    assert 2 <= scaled["minReplicas"] < scaled["maxReplicas"]
    # a process uses one core, and there is one process in a pod
    assert environment(production())["LATHWIND_WORKERS"] == container()["resources"]["limits"]["cpu"] == "1"


def test_the_pod_is_reached_from_two_namespaces_and_reaches_nothing() -> None:
    policy = production()["NetworkPolicy"]["spec"]
    assert policy["policyTypes"] == ["Ingress", "Egress"]
    ((only,),) = [rule["from"] for rule in policy["ingress"]]
    assert only["namespaceSelector"]["matchExpressions"][0]["values"] == ["ingress", "monitoring"]
    assert policy["egress"] == []


def test_the_shared_limit_opens_the_way_to_its_store_and_the_name_service_only(shared_limit: dict[str, Document]) -> None:
    assert environment(shared_limit)["LATHWIND_RATE_STORE"] == "redis://valkey:6379/0"
    ports = [[one["port"] for one in rule["ports"]] for rule in shared_limit["NetworkPolicy"]["spec"]["egress"]]
    assert ports == [[6379], [53, 53]]
    assert all(rule["to"] for rule in shared_limit["NetworkPolicy"]["spec"]["egress"])
    # all else is as without it
    assert (
        environment(shared_limit).items() - {("LATHWIND_RATE_STORE", "redis://valkey:6379/0")}
        <= environment(production()).items()
    )


def test_the_image_has_a_tag_that_stays() -> None:
    base = yaml.safe_load((CLUSTER / "base/deployment.yaml").read_text(encoding="utf-8"))
    assert base["spec"]["template"]["spec"]["containers"][0]["image"] == f"lathwind:{VERSION}"
    assert container()["image"] == f"registry.example/lathwind:{VERSION}"
