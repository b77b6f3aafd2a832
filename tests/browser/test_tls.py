"""The recipe of docker-compose.yml, tried: its own proxy command, a certificate of its own, a phone that trusts it."""

import os
import re
import shutil
import socket
import subprocess
import time
from pathlib import Path

import pytest

from tests.browser.conftest import FLAGS, REQUIRED, system_chromium
from tests.browser.phones import Phone
from tests.live import MAKE_JOB, ROOT, VALUES, LiveShop, free_port

pytestmark = pytest.mark.browser
NEEDED = ("caddy", "certutil")


def _port_80_is_free() -> bool:
    """The proxy leads plain http there to TLS."""
    with socket.socket() as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind(("", 80))
        except OSError:
            return False
    return True


@pytest.fixture
def secured(tmp_path):
    """(address, environment in which the proxy's root certificate is installed, the shop behind it)"""
    missing = [name for name in NEEDED if not shutil.which(name)]
    assert not (missing and REQUIRED), f"missing here: {missing}"
    if missing or not _port_80_is_free():
        pytest.skip(f"missing here: {missing}" if missing else "port 80 is taken here")
    shop, public = LiveShop(tmp_path, debug=False), f"https://workshop.test:{free_port()}"
    shop.env["PUBLIC_URL"] = public
    shop.call("manage.py", "collectstatic", "--noinput", "--verbosity", "0")
    home = tmp_path / "home"
    trust = home / ".pki/nssdb"
    trust.mkdir(parents=True)
    env = os.environ | {"HOME": str(home), "XDG_DATA_HOME": str(home / "data")}
    command = re.search(r"command: (caddy .+)", (ROOT / "docker-compose.yml").read_text())[1]
    words = command.replace("${PUBLIC_URL}", public).replace("app:8000", f"127.0.0.1:{shop.port}").split()
    with (tmp_path / "proxy.log").open("w") as log:
        proxy = subprocess.Popen(words, env=env, stdout=log, stderr=log)
    try:
        _install(_root_of(home, proxy, tmp_path / "proxy.log"), trust)
        yield public, env, shop
    finally:
        proxy.terminate()
        proxy.wait(20)
        shop.stop()


def _root_of(home: Path, proxy, log: Path) -> Path:
    for _ in range(150):
        assert proxy.poll() is None, log.read_text()
        found = home / "data/caddy/pki/authorities/local/root.crt"  # in the container below /data
        if found.exists() and "certificate obtained" in log.read_text():
            return found
        time.sleep(0.1)
    raise AssertionError(log.read_text())


def _install(root: Path, trust: Path):
    for words in (["-N", "--empty-password"], ["-A", "-n", "workshop", "-t", "C,,", "-i", str(root)]):
        subprocess.run(["certutil", *words, "-d", f"sql:{trust}"], check=True, timeout=60)


def test_a_phone_behind_the_proxy_of_the_recipe_starts_without_network(chromium, secured):
    public, env, shop = secured
    job = shop.run(MAKE_JOB)
    shop.start()
    trusting = chromium.browser_type.launch(
        executable_path=system_chromium(), args=[*FLAGS, "--host-resolver-rules=MAP workshop.test 127.0.0.1"], env=env
    )
    try:
        phone = Phone(trusting, public, "tarek")
        assert all(cookie["secure"] for cookie in phone.context.cookies())
        path = f"/jobs/{job}/phone/?phase=before"
        phone.go(path)
        phone.ready_without_network()
        phone.context.set_offline(True)
        phone.save(exhaust_temperature_c="512")
        phone.badge("1 saved here, not sent")
        phone.page.close()
        phone.new_tab()
        phone.go(path)
        phone.badge("1 saved here, not sent")
        phone.context.set_offline(False)
        phone.badge("All sent")
        assert shop.run(VALUES) == [512]
        assert not phone.errors
    finally:
        trusting.close()
