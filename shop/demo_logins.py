"""Who may log in to the demo workshop. They exist nowhere else."""

from dataclasses import dataclass

from .roles import DESK, OWNER, TECHNICIAN


@dataclass(frozen=True)
class DemoLogin:
    role: str
    username: str
    full_name: str
    password: str


DEMO_LOGINS = [
    DemoLogin(DESK, "ilsa", "Ilsa Morvane", "front desk of the demo"),
    DemoLogin(TECHNICIAN, "tarek", "Tarek Olvind", "technician of the demo"),
    DemoLogin(OWNER, "oona", "Oona Brask", "owner of the demo shop"),
]
