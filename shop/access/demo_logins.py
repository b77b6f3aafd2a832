"""Who may log in to the demo workshop. They exist nowhere else."""

from dataclasses import dataclass

from shop.access.roles import DESK, OWNER, TECHNICIAN


@dataclass(frozen=True)
class DemoLogin:
    role: str
    username: str
    full_name: str
    password: str


# Fixed words, for the demo alone: a demo with unknown passwords could not be tried.
DEMO_LOGINS = [
    DemoLogin(DESK, "desk", "Iselle Tarrone", "demo front desk"),
    DemoLogin(TECHNICIAN, "tech", "Bodrim Askel", "demo technician"),
    DemoLogin(OWNER, "owner", "Maresh Oluvane", "demo shop owner"),
]
