from .acts import Act
from .curves import PowerCurve, PowerPoint
from .dyno import DynoTest
from .instruments import Instrument
from .logs import LogColumn, LogFile, LogMatch, LogPull
from .outcomes import Outcome
from .proving import ProvingRun
from .readings import Point, Reading, Withdrawal
from .sheets import SheetEntry, SheetPhoto
from .smoke import SmokeLimit, SmokeSnap, SmokeTest
from .tokens import IntakeToken

__all__ = [
    "Act",
    "DynoTest",
    "Instrument",
    "IntakeToken",
    "LogColumn",
    "LogFile",
    "LogMatch",
    "LogPull",
    "Outcome",
    "Point",
    "PowerCurve",
    "PowerPoint",
    "ProvingRun",
    "Reading",
    "SheetEntry",
    "SheetPhoto",
    "SmokeLimit",
    "SmokeSnap",
    "SmokeTest",
    "Withdrawal",
]
