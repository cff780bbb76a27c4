"""The proxy of `deploy` before replicas on loopback: its file as it is, with other addresses and another certificate."""

import os
import ssl
import subprocess
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import httpx
from serving import PATIENCE_S, free_port, until

SETTINGS = Path(__file__).parents[1] / "deploy/proxy/haproxy.cfg"
HOSTS = "localhost 127.0.0.1 fit.example x"


class Proxy(NamedTuple):
    """A running proxy: its addresses in plain HTTP, in TLS and for monitoring, its certificate, log and process."""

    base: str
    tls: str
    inside: str
    certificate: Path
    log: Path
    process_id: int

    def trusting(self):
        """What a client needs to trust the proxy's certificate."""
        return ssl.create_default_context(cafile=self.certificate)

    def is_up(self, replica):
        """Whether the proxy takes the replica at a port for one that answers."""
        metrics = httpx.get(f"{self.inside}/metrics", timeout=PATIENCE_S).text
        return f'haproxy_server_status{{proxy="replicas",server="replica-{replica}",state="UP"}} 1' in metrics


def certificate(folder):
    """A certificate and its key in one file, as the proxy reads them."""
    key, path = folder / "key.pem", folder / "certificate.pem"
    subprocess.run(
        [
            *(
                "openssl",
                "req",
                "-x509",
                "-newkey",
                "ec",
                "-pkeyopt",
                "ec_paramgen_curve:prime256v1",
                "-nodes",
                "-days",
                "2",
            ),
            *("-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1"),
            *("-keyout", key, "-out", path),
        ],
        check=True,
        capture_output=True,
    )
    path.write_text(path.read_text() + key.read_text())
    return path


@contextmanager
def proxied(
    folder,
    replicas,
    *,
    environment=None,
    exchanged=None,
):
    """The proxy before the replicas at these ports of loopback; `exchanged` are texts of its file, such as a timeout."""
    text = SETTINGS.read_text()
    plain, tls, inside = free_port(), free_port(), free_port()
    pem = certificate(folder)
    template = next(line for line in text.splitlines() if line.strip().startswith("server-template"))
    listed = "\n".join(f"    server replica-{port} 127.0.0.1:{port}" for port in replicas)
    for old, new in (
        ("bind :8080\n", f"bind 127.0.0.1:{plain}\n"),
        ("bind :8443 ", f"bind 127.0.0.1:{tls} "),
        ("bind :8404\n", f"bind 127.0.0.1:{inside}\n"),
        ("/etc/haproxy/certificate.pem", str(pem)),
        (template, listed),
        *(exchanged or {}).items(),
    ):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path, log = folder / "haproxy.cfg", folder / "haproxy.log"
    path.write_text(text)
    variables = {**os.environ, "PROXY_HOSTS": HOSTS, **(environment or {})}
    with log.open("wb") as written:
        running = subprocess.Popen(["haproxy", "-db", "-f", path], env=variables, stdout=written, stderr=written)
    proxy = Proxy(
        f"http://127.0.0.1:{plain}", f"https://127.0.0.1:{tls}", f"http://127.0.0.1:{inside}", pem, log, running.pid
    )

    def ready():
        try:
            return httpx.get(f"{proxy.inside}/ready", timeout=5).status_code == 200
        except httpx.TransportError:
            return False

    try:
        assert until(ready), log.read_text()
        yield proxy
    finally:
        running.terminate()
        running.wait(PATIENCE_S)
