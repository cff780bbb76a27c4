"""The cluster's files, put together by kustomize itself, then checked against the cluster's schemas and against the code."""

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
from proxied import SETTINGS as SETTINGS_OF_PROXY

from service.catalogue.loader import STANDARD, load
from service.web import keys

CLUSTER = TOP / "deploy/kubernetes"
OLDEST = "1.30.0"
"""The first version in which a pod can wait before it stops without a program for it."""

Document = dict[str, Any]


def rendered(folder):
    """What kustomize makes of a folder, by kind, the proxy's apart; the config maps by the name they were given."""
    command = [TOOLS / "kubectl", "kustomize", folder]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    named = {}
    for document in yaml.safe_load_all(text):
        kind, name = document["kind"], document["metadata"]["name"]
        label = f"proxy {kind}" if name == "lathwind-proxy" else kind
        if kind == "ConfigMap":
            label = re.sub(r"-[a-z0-9]{10}$", "", name)
        assert label not in named, label
        named[label] = document
    return named


@cache
def production():
    return rendered(CLUSTER / "production")


def pod(deployment="Deployment"):
    return dict(production()[deployment]["spec"]["template"]["spec"])


def container(deployment="Deployment"):
    (only,) = pod(deployment)["containers"]
    return dict(only)


def environment(documents):
    return dict(documents["lathwind-settings"]["data"])


def test_production_is_whole():
    assert set(production()) == {
        "Deployment",
        "HorizontalPodAutoscaler",
        "Namespace",
        "NetworkPolicy",
        "PodDisruptionBudget",
        "Secret",
        "Service",
        "lathwind-catalogue",
        "lathwind-proxy-file",
        "lathwind-proxy-settings",
        "lathwind-settings",
        "proxy Deployment",
        "proxy NetworkPolicy",
        "proxy PodDisruptionBudget",
        "proxy Service",
    }


@pytest.mark.parametrize("version", [OLDEST, kubernetes_validate.latest_version()])
def test_every_object_follows_the_clusters_schema(version):
    for document in production().values():
        kubernetes_validate.validate(document, version, strict=True)


def test_the_schema_check_finds_a_wrong_field():
    wrong = production()["Service"] | {"spec": production()["Service"]["spec"] | {"porst": []}}
    with pytest.raises(kubernetes_validate.ValidationError):
        kubernetes_validate.validate(wrong, OLDEST, strict=True)


def test_the_base_names_no_namespace():
    assert all("namespace" not in one["metadata"] for one in rendered(CLUSTER / "base").values())


BOTH = pytest.mark.parametrize("deployment", ["Deployment", "proxy Deployment"])


@BOTH
def test_pods_are_as_the_standard_restricted_demands(deployment):
    of_pod, of_container = pod(deployment)["securityContext"], container(deployment)["securityContext"]
    assert of_pod["runAsNonRoot"] is True
    assert of_pod["runAsUser"] > 0
    assert of_pod["seccompProfile"] == {"type": "RuntimeDefault"}
    assert of_container == {
        "allowPrivilegeEscalation": False,
        "readOnlyRootFilesystem": True,
        "capabilities": {"drop": ["ALL"]},
    }
    assert not {"hostNetwork", "hostPID", "hostIPC"} & pod(deployment).keys()
    assert {kind for one in pod(deployment)["volumes"] for kind in one} <= {"name", "emptyDir", "configMap", "secret"}
    assert production()["Namespace"]["metadata"]["labels"]["pod-security.kubernetes.io/enforce"] == "restricted"


def test_the_pod_runs_as_the_images_user():
    user, group = re.findall(r"^USER (\d+):(\d+)$", (TOP / "Dockerfile").read_text(encoding="utf-8"), re.MULTILINE)[0]
    context = pod()["securityContext"]
    assert (context["runAsUser"], context["runAsGroup"], context["fsGroup"]) == (int(user), int(group), int(group))


@BOTH
def test_pods_get_neither_a_token_nor_variables_from_the_cluster(deployment):
    # A service named lathwind would put LATHWIND_PORT=tcp://... into the pod, and the service would refuse to start.
    assert pod(deployment)["automountServiceAccountToken"] is False
    assert pod(deployment)["enableServiceLinks"] is False


def test_probes_ask_for_operations_of_the_contract():
    paths = {kind: container()[f"{kind}Probe"]["httpGet"]["path"] for kind in ("startup", "liveness", "readiness")}
    assert paths == {"startup": "/health/live", "liveness": "/health/live", "readiness": "/health/ready"}
    assert set(paths.values()) <= PATHS


@BOTH
def test_a_roll_out_never_has_fewer_pods_and_lets_work_finish(deployment):
    assert production()[deployment]["spec"]["strategy"]["rollingUpdate"] == {"maxSurge": 1, "maxUnavailable": 0}
    waits_s = container(deployment)["lifecycle"]["preStop"]["sleep"]["seconds"]
    assert 0 < waits_s < pod(deployment)["terminationGracePeriodSeconds"]


@BOTH
def test_resources_are_asked_for_and_limited(deployment):
    resources = container(deployment)["resources"]
    assert resources["requests"].keys() == resources["limits"].keys() == {"cpu", "memory"}


def test_settings_exist():
    assert set(environment(production())) <= SETTINGS
    assert "env" not in container()


def test_the_files_that_settings_name_are_mounted():
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


def test_a_changed_catalogue_rolls_out_and_changed_keys_do_not():
    assert re.fullmatch(r"lathwind-catalogue-[a-z0-9]{10}", production()["lathwind-catalogue"]["metadata"]["name"])
    assert production()["Secret"]["metadata"]["name"] == "lathwind-keys"


def test_the_catalogue_of_the_example_is_the_standard_one_and_loads():
    copy = CLUSTER / "production/catalogue.toml"
    assert copy.read_bytes() == STANDARD.read_bytes()
    assert load(copy).catalogue == load(STANDARD).catalogue


def test_the_keys_of_the_example_are_read_and_fit_nothing(tmp_path):
    path = tmp_path / "keys.toml"
    path.write_bytes(b64decode(production()["Secret"]["data"]["keys.toml"]))
    assert keys.load(path).names == ["example-shop", "example-monitoring"]
    # nobody knows a text whose SHA-256 is the same digit 64 times
    hashes = re.findall(r'sha256 = "(\w+)"', path.read_text(encoding="utf-8"))
    assert len(hashes) == 2
    assert all(len(set(one)) == 1 for one in hashes)


@pytest.mark.parametrize("of", ["", "proxy "], ids=["service", "proxy"])
def test_selectors_select_the_pod(of):
    deployment = production()[f"{of}Deployment"]["spec"]
    labels = deployment["template"]["metadata"]["labels"]
    selected = [
        deployment["selector"]["matchLabels"],
        production()[f"{of}Service"]["spec"]["selector"],
        production()[f"{of}PodDisruptionBudget"]["spec"]["selector"]["matchLabels"],
        production()[f"{of}NetworkPolicy"]["spec"]["podSelector"]["matchLabels"],
        *(one["labelSelector"]["matchLabels"] for one in pod(f"{of}Deployment")["topologySpreadConstraints"]),
    ]
    assert all(one and one.items() <= labels.items() for one in selected)
    ports = {one["name"] for one in container(f"{of}Deployment")["ports"]}
    assert production()[f"{of}Service"]["spec"]["ports"][0]["targetPort"] in ports


def test_the_autoscaler_scales_the_service():
    assert production()["HorizontalPodAutoscaler"]["spec"]["scaleTargetRef"]["name"] == "lathwind"


def test_the_autoscaler_owns_the_number_of_pods():
    assert "replicas" not in production()["Deployment"]["spec"]
    scaled = production()["HorizontalPodAutoscaler"]["spec"]
    assert 2 <= scaled["minReplicas"] < scaled["maxReplicas"]
    # a process uses one core, and there is one process in a pod
    assert environment(production())["LATHWIND_WORKERS"] == container()["resources"]["limits"]["cpu"] == "1"


def test_the_service_is_reached_by_the_proxy_and_the_monitoring_and_reaches_nothing():
    policy = production()["NetworkPolicy"]["spec"]
    assert policy["policyTypes"] == ["Ingress", "Egress"]
    ((proxy, monitoring),) = [rule["from"] for rule in policy["ingress"]]
    labels = production()["proxy Deployment"]["spec"]["template"]["metadata"]["labels"]
    assert proxy["podSelector"]["matchLabels"].items() <= labels.items()
    assert monitoring["namespaceSelector"]["matchLabels"] == {"kubernetes.io/metadata.name": "monitoring"}
    assert policy["egress"] == []


def test_only_the_proxy_is_exposed_and_only_in_tls():
    assert production()["Service"]["spec"]["clusterIP"] == "None"
    assert "type" not in production()["Service"]["spec"]
    exposed = production()["proxy Service"]["spec"]
    assert exposed["type"] == "LoadBalancer"
    assert [one["targetPort"] for one in exposed["ports"]] == ["https"]
    # so that a caller's address is seen and its requests are counted in one place
    assert (exposed["externalTrafficPolicy"], exposed["sessionAffinity"]) == ("Local", "ClientIP")
    policy = production()["proxy NetworkPolicy"]["spec"]
    assert [[one["port"] for one in rule["ports"]] for rule in policy["ingress"] if "from" not in rule] == [["https"]]
    assert [[one["port"] for one in rule["ports"]] for rule in policy["egress"]] == [[8000], [53, 53]]
    assert all(rule["to"] for rule in policy["egress"])


def test_the_proxy_gets_its_file_its_settings_and_its_certificate():
    proxy, settings = container("proxy Deployment"), SETTINGS_OF_PROXY.read_text(encoding="utf-8")
    assert production()["lathwind-proxy-file"]["data"]["haproxy.cfg"] == settings
    given = {*production()["lathwind-proxy-settings"]["data"], *(one["name"] for one in proxy["env"])}
    assert set(re.findall(r"PROXY_\w+", settings)) == {one for one in given if one.startswith("PROXY_")}
    (source,) = proxy["envFrom"]
    assert source["configMapRef"]["name"] == production()["lathwind-proxy-settings"]["metadata"]["name"]
    mounted = {one["name"]: one["mountPath"] for one in proxy["volumeMounts"]}
    volumes = {one["name"]: one for one in pod("proxy Deployment")["volumes"]}
    assert volumes["settings"]["configMap"]["name"] == production()["lathwind-proxy-file"]["metadata"]["name"]
    (certificate,) = re.findall(r"ssl crt (\S+)", settings)
    path = Path(certificate)
    assert str(path.parent) == mounted["certificate"]
    assert [one["path"] for one in volumes["certificate"]["secret"]["items"]] == [path.name, f"{path.name}.key"]


def test_ports_are_those_that_are_listened_on():
    assert [one["containerPort"] for one in container()["ports"]] == [int(environment(production())["LATHWIND_PORT"])]
    bound = {int(port) for port in re.findall(r"bind :(\d+)", SETTINGS_OF_PROXY.read_text(encoding="utf-8"))}
    # the port for plain HTTP is not named: nobody is let in
    assert {one["containerPort"] for one in container("proxy Deployment")["ports"]} == bound - {8080}


def test_the_image_has_a_tag_that_stays():
    base = yaml.safe_load((CLUSTER / "base/deployment.yaml").read_text(encoding="utf-8"))
    assert base["spec"]["template"]["spec"]["containers"][0]["image"] == f"lathwind:{VERSION}"
    assert container()["image"] == f"registry.example/lathwind:{VERSION}"
    assert re.fullmatch(r"docker\.io/library/haproxy:\d+\.\d+", container("proxy Deployment")["image"])
