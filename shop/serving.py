"""How gunicorn serves the app. The environment may change each number."""

import os

from shop.long_work.keeper import start_keeper, stop_keeper

port = os.environ.get("PORT", "8000")
bind = f"{os.environ.get('BIND', '127.0.0.1')}:{port}"
workers = int(os.environ.get("WEB_WORKERS", "2"))
threads = int(os.environ.get("WEB_THREADS", "4"))
worker_tmp_dir = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
loglevel = os.environ.get("SERVER_LOG_LEVEL", "warning")
timeout = 60
_long_workers = int(os.environ.get("LONG_WORKERS", "1"))
_keepers = []


def _renew_keeper():
    while _keepers:
        stop_keeper(_keepers.pop())
    _keepers.append(start_keeper(_long_workers))


def on_reload(server):
    _renew_keeper()


def on_exit(server):
    while _keepers:
        stop_keeper(_keepers.pop())


def when_ready(server):
    _renew_keeper()
    address = os.environ.get("PUBLIC_URL", f"http://localhost:{port}")
    print(f"\nServed at {address}  (Ctrl+C stops it)", flush=True)
    if os.environ.get("DEMO", "").lower() in {"1", "true", "yes", "on"}:
        from shop.access.demo_logins import DEMO_LOGINS

        print("Demo log-ins:")
        for login in DEMO_LOGINS:
            print(f"  {login.role:<11} {login.username:<8} {login.password}")
        print(flush=True)
