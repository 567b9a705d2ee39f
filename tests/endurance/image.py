"""The image built and run: `buildah` on a base made by `debootstrap`, both Debian's; root, about ten minutes.

Buildah isolates by chroot alone. What a container engine adds at run time is done here with the kernel's own means:
the image's files mounted read-only, an empty /tmp, a volume at /data, processes of its own, the user of the image, and
no way to more rights. Start, first key and stop are those of the Dockerfile.
"""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.api.office import condition_document
from tests.endurance.server import free_port

ROOT = Path(__file__).parents[2]
BASE = "localhost/base:1"
TAG = "localhost/loading-conditions:1"
PACKAGES = "python3,python3-pip,python3-venv,ca-certificates"
CERTIFICATES = "etc/ssl/certs/ca-certificates.crt"
STOP_SECONDS = 30
_IN_NAMESPACE = """
set -e
root=$1 data=$2; shift 2
mount --make-rprivate /
mount --bind "$root" "$root"
mount --bind "$data" "$root/data"
mount -t tmpfs -o nosuid,nodev,mode=1777 tmpfs "$root/tmp"
mount -t proc proc "$root/proc"
mount --bind /dev "$root/dev"
mount -o remount,bind,ro "$root"
exec chroot --userspec=10001 "$root" /usr/bin/env -C /app /usr/bin/setpriv --no-new-privs "$@"
"""


class Image:
    """A built image: what it says of itself, and its files in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._buildah = ["buildah", "--root", folder / "store", "--runroot", folder / "run"]

    def build(self) -> None:
        """Base and image. Raises CalledProcessError, with the output in `build.log`."""
        base = self.folder / "base"
        _logged(self.folder, ["debootstrap", "--variant=minbase", f"--include={PACKAGES}", "bookworm", base])
        shutil.copyfile(Path("/") / CERTIFICATES, base / CERTIFICATES)  # those that this machine trusts
        scratch = self._out("from", "scratch")
        self._logged("add", "--quiet", scratch, base, "/")
        self._logged("commit", "--quiet", scratch, BASE)
        given = ("--build-arg", f"BASE={BASE}", "--env", f"PIP_CERT=/{CERTIFICATES}")
        self._logged("bud", "--isolation", "chroot", *given, "--file", "docker/Dockerfile", "--tag", TAG, ".")

    def mounted(self) -> tuple[Path, dict[str, object]]:
        """Its files, and its configuration."""
        container = self._out("from", TAG)
        config = json.loads(self._out("inspect", "--type", "image", TAG))["OCIv1"]["config"]
        return Path(self._out("mount", container)), config

    def remove(self) -> None:
        """Unmount and delete everything."""
        self._logged("rm", "--all")
        self._logged("rmi", "--all", "--force")

    def _out(self, *arguments: object) -> str:
        command = [*map(str, self._buildah), *map(str, arguments)]
        return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.strip()

    def _logged(self, *arguments: object) -> None:
        _logged(self.folder, [*self._buildah, *arguments])


def run() -> dict[str, object]:
    """Build, start, make a key, assess a condition, stop; what was found."""
    with tempfile.TemporaryDirectory() as name:
        image = Image(Path(name))
        began = time.monotonic()
        image.build()
        try:
            return {"seconds_to_build": round(time.monotonic() - began), **use(image)}
        finally:
            image.remove()


def use(image: Image) -> dict[str, object]:
    """Start, make a key, assess a condition, stop."""
    root, config = image.mounted()
    data = image.folder / "data"
    data.mkdir(exist_ok=True)
    os.chown(data, 10001, -1)
    port = free_port()
    environment = dict(pair.split("=", 1) for pair in config["Env"]) | {"LOADING_PORT": str(port)}  # type: ignore[attr-defined]
    assert config["User"] == "loading"
    assert re.search(r"^loading:x:10001:", (root / "etc/passwd").read_text(), re.MULTILINE)
    entry: list[str] = config["Entrypoint"]  # type: ignore[assignment]

    def inside(*command: str) -> list[str]:
        namespace = ["unshare", "--mount", "--pid", "--fork", "--kill-child", "sh", "-c", _IN_NAMESPACE, "sh"]
        return [*namespace, str(root), str(data), *command]

    def ask(*command: str) -> str:
        done = subprocess.run(
            inside(*command), env=environment, check=True, capture_output=True, text=True, timeout=300
        )
        return done.stdout.strip()

    status = ask(
        "sh", "-c", "id -u; grep -E '^(NoNewPrivs|CapEff)' /proc/self/status; touch /app/x 2>&1 || true"
    )
    assert status.splitlines()[0] == "10001", status
    assert re.search(r"NoNewPrivs:\s1", status), status
    assert re.search(r"CapEff:\s0+$", status, re.MULTILINE), status
    assert "Read-only file system" in status, status
    key = ask(*entry, "keys", "add", "Head of office", "--role", "administrator")
    assert key.startswith("lc_")
    with _serving(inside(*entry, *config["Cmd"]), environment, port) as process:  # type: ignore[misc]
        http = httpx.Client(
            base_url=f"http://127.0.0.1:{port}",
            timeout=60,
            trust_env=False,
            headers={"Authorization": f"Bearer {key}"},
        )
        with http:
            vessel = json.loads((ROOT / "service/demo/vessels/halvenmoor.json").read_text())
            request = {"vessel": vessel, "condition": condition_document()}
            verdict = http.post("/v1/assessments", json=request).raise_for_status().json()["verdict"]
            assert http.get("/v1/vessels", headers={"Authorization": ""}).status_code == 401
        seconds, told = _stopped(process)
    assert b"Traceback" not in told, told
    assert (data / "loading.sqlite3").stat().st_uid == 10001
    return {"verdict": verdict, "seconds_to_stop": round(seconds, 1)}


@contextmanager
def _serving(
    command: Sequence[str], environment: dict[str, str], port: int
) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(command, env=environment, stderr=subprocess.PIPE)
    try:
        until = time.monotonic() + 120
        while time.monotonic() < until and process.poll() is None:
            try:
                if httpx.get(f"http://127.0.0.1:{port}/readyz", timeout=5, trust_env=False).is_success:
                    break
            except httpx.TransportError:
                time.sleep(0.2)
        else:
            raise AssertionError("the image did not become ready")
        yield process
    finally:
        process.kill()
        process.wait()


def _stopped(process: subprocess.Popen[bytes]) -> tuple[float, bytes]:
    """SIGTERM to the service itself, as an engine sends it; seconds it took to end, and what it wrote."""
    [child] = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
    began = time.monotonic()
    os.kill(int(child), signal.SIGTERM)
    _, told = process.communicate(timeout=STOP_SECONDS)
    return time.monotonic() - began, told


def _logged(folder: Path, command: Sequence[object]) -> None:
    with (folder / "build.log").open("ab") as log:
        subprocess.run(list(map(str, command)), cwd=ROOT, check=True, stdout=log, stderr=log)


def why_not() -> str | None:
    """What is missing to do this; None where nothing is."""
    missing = [name for name in ("buildah", "debootstrap", "unshare", "chroot") if shutil.which(name) is None]
    if missing or os.geteuid() != 0 or sys.platform != "linux":
        return f"needs root on Linux and Debian's {', '.join(missing) or 'programs'}"
    return None
